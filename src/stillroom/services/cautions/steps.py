"""Cautions of the wet line, each told before the step it belongs to."""

from __future__ import annotations

from stillroom.services.cautions.caution import Caution

GLOVES = Caution(
    "Gloves on",
    "Developers can make skin allergic for life. Gloves before the first tray; phone in a clear "
    "bag, or out of reach and on voice.",
)
ACID_BLEACH = Caution(
    "Acid bleach",
    "It burns eyes and skin. Goggles and gloves stay on until the wash after it, nothing is "
    "touched with that glove, and air keeps moving.",
)
_BLEACHES = {
    "dichromate": Caution(
        "Dichromate bleach",
        "It holds chromium(VI), which can cause cancer, and acid that burns. Thick gloves and "
        "goggles until the wash after it, no mist, nobody pregnant near; keep every drop for "
        "collection.",
    ),
    "permanganate": Caution(
        "Permanganate bleach",
        "It burns eyes and skin and stains. Goggles and gloves; never near hydrochloric acid or "
        "salt, which make chlorine of it, nor near peroxide.",
    ),
    "peroxide": Caution(
        "Peroxide bleach",
        "It hurts eyes and whitens skin. Goggles and gloves; it gives off gas, so that no tank or "
        "bottle of it may be closed tight.",
    ),
}
FAMILIES = tuple(_BLEACHES)
"""Families of bleach that have a caution of their own."""
_STEPS = {
    "first_development": GLOVES,
    "bleach": ACID_BLEACH,
    "clear": Caution(
        "Sulfite and acid",
        "Acid carried over from the bleach makes sulfur dioxide of the clear: wash between them, "
        "keep air moving, and let nobody with asthma lean over it.",
    ),
    "lights": Caution(
        "Lamp and water",
        "Dry hands at the switch, the lamp out of reach of splashes, its socket behind a "
        "residual-current switch. Do not look into it.",
    ),
    "fix": Caution(
        "Fixer",
        "Never into an acid bleach: sulfur and sulfur dioxide come of it. Used fixer holds "
        "silver: collect it until the local authority has been asked.",
    ),
    "dry": Caution(
        "Before you leave the trays",
        "Gloves off last and without touching their outside, hands washed before face, food or "
        "phone. Cover or bottle the baths, with name, strength, date and hazard.",
    ),
}


def step_caution(step: str, family: str = "") -> Caution | None:
    """What is told before a step of the wet line.

    Parameters
    ----------
    step : str
        Id of the step, such as ``bleach``.
    family : str
        Family of the bleach where it is known: ``dichromate``, ``permanganate``, ``peroxide``;
        any other leaves the caution of every acid bleach.

    Returns
    -------
    Caution or None
        None for steps that ask for no word of their own.

    Examples
    --------
    >>> step_caution("bleach", "peroxide").label, step_caution("rinse")
    ('Peroxide bleach', None)
    """
    if step == "bleach" and family in _BLEACHES:
        return _BLEACHES[family]
    return _STEPS.get(step)


def every_bleach() -> tuple[Caution, ...]:
    """The cautions of all families of bleach, for a page that lists them."""
    return (ACID_BLEACH, *_BLEACHES.values())


def every_step() -> tuple[Caution, ...]:
    """The cautions of all steps but the bleach, in the order of the line."""
    return tuple(caution for step, caution in _STEPS.items() if step != "bleach")
