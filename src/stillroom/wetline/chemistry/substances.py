"""What baths are made of: formulas, molar masses, and forms that stand in for each other."""

from __future__ import annotations

import re
from dataclasses import dataclass

from stillroom.errors import BadValue, UnknownName, in_range, shown

ATOMIC_MASS_G_MOL = {
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "S": 32.06, "Cl": 35.45,
    "K": 39.098, "Cr": 51.996, "Mn": 54.938, "Br": 79.904, "Ag": 107.868,
}  # fmt: skip
"""Standard atomic weights [g/mol] (IUPAC, from memory)."""

_PIECE = re.compile(r"([A-Z][a-z]?|\([^()]*\))(\d*)")


@dataclass(frozen=True, slots=True)
class Substance:
    """One substance as it is bought.

    Parameters
    ----------
    id : str
        How recipes call it.
    name : str
        What is said.
    formula : str
        Such as ``Na2SO3.7H2O``; empty for what a maker sells ready-made.
    group : str
        Substances of one group stand in for each other; empty: nothing does.
    active : float
        Of what works, in one formula of it [mol/mol].
    """

    id: str
    name: str
    formula: str = ""
    group: str = ""
    active: float = 1.0


_ALL = (
    Substance("potassium dichromate", "potassium dichromate", "K2Cr2O7", "dichromate"),
    Substance(
        "sodium dichromate dihydrate", "sodium dichromate, crystals", "Na2Cr2O7.2H2O", "dichromate"
    ),
    Substance("ammonium dichromate", "ammonium dichromate", "(NH4)2Cr2O7", "dichromate"),
    Substance("potassium permanganate", "potassium permanganate", "KMnO4"),
    Substance("hydrogen peroxide", "hydrogen peroxide", "H2O2"),
    Substance("sulfuric acid", "sulfuric acid", "H2SO4"),
    Substance("nitric acid", "nitric acid", "HNO3"),
    Substance("hydrochloric acid", "hydrochloric acid", "HCl"),
    Substance("acetic acid", "acetic acid", "C2H4O2"),
    Substance("sodium bisulfate", "sodium bisulfate, anhydrous", "NaHSO4", "bisulfate"),
    Substance(
        "sodium bisulfate monohydrate", "sodium bisulfate, monohydrate", "NaHSO4.H2O", "bisulfate"
    ),
    Substance("citric acid", "citric acid, anhydrous", "C6H8O7", "citric acid"),
    Substance(
        "citric acid monohydrate", "citric acid, monohydrate", "C6H8O7.H2O", "citric acid"
    ),
    Substance("sodium sulfite", "sodium sulfite, anhydrous", "Na2SO3", "sulfite"),
    Substance("sodium sulfite heptahydrate", "sodium sulfite, crystals", "Na2SO3.7H2O", "sulfite"),
    Substance("sodium bisulfite", "sodium bisulfite", "NaHSO3", "bisulfite"),
    Substance("sodium metabisulfite", "sodium metabisulfite", "Na2S2O5", "bisulfite", 2.0),
    Substance("potassium metabisulfite", "potassium metabisulfite", "K2S2O5", "bisulfite", 2.0),
    Substance("sodium carbonate", "sodium carbonate, anhydrous", "Na2CO3", "carbonate"),
    Substance(
        "sodium carbonate monohydrate", "sodium carbonate, monohydrate", "Na2CO3.H2O", "carbonate"
    ),
    Substance(
        "sodium carbonate decahydrate", "sodium carbonate, crystals", "Na2CO3.10H2O", "carbonate"
    ),
    Substance("potassium bromide", "potassium bromide", "KBr"),
    Substance(
        "p-methylaminophenol sulfate", "p-methylaminophenol sulfate", "(C7H9NO)2.H2SO4"
    ),
    Substance("hydroquinone", "hydroquinone", "C6H6O2"),
    Substance("1-phenyl-3-pyrazolidinone", "1-phenyl-3-pyrazolidinone", "C9H10N2O"),
    Substance("benzotriazole", "benzotriazole", "C6H5N3"),
    Substance("amidol", "amidol", "C6H8N2O.2HCl"),
    Substance("sodium thiosulfate", "sodium thiosulfate, anhydrous", "Na2S2O3", "thiosulfate"),
    Substance(
        "sodium thiosulfate pentahydrate", "sodium thiosulfate, crystals", "Na2S2O3.5H2O",
        "thiosulfate",
    ),
    Substance("ammonium thiosulfate", "ammonium thiosulfate", "(NH4)2S2O3"),
    Substance("silver", "silver", "Ag"),
    Substance("silver bromide", "silver bromide", "AgBr"),
    Substance("silver chloride", "silver chloride", "AgCl"),
    Substance("silver sulfate", "silver sulfate", "Ag2SO4"),
    Substance("paper developer", "ready-made paper developer"),
    Substance("rapid fixer", "ready-made rapid fixer, ammonium thiosulfate"),
)  # fmt: skip

SUBSTANCES = {each.id: each for each in _ALL}
"""Every substance that is known here, by its id."""


def substance(name: str) -> Substance:
    """A substance by its id.

    Raises
    ------
    UnknownName
        If none has it.

    Examples
    --------
    >>> substance("sodium sulfite").formula
    'Na2SO3'
    """
    key = " ".join(name.lower().replace("sulphu", "sulfu").replace("sulphi", "sulfi").split())
    if key not in SUBSTANCES:
        raise UnknownName("substance", name, SUBSTANCES)
    return SUBSTANCES[key]


def molar_mass_g_mol(formula: str) -> float:
    """Molar mass of a formula, water of crystallisation after a point.

    Parameters
    ----------
    formula : str
        Such as ``(NH4)2Cr2O7`` or ``Na2SO3.7H2O``.

    Returns
    -------
    float
        Molar mass [g/mol], from standard atomic weights of twelve elements.

    Raises
    ------
    BadValue
        If it cannot be read, or names another element.

    Examples
    --------
    >>> round(molar_mass_g_mol("K2Cr2O7"), 3)
    294.181
    """
    total = 0.0
    for part in formula.split("."):
        count, rest = _counted(part)
        total += count * _mass(rest, formula)
    return total


def mass_g_mol(name: str) -> float:
    """Molar mass of a substance by its id [g/mol].

    Raises
    ------
    UnknownName
        If there is no such substance.
    BadValue
        If it is something ready-made, whose formula its maker keeps.

    Examples
    --------
    >>> round(mass_g_mol("sodium sulfite"), 2)
    126.04
    """
    found = substance(name)
    if not found.formula:
        raise BadValue("substance", name, "it is sold ready-made and has no one formula")
    return molar_mass_g_mol(found.formula)


def in_form_g(amount_g: float, written: str, bought: str) -> float:
    """How much of another form of a substance holds as much of what works.

    Parameters
    ----------
    amount_g : float
        What the recipe says [g].
    written, bought : str
        Ids of the recipe's form and of the one in the cupboard.

    Returns
    -------
    float
        Mass of the other form [g].

    Raises
    ------
    BadValue
        If one does not stand in for the other.
    OutOfRange
        If the amount is negative.

    Notes
    -----
    By moles of what works; water of crystallisation that comes along is left for whoever fills up
    to volume.

    Examples
    --------
    >>> round(in_form_g(50, "sodium sulfite", "sodium sulfite heptahydrate"), 1)
    100.0
    """
    amount = in_range("amount_g", amount_g, 0, 1e6, "g")
    one, other = substance(written), substance(bought)
    if one.id == other.id:
        return amount
    if not one.group or one.group != other.group:
        forms = ", ".join(forms_of(one.id))
        raise BadValue(
            f"{one.name} in another form", bought, f"that is another substance; known: {forms}"
        )
    per_g = one.active / molar_mass_g_mol(one.formula)
    return amount * per_g * molar_mass_g_mol(other.formula) / other.active


def forms_of(name: str) -> tuple[str, ...]:
    """Ids of the forms that stand in for a substance, itself among them.

    Examples
    --------
    >>> forms_of("sodium sulfite")
    ('sodium sulfite', 'sodium sulfite heptahydrate')
    """
    found = substance(name)
    if not found.group:
        return (found.id,)
    return tuple(each.id for each in _ALL if each.group == found.group)


def _counted(part: str) -> tuple[int, str]:
    digits = re.match(r"\d*", part)
    lead = digits.group() if digits else ""
    return int(lead or 1), part[len(lead) :]


def _mass(part: str, whole: str) -> float:
    if not part or "".join(m.group() for m in _PIECE.finditer(part)) != part:
        raise BadValue("formula", whole, "write it like K2Cr2O7 or Na2SO3.7H2O")
    total = 0.0
    for found in _PIECE.finditer(part):
        what, count = found[1], int(found[2] or 1)
        if what.startswith("("):
            total += count * _mass(what[1:-1], whole)
        elif what in ATOMIC_MASS_G_MOL:
            total += count * ATOMIC_MASS_G_MOL[what]
        else:
            reason = f"{shown(what)} is no element known here"
            raise BadValue("formula", whole, reason)
    return total
