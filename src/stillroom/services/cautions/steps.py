"""Cautions of the wet line, each told before the step it belongs to."""

from __future__ import annotations

from stillroom.services.cautions.caution import Caution

ACID_BLEACH = Caution(
    "Bleach",
    "Acid that burns eyes and skin. Gloves, eye shield, fan on, until the wash after it.",
)
_PHONE = "Phone in a clear bag, or out of reach and on voice."
_BLEACHES = {
    "permanganate": Caution(
        "Bleach",
        "Acid and permanganate. Gloves, eye shield, fan on. Never into the developer or the "
        f"clear; collect it when spent. {_PHONE}",
    ),
    "dichromate": Caution(
        "Bleach",
        "Chromium(VI) and acid: poisonous, and restricted in many places. Thick gloves, eye "
        "shield, fan on; no dust, no mist. Never down a drain; collect it. "
        f"{_PHONE}",
    ),
    "peroxide": Caution(
        "Bleach",
        "Peroxide and citric acid, warm. Gloves, eye shield. Never in a closed bottle: it gives "
        "off gas and bursts it. Step the washes down to the line's temperature. "
        f"{_PHONE}",
    ),
}
FAMILIES = tuple(_BLEACHES)
"""Families of bleach that have a caution of their own."""
_CLEAR = Caution("Clear", "It smells of sulfur dioxide: fan on, and not near anyone with asthma.")
_WITH_SULFUR_DIOXIDE = ("permanganate", "dichromate")
AT_THE_TRAYS = (
    Caution(
        "Gloves on",
        "Developers can make skin allergic for life, and chromium makes that worse. Gloves before "
        "the first tray; tongs or fresh gloves from tray to tray.",
    ),
    _CLEAR,
    Caution(
        "Lamp and water",
        "Dry hands at the switch, the lamp out of reach of splashes, its socket behind a "
        "residual-current switch. Do not look into it.",
    ),
    Caution(
        "Fixer",
        "Never into an acid bleach: sulfur and sulfur dioxide come of it. Used fixer holds "
        "silver: collect it until the local authority has been asked.",
    ),
    Caution(
        "Before you leave the trays",
        "Gloves off last and without touching their outside, hands washed before face, food or "
        "phone. Cover or bottle the baths, with name, strength, date and hazard.",
    ),
)
"""What holds at the trays beside the bleach, in the order of the line."""


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
    >>> step_caution("clear", "permanganate").label, step_caution("rinse")
    ('Clear', None)
    """
    if step == "bleach":
        return _BLEACHES.get(family, ACID_BLEACH)
    return _CLEAR if step == "clear" and family in _WITH_SULFUR_DIOXIDE else None


def every_bleach() -> tuple[Caution, ...]:
    """The cautions of all families of bleach, for a page that lists them."""
    named = [Caution(f"Bleach, {family}", said.text) for family, said in _BLEACHES.items()]
    return (Caution("Any acid bleach", ACID_BLEACH.text), *named)
