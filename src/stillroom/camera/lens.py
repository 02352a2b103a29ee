"""Lenses as the kit lists them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from stillroom.camera.f_number import FNumber, f_number_of_mark
from stillroom.camera.limits import (
    F_NUMBER_RANGE,
    FOCAL_RANGE_MM,
    LENGTH_RANGE_MM,
    PUPIL_RATIO_RANGE,
    TRANSMISSION_RANGE_STOPS,
)
from stillroom.errors import BadValue, in_range
from stillroom.quantity.spectra import Spectrum, old330, uvcut370

Spectral = Literal["old", "modern", "own"]
TRANSMISSION_STOPS = -0.15  # transmission 0.90, common practice, no source
TRANSMISSION_SD_STOPS = 0.15  # invented


_old_glass = lru_cache(maxsize=1)(old330)
_modern_glass = lru_cache(maxsize=1)(uvcut370)


@lru_cache(maxsize=32)
def _own_transmission(name: str, points: tuple[tuple[float, float], ...]) -> Spectrum:
    wavelength_nm, passed = zip(*points, strict=True)
    return Spectrum(f"glass of {name}", np.array(wavelength_nm), np.array(passed), "own figures")


@dataclass(frozen=True, slots=True)
class Lens:
    """A lens.

    Parameters
    ----------
    id : str
        Name.
    focal_mm : float
        Focal length [mm], 10 to 3000.
    f_numbers : tuple of float
        Marks it can be set to [1], widest first; at least one.
    true_f_number_wide_open : float, optional
        True f-number of the widest stop [1]; None where the mark is trusted like the others.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.
    transmission_stops : float
        Visible, neutral transmission [stops], -6 to 0.3.
    transmission_sd_stops : float
        Its standard uncertainty [stops], 0 to 3.
    coverage_mm : float, optional
        Diameter of the image circle at infinity [mm].
    spectral : {"old", "modern", "own"}
        Shape of its transmission, which acts in the actinic shift only.
    own_transmission : tuple of (float, float)
        Wavelength [nm] and transmittance relative to the visible [1], where the shape is its own;
        empty: as modern glass.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If there is no mark, or the marks do not rise.

    Examples
    --------
    >>> lens = Lens("tele_300", 300, (5.6, 8, 11, 16), true_f_number_wide_open=5.4)
    >>> lens.f_number(5.6).exact, round(lens.f_number(8).exact, 3)
    (5.4, 8.0)
    """

    id: str
    focal_mm: float
    f_numbers: tuple[float, ...]
    true_f_number_wide_open: float | None = None
    pupil_ratio: float = 1.0
    transmission_stops: float = TRANSMISSION_STOPS
    transmission_sd_stops: float = TRANSMISSION_SD_STOPS
    coverage_mm: float | None = None
    spectral: Spectral = "modern"
    own_transmission: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        in_range("focal length", self.focal_mm, *FOCAL_RANGE_MM, "mm")
        if not self.f_numbers:
            raise BadValue(f"f-numbers of {self.id}", "missing", "give at least one mark")
        for mark in self.f_numbers:
            in_range("f-number", mark, *F_NUMBER_RANGE)
        if any(b <= a for a, b in zip(self.f_numbers, self.f_numbers[1:], strict=False)):
            raise BadValue(
                f"f-numbers of {self.id}",
                ", ".join(f"{mark:g}" for mark in self.f_numbers),
                "give each mark once, the widest first",
            )
        if self.true_f_number_wide_open is not None:
            in_range("true f-number wide open", self.true_f_number_wide_open, *F_NUMBER_RANGE)
        in_range("pupil ratio", self.pupil_ratio, *PUPIL_RATIO_RANGE)
        in_range("transmission", self.transmission_stops, *TRANSMISSION_RANGE_STOPS, "stops")
        in_range("uncertainty of transmission", self.transmission_sd_stops, 0.0, 3.0, "stops")
        if self.coverage_mm is not None:
            in_range("coverage", self.coverage_mm, *LENGTH_RANGE_MM, "mm")
        if self.spectral not in ("old", "modern", "own"):
            raise BadValue("spectral", self.spectral, "choose old, modern or own")

    @property
    def passes(self) -> Spectrum:
        """What it lets through of each wavelength, relative to the visible."""
        if self.spectral == "own" and self.own_transmission:
            return _own_transmission(self.id, self.own_transmission)
        return _old_glass() if self.spectral == "old" else _modern_glass()

    def f_number(self, marked: float) -> FNumber:
        """Return what a mark of this lens stands for.

        Parameters
        ----------
        marked : float
            Number on the lens [1].

        Returns
        -------
        FNumber
            Exact number and how it was come by.

        Raises
        ------
        OutOfRange
            If the number lies outside 0.5 to 512.

        Examples
        --------
        >>> Lens("portrait", 240, (5.6, 8)).f_number(5.6).text()
        'f/5.6 stands for 5.657'
        """
        return f_number_of_mark(marked, self.f_numbers[0], self.true_f_number_wide_open)
