"""How strong a bottle is: percentages of three kinds, densities, and what they make together."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from stillroom.errors import BadValue, OutOfRange, in_range
from stillroom.wetline.chemistry.substances import mass_g_mol, substance

Basis = Literal["w/w", "w/v", "v/v", "volumes"]

WATER_G_ML = 0.998
"""Density of water at 20 °C [g/ml]."""
_OXYGEN_L_MOL = 22.414  # at 0 °C and one atmosphere, as the volumes of a label are counted

# Percent w/w and g/ml at 20 °C. Sulfuric acid from 10 to 50 and 96, 98: handbook, as the
# reference notes print them; the rest of the tables from memory of the same kind of handbook.
_DENSITY: dict[str, tuple[tuple[float, float], ...]] = {
    "sulfuric acid": (
        (0, 0.998), (5, 1.032), (10, 1.066), (20, 1.139), (30, 1.2185), (37, 1.277), (40, 1.303),
        (50, 1.395), (60, 1.498), (70, 1.611), (80, 1.727), (90, 1.814), (96, 1.835), (98, 1.836),
        (100, 1.8305),
    ),
    "nitric acid": (
        (0, 0.998), (5, 1.026), (10, 1.054), (20, 1.115), (30, 1.180), (40, 1.246), (50, 1.310),
        (60, 1.367), (65, 1.391), (70, 1.413),
    ),
    "hydrochloric acid": (
        (0, 0.998), (10, 1.047), (20, 1.098), (30, 1.149), (36, 1.179), (40, 1.198),
    ),
    "acetic acid": (
        (0, 0.998), (10, 1.012), (20, 1.026), (40, 1.049), (60, 1.064), (80, 1.070), (90, 1.066),
        (100, 1.050),
    ),
    "hydrogen peroxide": (
        (0, 0.998), (3, 1.009), (6, 1.020), (10, 1.034), (20, 1.071), (30, 1.110), (35, 1.131),
        (50, 1.196),
    ),
}  # fmt: skip

HIGHEST_PERCENT = {name: points[-1][0] for name, points in _DENSITY.items()}
"""The strongest that can be bought or is reckoned with [% w/w]."""
USUAL = {
    "sulfuric acid": (98.0, 96.0, 50.0, 37.0, 30.0, 20.0, 10.0),
    "nitric acid": (70.0, 65.0, 53.0),
    "hydrochloric acid": (37.0, 30.0),
    "acetic acid": (100.0, 80.0, 60.0, 25.0),
    "hydrogen peroxide": (35.0, 30.0, 12.0, 6.0, 3.0),
}
"""Strengths that labels say [% w/w]."""
_STRONGEST_WHY = {
    "hydrochloric acid": "water holds at most 40 % w/w of it; 98 % is a label of sulfuric acid",
    "nitric acid": "stronger than 70 % w/w it fumes and has no place here",
    "hydrogen peroxide": "stronger than 50 % w/w it is no thing for a darkroom",
}
DENSITY_SLACK_G_ML = 0.02
"""A label is rounded, and a bottle is not always at 20 °C; more is another strength."""

_BOTTLE = re.compile(
    r"^\s*(?P<name>[^\d%]*?)\s*(?P<figure>\d+(?:[.,]\d+)?)\s*(?P<unit>%|percent|vol(?:ume)?s?)?"
    r"\s*(?P<basis>w\s*/\s*w|w\s*/\s*v|v\s*/\s*v)?\s*$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Bottle:
    """A liquid of a known strength.

    Parameters
    ----------
    name : str
        Id of the substance.
    percent : float
        Its strength [%], or litres of oxygen for ``volumes``.
    basis : str
        ``w/w``: grams in 100 g; ``w/v``: grams in 100 ml; ``v/v``: millilitres of the pure liquid
        in 100 ml; ``volumes``: litres of oxygen out of a litre, of peroxide alone.
    density_g_ml : float, optional
        What its label says; by the table when left out [g/ml].

    Raises
    ------
    UnknownName
        If there is no such substance.
    BadValue
        If the strength cannot be, or the label's density belongs to another one.

    Examples
    --------
    >>> round(Bottle("sulfuric acid", 37).g_per_ml, 4)
    0.4725
    """

    name: str
    percent: float
    basis: Basis = "w/w"
    density_g_ml: float | None = None

    def __post_init__(self) -> None:
        known = substance(self.name)
        object.__setattr__(self, "name", known.id)
        if known.id not in _DENSITY:
            liquids = ", ".join(_DENSITY)
            raise BadValue(
                "bottle", self.name, f"its strengths are not known here, only {liquids}"
            )
        highest = 500.0 if self.basis == "volumes" else 100.0
        value = in_range(f"strength of {known.name}", self.percent, 0, highest, "%")
        if value == 0:
            raise BadValue(f"strength of {known.name}", value, "that is water; read the label")
        if self.basis == "volumes" and known.id != "hydrogen peroxide":
            raise BadValue("volumes", value, "only peroxide is sold by volumes of oxygen; say %")
        self._check_strongest()
        if self.density_g_ml is not None:
            self._check_density(self.density_g_ml)

    def _check_strongest(self) -> None:
        highest = HIGHEST_PERCENT[self.name]
        most = _g_per_ml(self.name, highest)
        of = f"strength of {self.name}"
        strongest = f"{highest:g} % w/w, {100 * most:.0f} % w/v"
        why = _STRONGEST_WHY.get(self.name, f"the strongest is {strongest}; read the label again")
        if self.basis == "w/w":
            if self.percent > highest:
                raise BadValue(of, f"{self.percent:g} %", why)
        elif self.basis != "v/v" and self._told_g_per_ml() > most * 1.001:
            raise BadValue(of, f"{self.percent:g} {_unit(self.basis)}", why)

    def _check_density(self, density: float) -> None:
        in_range("density", density, 0.7, 2.5, "g/ml")
        expected = self._table_density()
        if abs(density - expected) <= DENSITY_SLACK_G_ML:
            return
        at = percent_of_density(self.name, density)
        fits = (
            f"{density:g} g/ml is about {at:.0f} % w/w"
            if at is not None
            else (f"no strength of it weighs {density:g} g/ml")
        )
        raise BadValue(
            f"density of {self.name} of {self.percent:g} {_unit(self.basis)}",
            f"{density:g} g/ml",
            f"that strength weighs {expected:.3f} g/ml and {fits}; read the label again",
        )

    def _told_g_per_ml(self) -> float:
        if self.basis == "w/v":
            return self.percent / 100
        if self.basis == "volumes":
            return peroxide_g_l(self.percent) / 1000
        return self.percent / 100 * density_g_ml(self.name, HIGHEST_PERCENT[self.name])

    def _table_density(self) -> float:
        return density_g_ml(self.name, self.percent_ww)

    @property
    def percent_ww(self) -> float:
        """Its strength by mass [% w/w]."""
        if self.basis == "w/w":
            return float(self.percent)
        return percent_ww_of(self.name, self._told_g_per_ml())

    @property
    def density(self) -> float:
        """Its density at 20 °C [g/ml]: the label's where it says one."""
        return self._table_density() if self.density_g_ml is None else self.density_g_ml

    @property
    def g_per_ml(self) -> float:
        """Grams of the pure substance in a millilitre [g/ml]."""
        if self.basis == "w/w":
            return self.percent / 100 * self.density
        return self._told_g_per_ml()

    @property
    def mol_l(self) -> float:
        """Moles in a litre [mol/L]."""
        return self.g_per_ml * 1000 / mass_g_mol(self.name)

    @property
    def text(self) -> str:
        """How it is said: ``37 % w/w, 1.277 g/ml``."""
        return f"{self.percent:g} {_unit(self.basis)}, {self.density:.3f} g/ml"


def density_g_ml(name: str, percent_ww: float) -> float:
    """Density of a solution at 20 °C, straight between the entries of a handbook's table.

    Parameters
    ----------
    name : str
        ``sulfuric acid``, ``nitric acid``, ``hydrochloric acid``, ``acetic acid`` or
        ``hydrogen peroxide``.
    percent_ww : float
        Strength by mass [% w/w].

    Returns
    -------
    float
        Density [g/ml]; within 0.003 between entries, at 20 °C only.

    Raises
    ------
    BadValue
        If the table does not go so far.

    Examples
    --------
    >>> density_g_ml("sulfuric acid", 37)
    1.277
    """
    points = _table(name)
    if not 0 <= percent_ww <= points[-1][0]:
        raise OutOfRange(f"strength of {name}", percent_ww, 0, points[-1][0], "% w/w")
    for (p0, d0), (p1, d1) in pairwise(points):
        if percent_ww <= p1:
            return d0 + (d1 - d0) * (percent_ww - p0) / (p1 - p0)
    return points[-1][1]


def percent_of_density(name: str, density: float) -> float | None:
    """The strength that weighs so much [% w/w], the weaker where two do; None where none does.

    Parameters
    ----------
    name : str
        As `density_g_ml`.
    density : float
        Density at 20 °C [g/ml].

    Examples
    --------
    >>> percent_of_density("sulfuric acid", 1.277)
    37.0
    """
    points = _table(name)
    for (p0, d0), (p1, d1) in pairwise(points):
        if d0 <= density <= d1:
            return p0 + (p1 - p0) * (density - d0) / (d1 - d0)
    return None


def percent_ww_of(name: str, g_per_ml: float) -> float:
    """The strength by mass that holds so much in a millilitre.

    Parameters
    ----------
    name : str
        As `density_g_ml`.
    g_per_ml : float
        Grams of the pure substance in a millilitre [g/ml].

    Returns
    -------
    float
        Strength [% w/w].

    Raises
    ------
    BadValue
        If no strength holds so much.

    Examples
    --------
    >>> round(percent_ww_of("hydrogen peroxide", 0.03), 2)
    2.97
    """
    low, high = 0.0, _table(name)[-1][0]
    if not 0 <= g_per_ml <= _g_per_ml(name, high) * 1.001:
        raise BadValue(f"strength of {name}", g_per_ml, "no bottle holds so much in a millilitre")
    for _ in range(60):
        middle = (low + high) / 2
        if _g_per_ml(name, middle) < g_per_ml:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def peroxide_g_l(volumes: float) -> float:
    """Grams of peroxide in a litre that gives so many litres of oxygen, at 0 °C.

    Parameters
    ----------
    volumes : float
        Litres of oxygen from a litre [1].

    Returns
    -------
    float
        Peroxide [g/L].

    Examples
    --------
    >>> round(peroxide_g_l(10), 1)
    30.4
    """
    return (
        2
        * mass_g_mol("hydrogen peroxide")
        * in_range("volumes", volumes, 0, 500)
        / (_OXYGEN_L_MOL)
    )


def parse_bottle(text: str, otherwise: str, density_g_ml: float | None = None) -> Bottle:
    """Read a label as people write it.

    Parameters
    ----------
    text : str
        ``37``, ``37 %``, ``sulfuric acid 37 % w/w``, ``3 % w/v``, ``20 volumes``.
    otherwise : str
        The substance where none is named.
    density_g_ml : float, optional
        What the label says besides [g/ml].

    Raises
    ------
    BadValue
        If it says no strength, or one that cannot be.
    UnknownName
        If the substance is not known.

    Examples
    --------
    >>> parse_bottle("20 volumes", "hydrogen peroxide").basis
    'volumes'
    """
    found = _BOTTLE.match(text)
    if found is None:
        raise BadValue("strength", text, "write it like 37 %, sulfuric acid 37 % or 3 % w/v")
    unit = (found["unit"] or "%").lower()
    said = re.sub(r"\s", "", (found["basis"] or "").lower())
    bases: dict[str, Basis] = {"w/w": "w/w", "w/v": "w/v", "v/v": "v/v"}
    basis: Basis = "volumes" if unit.startswith("vol") else bases.get(said, "w/w")
    name = found["name"].strip(" ,:=") or otherwise
    if name.lower() == "battery acid":
        name = "sulfuric acid"
    return Bottle(name, float(found["figure"].replace(",", ".")), basis, density_g_ml)


def _table(name: str) -> tuple[tuple[float, float], ...]:
    if name not in _DENSITY:
        raise BadValue("liquid", name, f"densities are known of {', '.join(_DENSITY)}")
    return _DENSITY[name]


def _g_per_ml(name: str, percent_ww: float) -> float:
    return percent_ww / 100 * density_g_ml(name, percent_ww)


def _unit(basis: Basis) -> str:
    return "volumes" if basis == "volumes" else f"% {basis}"


def bottle_named(bottle: Bottle) -> str:
    """How a bottle is called in a list: ``sulfuric acid, 37 % w/w``.

    Examples
    --------
    >>> bottle_named(Bottle("sulfuric acid", 37))
    'sulfuric acid, 37 % w/w'
    """
    return f"{substance(bottle.name).name}, {bottle.percent:g} {_unit(bottle.basis)}"
