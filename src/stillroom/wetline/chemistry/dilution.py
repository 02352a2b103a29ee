"""Amounts: the same acid out of another bottle, parts of stock and water, percent solutions."""

from __future__ import annotations

import re

from stillroom.errors import BadValue, in_range
from stillroom.wetline.chemistry.bottle import WATER_G_ML, Basis, Bottle
from stillroom.wetline.chemistry.substances import mass_g_mol

MOST_ML = 200_000.0
_DILUTION_KJ_MOL = 73.0  # sulfuric acid into much water; handbook, from memory
_WATER_KJ_KG_K = 4.186
_PARTS = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*(?:\+|:)\s*(\d+(?:[.,]\d+)?)\s*$")


def equal_by_mass_ml(volume_ml: float, written: Bottle, at_hand: Bottle) -> float:
    """Volume of one bottle that holds as much of the pure substance as a volume of another.

    Parameters
    ----------
    volume_ml : float
        What the recipe says [ml].
    written, at_hand : Bottle
        The recipe's bottle, and the one there is.

    Returns
    -------
    float
        Volume of the one there is [ml].

    Raises
    ------
    BadValue
        If they hold different substances.
    OutOfRange
        If the volume is negative.

    Notes
    -----
    By mass: V p d = V' p' d'. The ratio of the percentages alone leaves out the densities and, for
    37 % in the place of 98 % sulfuric acid, gives 30 % too little.

    Examples
    --------
    >>> round(equal_by_mass_ml(10, Bottle("sulfuric acid", 98), Bottle("sulfuric acid", 37)), 1)
    38.1
    """
    if written.name != at_hand.name:
        raise BadValue(
            "acid", at_hand.name, f"the recipe wants {written.name}; one does not stand in for it"
        )
    amount = in_range("volume_ml", volume_ml, 0, MOST_ML, "ml")
    return amount * written.g_per_ml / at_hand.g_per_ml


def bottle_for_ml(pure_g: float, at_hand: Bottle) -> float:
    """Volume of a bottle that holds so many grams of the pure substance [ml].

    Parameters
    ----------
    pure_g : float
        Mass of the pure substance [g].
    at_hand : Bottle
        The bottle there is.

    Examples
    --------
    >>> round(bottle_for_ml(30, Bottle("hydrogen peroxide", 3, "w/v")))
    1000
    """
    return in_range("pure_g", pure_g, 0, 1e6, "g") / at_hand.g_per_ml


def parts_ml(volume_ml: float, stock_parts: float, water_parts: float) -> tuple[float, float]:
    """Stock and water for a volume of a dilution by parts, such as 1+9 [ml].

    Parameters
    ----------
    volume_ml : float
        What is wanted [ml].
    stock_parts, water_parts : float
        Parts by volume [1].

    Raises
    ------
    OutOfRange
        If a number cannot be.

    Examples
    --------
    >>> parts_ml(1000, 1, 9)
    (100.0, 900.0)
    """
    volume = in_range("volume_ml", volume_ml, 0, MOST_ML, "ml")
    stock = in_range("stock_parts", stock_parts, 1e-3, 1000)
    water = in_range("water_parts", water_parts, 0, 1000)
    return volume * stock / (stock + water), volume * water / (stock + water)


def parse_parts(text: str) -> tuple[float, float]:
    """Read a dilution: ``1+9`` is one part and nine of water, ``1:10`` the same.

    Raises
    ------
    BadValue
        If it is none.

    Examples
    --------
    >>> parse_parts("1+9"), parse_parts("1:10")
    ((1.0, 9.0), (1.0, 9.0))
    """
    found = _PARTS.match(text)
    if found is None:
        raise BadValue("dilution", text, "write it like 1+9: one part and nine of water")
    stock, second = (float(part.replace(",", ".")) for part in found.groups())
    water = second if "+" in text else second - stock
    if stock <= 0 or water < 0:
        raise BadValue("dilution", text, "write it like 1+9: one part and nine of water")
    return stock, water


def diluted_ml(volume_ml: float, stock: Bottle, percent: float, basis: Basis = "w/v") -> float:
    """Volume of a bottle that makes a weaker solution.

    Parameters
    ----------
    volume_ml : float
        What is wanted [ml].
    stock : Bottle
        The bottle there is.
    percent, basis : float, str
        Strength that is wanted [%].

    Returns
    -------
    float
        Volume of the stock [ml]; then fill up with water, acid into water.

    Raises
    ------
    BadValue
        If the bottle is too weak.

    Examples
    --------
    >>> round(diluted_ml(1000, Bottle("acetic acid", 80), 2, "w/v"), 1)
    23.4
    """
    volume = in_range("volume_ml", volume_ml, 0, MOST_ML, "ml")
    wanted = Bottle(stock.name, percent, basis)
    if wanted.g_per_ml > stock.g_per_ml * (1 + 1e-9):
        raise BadValue(
            f"strength of {stock.name}", f"{percent:g} %", "the bottle is weaker than that"
        )
    return volume * wanted.g_per_ml / stock.g_per_ml


def solute_g(
    volume_ml: float, percent: float, basis: Basis = "w/v", solution_g_ml: float | None = None
) -> float:
    """Grams of a solid for a percent solution.

    Parameters
    ----------
    volume_ml : float
        How much solution [ml].
    percent : float
        Its strength [%].
    basis : str
        ``w/v``: grams in 100 ml of solution; ``w/w``: grams in 100 g of it.
    solution_g_ml : float, optional
        Density of the solution, needed for ``w/w`` [g/ml].

    Returns
    -------
    float
        Mass to weigh [g].

    Raises
    ------
    BadValue
        If a solid is asked for by volume, or a density is missing.
    OutOfRange
        If a number cannot be.

    Examples
    --------
    >>> solute_g(500, 2)
    10.0
    """
    volume = in_range("volume_ml", volume_ml, 0, MOST_ML, "ml")
    share = in_range("percent", percent, 0, 100, "%") / 100
    if basis == "w/v":
        return volume * share
    if basis != "w/w":
        raise BadValue("percent", f"{percent:g} % {basis}", "a solid is weighed: say w/v or w/w")
    if solution_g_ml is None:
        raise BadValue(
            "percent", f"{percent:g} % w/w", "by mass the density of the solution is needed"
        )
    return volume * share * in_range("solution_g_ml", solution_g_ml, 0.7, 2.5, "g/ml")


def water_in_bottle_ml(volume_ml: float, at_hand: Bottle) -> float:
    """Water that comes along with a volume of a bottle [ml].

    Examples
    --------
    >>> round(water_in_bottle_ml(100, Bottle("sulfuric acid", 37)), 1)
    80.6
    """
    return volume_ml * (at_hand.density - at_hand.g_per_ml) / WATER_G_ML


def warming_c(acid_mol: float, volume_ml: float) -> float:
    """How much sulfuric acid warms the water it goes into, if nothing is lost.

    Parameters
    ----------
    acid_mol : float
        Sulfuric acid [mol].
    volume_ml : float
        The bath [ml], held to warm like water.

    Returns
    -------
    float
        Rise [K]. The heat of dilution is taken as 73 kJ/mol, of concentrated acid into much
        water; of weaker acid less.

    Examples
    --------
    >>> round(warming_c(0.220, 1000), 1)
    3.8
    """
    moles = in_range("acid_mol", acid_mol, 0, 1e4, "mol")
    litres = in_range("volume_ml", volume_ml, 1, MOST_ML, "ml") / 1000
    return moles * _DILUTION_KJ_MOL / (_WATER_KJ_KG_K * litres)


def acid_mol(volume_ml: float, bottle: Bottle) -> float:
    """Moles of acid in a volume of a bottle [mol].

    Examples
    --------
    >>> round(acid_mol(12, Bottle("sulfuric acid", 98)), 3)
    0.22
    """
    return volume_ml * bottle.g_per_ml / mass_g_mol(bottle.name)


def by_percentages_ml(volume_ml: float, written: Bottle, at_hand: Bottle) -> float:
    """What the ratio of percentages alone would give [ml]: wrong, to show by how much.

    Examples
    --------
    >>> round(by_percentages_ml(10, Bottle("sulfuric acid", 98), Bottle("sulfuric acid", 37)), 1)
    26.5
    """
    return volume_ml * written.percent_ww / at_hand.percent_ww
