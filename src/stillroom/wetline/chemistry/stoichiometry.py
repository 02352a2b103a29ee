"""What bleaches, clears and tap water do to silver, mole by mole."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import UnknownName, in_range
from stillroom.wetline.chemistry.substances import ATOMIC_MASS_G_MOL, mass_g_mol, substance

CHLORIDE_G_MOL = ATOMIC_MASS_G_MOL["Cl"]
SULFATE_SOLUBILITY_G_L = (7.9, 8.3)
"""Silver sulfate in water at 20 to 25 °C [g/L] (handbook, from memory)."""


@dataclass(frozen=True, slots=True)
class Couple:
    """What one mole of an oxidant does.

    Parameters
    ----------
    oxidant : str
        Its group or id.
    silver_mol : float
        Silver it takes up [mol/mol].
    protons_mol : float
        Hydrogen ions it uses on the way [mol/mol].
    sulfite_mol : float
        Sulfite that clears it [mol/mol].
    reaction : str
        The equation.
    """

    oxidant: str
    silver_mol: float
    protons_mol: float
    sulfite_mol: float
    reaction: str


COUPLES = {
    "dichromate": Couple(
        "dichromate", 6, 14, 3, "Cr2O7(2-) + 6 Ag + 14 H(+) -> 2 Cr(3+) + 6 Ag(+) + 7 H2O"
    ),
    "potassium permanganate": Couple(
        "potassium permanganate", 5, 8, 2.5, "MnO4(-) + 5 Ag + 8 H(+) -> Mn(2+) + 5 Ag(+) + 4 H2O"
    ),
    "hydrogen peroxide": Couple(
        "hydrogen peroxide", 2, 2, 1, "H2O2 + 2 Ag + 2 H(+) -> 2 Ag(+) + 2 H2O"
    ),
}
"""Oxidants that dissolve silver and leave halide alone."""
MANGANESE_STAIN_SULFITE_MOL = 1.0
"""Sulfite for each mole of the brown stain: MnO2 + SO3(2-) + 2 H(+) -> Mn(2+) + SO4(2-) + H2O;
it needs acid, so metabisulfite does better than plain sulfite [mol/mol]."""


def couple_of(oxidant: str) -> Couple:
    """What an oxidant does, by its id.

    Raises
    ------
    UnknownName
        If it is no oxidant known here.

    Examples
    --------
    >>> couple_of("ammonium dichromate").silver_mol
    6
    """
    found = substance(oxidant)
    key = found.group or found.id
    if key not in COUPLES:
        raise UnknownName("oxidant", oxidant, COUPLES)
    return COUPLES[key]


def silver_g_per_g(oxidant: str) -> float:
    """Silver that a gram of an oxidant can take up [g/g]; in a bath it never gets so far.

    Examples
    --------
    >>> round(silver_g_per_g("potassium dichromate"), 3)
    2.2
    """
    return couple_of(oxidant).silver_mol * mass_g_mol("silver") / mass_g_mol(oxidant)


def protons_per_silver(oxidant: str) -> float:
    """Hydrogen ions used for each atom of silver [mol/mol].

    Examples
    --------
    >>> round(protons_per_silver("potassium permanganate"), 2)
    1.6
    """
    couple = couple_of(oxidant)
    return couple.protons_mol / couple.silver_mol


def sulfite_g(oxidant: str, carried_g: float) -> float:
    """Sulfite, anhydrous, that clears what a sheet carries along of an oxidant [g].

    Parameters
    ----------
    oxidant : str
        Id of the oxidant.
    carried_g : float
        How much of it [g].

    Examples
    --------
    >>> round(sulfite_g("potassium dichromate", 1.0), 2)
    1.29
    """
    moles = in_range("carried_g", carried_g, 0, 1e5, "g") / mass_g_mol(oxidant)
    return moles * couple_of(oxidant).sulfite_mol * mass_g_mol("sodium sulfite")


def silver_locked_mg_l(chloride_mg_l: float) -> float:
    """Silver that chloride of tap water keeps in the emulsion, to be developed as veil.

    Parameters
    ----------
    chloride_mg_l : float
        Chloride in the water [mg/L].

    Returns
    -------
    float
        Silver [mg/L].

    Examples
    --------
    >>> round(silver_locked_mg_l(50))
    152
    """
    chloride = in_range("chloride_mg_l", chloride_mg_l, 0, 100_000, "mg/L")
    return chloride * mass_g_mol("silver") / CHLORIDE_G_MOL


def silver_dissolved_g_l(sulfate_g_l: float) -> float:
    """Silver in a solution of silver sulfate [g/L].

    Parameters
    ----------
    sulfate_g_l : float
        Silver sulfate dissolved [g/L].

    Examples
    --------
    >>> round(silver_dissolved_g_l(8.3), 1)
    5.7
    """
    dissolved = in_range("sulfate_g_l", sulfate_g_l, 0, 1000, "g/L")
    return dissolved * 2 * mass_g_mol("silver") / mass_g_mol("silver sulfate")


def oxygen_l(peroxide_g: float, temperature_c: float = 20.0) -> float:
    """Oxygen that peroxide gives off when it falls apart: why its bottle needs a vent.

    Parameters
    ----------
    peroxide_g : float
        Hydrogen peroxide [g].
    temperature_c : float
        Of the gas, at one atmosphere [°C].

    Returns
    -------
    float
        Volume [L].

    Examples
    --------
    >>> round(oxygen_l(30), 1)
    10.6
    """
    moles = in_range("peroxide_g", peroxide_g, 0, 1e6, "g") / mass_g_mol("hydrogen peroxide") / 2
    kelvin = 273.15 + in_range("temperature_c", temperature_c, -50, 100, "°C")
    return moles * 0.082057 * kelvin
