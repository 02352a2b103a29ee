"""How many sheets a bath can do: what its silver allows, and the clocks that stop it first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import in_range
from stillroom.wetline.chemistry.stoichiometry import protons_per_silver, silver_g_per_g
from stillroom.wetline.chemistry.substances import mass_g_mol

STANDARD_MM = (203.2, 254.0)
"""The sheet that capacities are counted in: 8x10 in."""
STANDARD_M2 = STANDARD_MM[0] * STANDARD_MM[1] / 1e6
SILVER_G_M2 = 1.3
"""Silver in the coating of a paper, 1.0 to 1.6 (common practice, no source) [g/m2]."""
FRACTION_BLEACHED = 0.5
"""Share of it that a portrait gives to the bleach, 0.3 to 0.8 (common practice, no source)."""
CARRY_ML = {"rc": 4.0, "fibre": 15.0}
"""What an 8x10 carries along, drained ten seconds: 3 to 5, 10 to 20 (common practice) [ml]."""
DILUTION_LIMIT = 0.25
"""Share of a bath replaced by carried water at which it is held to be spent (ours)."""
CLEAR_TIMES_LIMIT = 2.0
"""Times its first time to clear at which a bath is spent (common practice, no source)."""
LAST_SHARE = 0.85
"""Share of a clock from which on a bath is on its last sheets (ours)."""


def sheet_equivalents(width_mm: float, height_mm: float) -> float:
    """How many 8x10 sheets a sheet counts for, by area.

    Parameters
    ----------
    width_mm, height_mm : float
        Sides of the sheet [mm].

    Returns
    -------
    float
        8x10 sheets [1].

    Raises
    ------
    OutOfRange
        If a side cannot be.

    Examples
    --------
    >>> sheet_equivalents(127, 177.8)
    0.4375
    """
    width = in_range("width_mm", width_mm, 1, 5000, "mm")
    height = in_range("height_mm", height_mm, 1, 5000, "mm")
    return round(width * height / (STANDARD_MM[0] * STANDARD_MM[1]), 9)


def silver_g(
    sheets: float, silver_g_m2: float = SILVER_G_M2, fraction: float = FRACTION_BLEACHED
) -> float:
    """Silver that sheets give to the bleach [g].

    Parameters
    ----------
    sheets : float
        8x10 sheets [1].
    silver_g_m2 : float
        Silver in the coating [g/m2].
    fraction : float
        Share of it that the first developer reduced [1].

    Examples
    --------
    >>> round(silver_g(20), 2)
    0.67
    """
    return (
        in_range("sheets", sheets, 0, 1e6)
        * STANDARD_M2
        * in_range("silver_g_m2", silver_g_m2, 0.01, 20, "g/m2")
        * in_range("fraction", fraction, 0.01, 1)
    )


def oxidant_limit_g_l(oxidant: str, oxidant_g_l: float) -> float:
    """Silver that the oxidant of a bath could take up at most [g/L].

    Examples
    --------
    >>> round(oxidant_limit_g_l("potassium dichromate", 9.5), 1)
    20.9
    """
    return in_range("oxidant_g_l", oxidant_g_l, 0, 1000, "g/L") * silver_g_per_g(oxidant)


def acid_limit_g_l(oxidant: str, acid_mol_l: float, protons: float = 2.0) -> float:
    """Silver until the acid of a bath is used up [g/L].

    Parameters
    ----------
    oxidant : str
        Id of the oxidant.
    acid_mol_l : float
        Acid [mol/L].
    protons : float
        Hydrogen ions counted of each of its molecules: 2 of sulfuric acid at most [1].

    Examples
    --------
    >>> round(acid_limit_g_l("potassium permanganate", 0.0359), 1)
    4.8
    """
    acid = in_range("acid_mol_l", acid_mol_l, 0, 20, "mol/L")
    ions = acid * in_range("protons", protons, 0, 3)
    return ions / protons_per_silver(oxidant) * mass_g_mol("silver")


def sheets_for_silver(
    silver_g_l: float,
    silver_g_m2: float = SILVER_G_M2,
    fraction: float = FRACTION_BLEACHED,
) -> float:
    """8x10 sheets a litre can do until it holds so much silver [1/L].

    Parameters
    ----------
    silver_g_l : float
        Silver at the end [g/L].
    silver_g_m2, fraction : float
        As `silver_g`.

    Examples
    --------
    >>> round(sheets_for_silver(20.9))
    623
    """
    return in_range("silver_g_l", silver_g_l, 0, 1000, "g/L") / silver_g(1, silver_g_m2, fraction)


def diluted_share(sheets: float, carry_ml: float, volume_ml: float) -> float:
    """Share of a bath that sheets carried out and replaced by water of the tray before.

    Parameters
    ----------
    sheets : float
        8x10 sheets [1].
    carry_ml : float
        What each carries in, and out [ml].
    volume_ml : float
        The bath [ml].

    Returns
    -------
    float
        Between 0 and 1: 1 - (1 - c/V)^n.

    Examples
    --------
    >>> round(diluted_share(20, 10, 1000), 2)
    0.18
    """
    count = in_range("sheets", sheets, 0, 1e6)
    volume = in_range("volume_ml", volume_ml, 1, 1e6, "ml")
    carried = in_range("carry_ml", carry_ml, 0, 1000, "ml")
    return float(1 - (1 - min(carried / volume, 1.0)) ** count)


@dataclass(frozen=True, slots=True)
class BathClock:
    """One clock of a bath.

    Parameters
    ----------
    of : str
        ``sheets`` (silver), ``dilution`` (water carried in), ``hours``, ``time`` (it takes).
    used : float
        How far it has run.
    limit : float or None
        Where it stops; None: nowhere.
    """

    of: Literal["sheets", "dilution", "hours", "time"]
    used: float
    limit: float | None

    @property
    def share(self) -> float:
        """How much of it has run [1]; 0 without a limit."""
        if self.limit is None or self.limit <= 0:
            return 0.0
        if self.of == "time":  # it begins at once its first time, and stops at twice
            return max(0.0, (self.used - 1) / (self.limit - 1))
        return self.used / self.limit


def clocks_of_bath(
    *,
    sheets: float,
    volume_ml: float,
    sheets_per_l: float | None,
    carry_ml: float,
    hours: float,
    hours_good: float | None,
    times_first: float | None = None,
) -> tuple[BathClock, ...]:
    """The clocks of a bath: sheets, water carried in, hours, and how much slower it has become.

    Parameters
    ----------
    sheets : float
        8x10 sheets through it [1].
    volume_ml : float
        The bath [ml].
    sheets_per_l : float or None
        8x10 sheets a litre is good for; None: not known [1/L].
    carry_ml : float
        What each carries in and out [ml].
    hours, hours_good : float, float or None
        Since it was mixed, and how long it keeps [h].
    times_first : float, optional
        Its last time to clear over its first; left out: not timed [1].

    Returns
    -------
    tuple of BathClock
        Those that run.

    Raises
    ------
    OutOfRange
        If a number cannot be.

    Examples
    --------
    >>> clocks = clocks_of_bath(
    ...     sheets=12, volume_ml=1000, sheets_per_l=12, carry_ml=4, hours=1, hours_good=4
    ... )
    >>> life_of(clocks)
    'past'
    """
    litres = in_range("volume_ml", volume_ml, 1, 1e6, "ml") / 1000
    used = in_range("sheets", sheets, 0, 1e6)
    found = [
        BathClock("sheets", used, None if sheets_per_l is None else sheets_per_l * litres),
        BathClock("dilution", diluted_share(used, carry_ml, volume_ml), DILUTION_LIMIT),
        BathClock("hours", in_range("hours", hours, 0, 1e6, "h"), hours_good),
    ]
    if times_first is not None:
        times = in_range("times_first", times_first, 0, 1e4)
        found.append(BathClock("time", times, CLEAR_TIMES_LIMIT))
    return tuple(found)


def first_clock(clocks: tuple[BathClock, ...]) -> BathClock:
    """The clock that has run furthest."""
    return max(clocks, key=lambda clock: clock.share)


def life_of(
    clocks: tuple[BathClock, ...], next_sheet: float = 0.0
) -> Literal["good", "last", "past"]:
    """Whether a bath is good, on its last sheets, or past its life, by the first of its clocks.

    Parameters
    ----------
    clocks : tuple of BathClock
        From `clocks_of_bath`.
    next_sheet : float
        What the next sheet counts for [8x10]; a bath that it fills is on its last [1].
    """
    share = first_clock(clocks).share
    if share >= 1 - 1e-9:
        return "past"
    sheets = next(clock for clock in clocks if clock.of == "sheets")
    fills = sheets.limit is not None and sheets.used + next_sheet >= sheets.limit - 1e-9
    return "last" if share >= LAST_SHARE or (next_sheet > 0 and fills) else "good"


def sheets_until_spent(
    volume_ml: float, sheets_per_l: float | None, carry_ml: float
) -> float | None:
    """8x10 sheets that a fresh bath is good for: by its silver or by what is carried in.

    Parameters
    ----------
    volume_ml, sheets_per_l, carry_ml
        As `clocks_of_bath`.

    Returns
    -------
    float or None
        The smaller of the two; None where no capacity is known.

    Examples
    --------
    >>> sheets_until_spent(1000, 20, 4)
    20.0
    >>> round(sheets_until_spent(1000, 20, 15), 1)
    19.0
    """
    if sheets_per_l is None:
        return None
    volume = in_range("volume_ml", volume_ml, 1, 1e6, "ml")
    by_silver = sheets_per_l * volume / 1000
    share = min(in_range("carry_ml", carry_ml, 0, 1000, "ml") / volume, 0.999)
    if share < 1e-12:  # not a drop
        return by_silver
    return min(by_silver, math.log1p(-DILUTION_LIMIT) / math.log1p(-share))
