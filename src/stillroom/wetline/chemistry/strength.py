"""How sour a bath is: sulfuric acid, bisulfate and citric acid, as ideal solutions."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.wetline.chemistry.substances import mass_g_mol

PKA2_SULFURIC = 1.99
"""Second step of sulfuric acid (handbook, from memory)."""
PKA1_CITRIC = 3.13
"""First step of citric acid (handbook, from memory); its later steps do not count below pH 3."""


def free_acid_mol_l(acid_mol_l: float, *, strong_mol_l: float | None = None) -> float:
    """Free hydrogen ions of sulfuric acid, or of its bisulfate.

    Parameters
    ----------
    acid_mol_l : float
        Sulfate in all its forms [mol/L].
    strong_mol_l : float, optional
        Hydrogen ions that are free whatever the second step does: as much as the sulfate for
        sulfuric acid (left out), 0 for bisulfate [mol/L].

    Returns
    -------
    float
        Hydrogen ions [mol/L], by the ideal law of mass action: activity is left out.

    Examples
    --------
    >>> round(free_acid_mol_l(0.220), 3), round(free_acid_mol_l(0.44, strong_mol_l=0), 3)
    (0.229, 0.062)
    """
    total = in_range("acid_mol_l", acid_mol_l, 0, 20, "mol/L")
    strong = total if strong_mol_l is None else in_range("strong_mol_l", strong_mol_l, 0, 20)
    k = 10**-PKA2_SULFURIC
    b = strong + k
    return strong + (-b + math.sqrt(b * b + 4 * k * total)) / 2


def ideal_ph(free_mol_l: float) -> float:
    """PH of so many free hydrogen ions, as an ideal solution.

    Parameters
    ----------
    free_mol_l : float
        Hydrogen ions [mol/L].

    Examples
    --------
    >>> round(ideal_ph(0.229), 2)
    0.64
    """
    return -math.log10(in_range("free_mol_l", free_mol_l, 1e-14, 50, "mol/L"))


def citric_ph(citric_g_l: float) -> float:
    """PH of citric acid, anhydrous, in water, as an ideal solution of its first step.

    Parameters
    ----------
    citric_g_l : float
        Citric acid, anhydrous [g/L].

    Examples
    --------
    >>> round(citric_ph(50), 1)
    1.9
    """
    total = in_range("citric_g_l", citric_g_l, 0.001, 1000, "g/L") / mass_g_mol("citric acid")
    k = 10**-PKA1_CITRIC
    return ideal_ph((-k + math.sqrt(k * k + 4 * k * total)) / 2)


def bisulfate_g(acid_mol: float, form: str = "sodium bisulfate") -> float:
    """Bisulfate with as many hydrogen ions, bound and free, as sulfuric acid.

    Parameters
    ----------
    acid_mol : float
        Sulfuric acid [mol].
    form : str
        ``sodium bisulfate`` or ``sodium bisulfate monohydrate``.

    Returns
    -------
    float
        Mass [g]: two moles for one of the acid. Fewer of them are free (`free_acid_mol_l`), so
        the bath bleaches more slowly.

    Examples
    --------
    >>> round(bisulfate_g(0.220))
    53
    """
    return 2 * in_range("acid_mol", acid_mol, 0, 1e4, "mol") * mass_g_mol(form)
