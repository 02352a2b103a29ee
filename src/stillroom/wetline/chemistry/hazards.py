"""What the labels of bought chemicals warn of, in words; the supplier's own sheet goes first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stillroom.wetline.chemistry.bottle import Bottle

Status = Literal["published_seen", "published_memory", "common_practice", "computed"]
Signal = Literal["Danger", "Warning", ""]

STATEMENTS: dict[str, str] = {
    "H226": "Flammable liquid and vapour",
    "H272": "May intensify fire; oxidiser",
    "H290": "May be corrosive to metals",
    "H301": "Toxic if swallowed",
    "H302": "Harmful if swallowed",
    "H310": "Fatal in contact with skin",
    "H312": "Harmful in contact with skin",
    "H314": "Causes severe skin burns and eye damage",
    "H315": "Causes skin irritation",
    "H317": "May cause an allergic skin reaction",
    "H318": "Causes serious eye damage",
    "H319": "Causes serious eye irritation",
    "H330": "Fatal if inhaled",
    "H331": "Toxic if inhaled",
    "H334": "May cause allergy or asthma symptoms or breathing difficulties if inhaled",
    "H335": "May cause respiratory irritation",
    "H340": "May cause genetic defects",
    "H341": "Suspected of causing genetic defects",
    "H350": "May cause cancer",
    "H351": "Suspected of causing cancer",
    "H360": "May damage fertility or the unborn child",
    "H361d": "Suspected of damaging the unborn child",
    "H372": "Causes damage to organs through prolonged or repeated exposure",
    "H373": "May cause damage to organs through prolonged or repeated exposure",
    "H410": "Very toxic to aquatic life with long lasting effects",
    "EUH031": "Contact with acids liberates toxic gas",
}
"""Hazard statements of the Globally Harmonized System, by code (from memory)."""
_DANGER = {
    *("H272", "H301", "H310", "H314", "H318", "H330", "H331", "H334", "H340", "H350", "H360"),
    "H372",
}
_PICTOGRAMS: tuple[tuple[str, frozenset[str]], ...] = (
    ("flame over circle", frozenset({"H272"})),
    ("flame", frozenset({"H226"})),
    ("corrosion", frozenset({"H290", "H314", "H318"})),
    ("skull and crossbones", frozenset({"H301", "H310", "H330", "H331"})),
    (
        "health hazard",
        frozenset({"H334", "H340", "H341", "H350", "H351", "H360", "H361d", "H372", "H373"}),
    ),
    ("exclamation mark", frozenset({"H302", "H312", "H315", "H317", "H319", "H335"})),
    ("environment", frozenset({"H410"})),
)
# Where the stronger sign stands, the exclamation mark is left out for the same matter.
_GIVES_WAY = (
    (frozenset({"H302", "H312"}), "skull and crossbones"),
    (frozenset({"H315", "H319"}), "corrosion"),
)


@dataclass(frozen=True, slots=True)
class HazardOf:
    """The hazards of one substance from a strength on.

    Parameters
    ----------
    substance : str
        Its id.
    codes : tuple of str
        Hazard statements.
    wear : tuple of str
        What to wear and to have at hand.
    status : str
        Where it is known from.
    from_percent : float
        From this strength on [% w/w].
    """

    substance: str
    codes: tuple[str, ...]
    wear: tuple[str, ...]
    status: Status
    from_percent: float = 0.0


# Suppliers' sheets differ on skin (H310 or H312); the harmonised class is H312, from memory.
_CHROMIUM = ("H272", "H301", "H312", "H314", "H317", "H330", "H334", "H340", "H350", "H360",
             "H372", "H410")  # fmt: skip
_CHROMIUM_WEAR = (
    "goggles",
    "thick nitrile gloves, changed often",
    "apron",
    "no dust, no mist: weigh powder under a hood, with a P3 respirator, or buy it in solution",
)
_GLOVES = ("goggles", "gloves", "apron")
_ACID = ("goggles and face shield", "acid-proof gloves", "apron")

HAZARDS: tuple[HazardOf, ...] = (
    HazardOf("potassium dichromate", _CHROMIUM, _CHROMIUM_WEAR, "published_seen"),
    HazardOf(
        "sodium dichromate dihydrate",
        ("H272", "H301", "H312", "H314", "H317", "H330", "H334", "H340", "H350", "H360", "H372",
         "H410"),
        _CHROMIUM_WEAR, "published_seen",
    ),
    HazardOf("ammonium dichromate", _CHROMIUM, _CHROMIUM_WEAR, "published_memory"),
    HazardOf(
        "potassium permanganate", ("H272", "H302", "H314", "H361d", "H373", "H410"),
        (*_GLOVES, "no dust"), "published_memory",
    ),
    HazardOf("sulfuric acid", ("H314", "H290"), _ACID, "published_memory", 15.0),
    HazardOf("sulfuric acid", ("H319", "H315"), _GLOVES, "published_memory", 5.0),
    HazardOf(
        "hydrogen peroxide", ("H272", "H302", "H318"), (*_GLOVES, "vented bottle"),
        "published_seen", 25.0,
    ),
    HazardOf(
        "hydrogen peroxide", ("H272", "H318"), (*_GLOVES, "vented bottle"), "published_seen", 8.0
    ),
    HazardOf(
        "hydrogen peroxide", ("H319",), (*_GLOVES, "vented bottle"), "published_memory", 5.0
    ),
    HazardOf("hydrogen peroxide", (), (*_GLOVES, "vented bottle"), "published_memory"),
    HazardOf("nitric acid", ("H272", "H290", "H314", "H331"), _ACID, "published_memory"),
    HazardOf("citric acid", ("H319", "H335"), ("goggles",), "published_memory"),
    HazardOf("citric acid monohydrate", ("H319", "H335"), ("goggles",), "published_memory"),
    HazardOf("sodium bisulfate", ("H318",), ("goggles",), "published_memory"),
    HazardOf("sodium bisulfate monohydrate", ("H318",), ("goggles",), "published_memory"),
    HazardOf(
        "sodium metabisulfite", ("H302", "H318", "EUH031"),
        ("goggles", "moving air: it brings on asthma"), "published_memory",
    ),
    HazardOf(
        "potassium metabisulfite", ("H318", "H335", "EUH031"),
        ("goggles", "moving air: it brings on asthma"), "published_memory",
    ),
    HazardOf(
        "sodium bisulfite", ("H302", "EUH031"), ("goggles", "moving air: it brings on asthma"),
        "published_memory",
    ),
    HazardOf(
        "p-methylaminophenol sulfate", ("H302", "H317", "H373", "H410"), ("gloves", "goggles"),
        "published_memory",
    ),
    HazardOf(
        "hydroquinone", ("H302", "H317", "H318", "H341", "H351", "H410"),
        ("gloves", "goggles", "no powder breathed in"), "published_memory",
    ),
    HazardOf("amidol", ("H302", "H315", "H317", "H319"), ("gloves", "goggles"),
             "published_memory"),
    HazardOf("sodium carbonate", ("H319",), ("gloves", "goggles"), "published_memory"),
    HazardOf("sodium carbonate monohydrate", ("H319",), ("gloves", "goggles"),
             "published_memory"),
    HazardOf("sodium carbonate decahydrate", ("H319",), ("gloves", "goggles"),
             "published_memory"),
    HazardOf("acetic acid", ("H226", "H314"), (*_GLOVES, "diluted outdoors or under a hood"),
             "published_memory", 90.0),
    HazardOf("acetic acid", ("H314",), _GLOVES, "published_memory", 25.0),
    HazardOf("acetic acid", ("H315", "H319"), _GLOVES, "published_memory", 10.0),
    HazardOf("rapid fixer", (), ("gloves", "moving air: acid fixer gives off sulfur dioxide"),
             "published_memory"),
    HazardOf("paper developer", ("H317", "H319", "H341", "H351"), ("gloves", "goggles"),
             "common_practice"),
)  # fmt: skip
"""Hazards by substance, the strongest solution first where it depends on the strength."""


@dataclass(frozen=True, slots=True)
class Hazards:
    """What a label says of several substances together.

    Attributes
    ----------
    signal : str
        ``Danger``, ``Warning`` or nothing.
    pictograms : tuple of str
        Names of the signs, in words.
    codes : tuple of str
        Hazard statements, by code.
    wear : tuple of str
        What to wear and to have at hand.
    of : tuple of str
        The substances they were put together from.
    """

    signal: Signal
    pictograms: tuple[str, ...]
    codes: tuple[str, ...]
    wear: tuple[str, ...]
    of: tuple[str, ...]

    @property
    def statements(self) -> tuple[str, ...]:
        """The statements in words, with their codes."""
        return tuple(f"{STATEMENTS[code]} ({code})" for code in self.codes)


def hazards_of(name: str, percent_ww: float = 100.0) -> HazardOf | None:
    """The hazards of one substance at a strength; None where none are known here.

    None is no promise that it is harmless.

    Parameters
    ----------
    name : str
        Its id.
    percent_ww : float
        Its strength [% w/w]; 100 of what is bought dry.

    Examples
    --------
    >>> hazards_of("sulfuric acid", 37).codes
    ('H314', 'H290')
    >>> hazards_of("sulfuric acid", 4) is None
    True
    """
    found = (each for each in HAZARDS if each.substance == name)
    return next((each for each in found if percent_ww >= each.from_percent), None)


def together(names: tuple[str, ...], bottles: tuple[Bottle, ...] = ()) -> Hazards:
    """What the labels of everything that goes in say, put together.

    Parameters
    ----------
    names : tuple of str
        What is bought dry, or ready-made.
    bottles : tuple of Bottle
        Liquids, which warn by their strength.

    Returns
    -------
    Hazards
        Of what goes in, not of the bath: thinner, it may need fewer words, and only its maker's or
        supplier's sheet can say so.

    Examples
    --------
    >>> together(("citric acid",)).signal
    'Warning'
    """
    strengths = {bottle.name: bottle.percent_ww for bottle in bottles}
    found = [hazards_of(name, strengths.get(name, 100.0)) for name in (*names, *strengths)]
    known = tuple(dict.fromkeys(each for each in found if each is not None))
    codes = tuple(code for code in STATEMENTS if any(code in each.codes for each in known))
    signal: Signal = "Danger" if _DANGER & set(codes) else "Warning" if codes else ""
    wear = tuple(dict.fromkeys(item for each in known for item in each.wear))
    return Hazards(signal, _signs(codes), codes, _plain(wear), tuple(e.substance for e in known))


def _signs(codes: tuple[str, ...]) -> tuple[str, ...]:
    said = set(codes)
    signs = {sign for sign, of in _PICTOGRAMS if of & said}
    for weaker, stronger in _GIVES_WAY:
        if stronger in signs:
            said -= weaker
    return tuple(sign for sign, of in _PICTOGRAMS if of & said)


def _plain(wear: tuple[str, ...]) -> tuple[str, ...]:
    """Without what another item holds already: gloves beside thick gloves."""
    return tuple(
        item
        for item in wear
        if not any(item != other and item in other.split(",")[0] for other in wear)
    )
