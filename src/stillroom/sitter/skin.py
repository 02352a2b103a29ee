"""The sitter: skin as the paper sees it, and how long they can hold still."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import BadValue, in_range
from stillroom.quantity import REFERENCE_REFLECTANCE, Stops

SkinGuess = Literal["light", "medium", "dark", "unknown"]

# Reflectance in the band of graded paper under D55: an open pigment-based chart's fair and dark
# skin, integrated with the reference curve for graded paper (the curve is from memory). Medium
# is their geometric mean, and so is the centre of what is unknown (invented).
_LIGHT = 0.1894
_DARK = 0.0636
_MEDIUM = math.sqrt(_LIGHT * _DARK)
SKIN_REFLECTANCE: dict[str, float] = {
    "light": _LIGHT,
    "medium": _MEDIUM,
    "dark": _DARK,
    "unknown": _MEDIUM,
}
"""Guess to reflectance in the paper's band."""
MEASURED_SD_STOPS = 0.15  # invented: a reflectance that was measured or learned
GUESSED_SD_STOPS = 0.3  # invented
UNKNOWN_SD_STOPS = 0.7  # invented: fair to dark is about 1.6 stops
REFLECTANCE_RANGE = (0.005, 1.0)
HOLDS_STILL_RANGE_S = (0.01, 600.0)


@dataclass(frozen=True, slots=True)
class Sitter:
    """One sitter.

    Parameters
    ----------
    id, initials : str
        Name inside the book, and what is printed.
    skin_reflectance : float, optional
        Reflectance of the skin in the paper's band, measured or learned [1], 0.005 to 1.
    skin_guess : {"light", "medium", "dark", "unknown"}, optional
        A guess by eye, used only where no reflectance is known.
    holds_still_s : float, optional
        Longest time this sitter can hold still [s], 0.01 to 600.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If the guess is none of the four.

    Examples
    --------
    >>> skin_stops(Sitter("s1", "O. M.", skin_guess="dark")).text()
    '−2.24 ± 0.30'
    """

    id: str
    initials: str = ""
    skin_reflectance: float | None = None
    skin_guess: SkinGuess | None = None
    holds_still_s: float | None = None

    def __post_init__(self) -> None:
        if self.skin_reflectance is not None:
            in_range("skin reflectance", self.skin_reflectance, *REFLECTANCE_RANGE)
        if self.skin_guess is not None and self.skin_guess not in SKIN_REFLECTANCE:
            choices = ", ".join(SKIN_REFLECTANCE)
            raise BadValue("skin guess", self.skin_guess, f"choose one of {choices}")
        if self.holds_still_s is not None:
            in_range("holds still", self.holds_still_s, *HOLDS_STILL_RANGE_S, "s")


def reflectance_stops(reflectance: float) -> float:
    """Return a reflectance in the paper's band against the ledger's fixed 0.30.

    Parameters
    ----------
    reflectance : float
        Reflectance in the paper's band [1], 0.005 to 1.

    Returns
    -------
    float
        ``log2(reflectance / 0.30)`` [stops].

    Raises
    ------
    OutOfRange
        If the reflectance lies outside that range.

    References
    ----------
    The reference of 0.30 is a convention of the bare ledger.

    Examples
    --------
    >>> reflectance_stops(0.15)
    -1.0
    """
    rho = in_range("reflectance", reflectance, *REFLECTANCE_RANGE)
    return math.log2(rho / REFERENCE_REFLECTANCE)


def skin_stops(sitter: Sitter) -> Stops:
    """Return the sitter's skin as a term of the ledger.

    Parameters
    ----------
    sitter : Sitter
        With a reflectance, a guess, or neither (unknown).

    Returns
    -------
    Stops
        Against the ledger's reference reflectance; one term shared by every skin region.

    References
    ----------
    Fair and dark skin of an open pigment-based chart under D55; uncertainties are invented.

    Examples
    --------
    >>> skin_stops(Sitter("s2", skin_reflectance=0.30)).u
    0.15
    """
    if sitter.skin_reflectance is not None:
        return Stops(reflectance_stops(sitter.skin_reflectance), MEASURED_SD_STOPS)
    guess = sitter.skin_guess or "unknown"
    u = UNKNOWN_SD_STOPS if guess == "unknown" else GUESSED_SD_STOPS
    return Stops(reflectance_stops(SKIN_REFLECTANCE[guess]), u)
