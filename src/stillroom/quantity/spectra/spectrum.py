"""A spectrum: of a light, a glass, a surface or a response."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.quantity.arrays import FloatArray
from stillroom.quantity.spectra.grid import GRID_NM, on_grid

WAVELENGTH_RANGE_NM = (100.0, 20000.0)
LARGEST_VALUE = 1e12


@dataclass(frozen=True, slots=True, eq=False)
class Spectrum:
    """A table over wavelength: linear between its points, zero outside them.

    Parameters
    ----------
    name : str
        What it is called.
    wavelength_nm : FloatArray
        At least two wavelengths, ascending [nm], 100 to 20000.
    values : FloatArray
        One for each [W/(m2 nm) or relative power for a light, 1 for what passes or reflects],
        0 to 1e12.
    source : str
        Where the figures come from, ready to show.

    Raises
    ------
    BadValue
        If the table cannot be a spectrum.
    OutOfRange
        If a wavelength or a value lies outside its range.

    Notes
    -----
    The arrays are copied and read only. Two spectra are equal only if they are the same one.

    Examples
    --------
    >>> blue = Spectrum("blue lamp", np.array([440.0, 450.0, 460.0]), np.array([0.0, 1.0, 0.0]))
    >>> blue.at(445.0)
    0.5
    """

    name: str
    wavelength_nm: FloatArray
    values: FloatArray
    source: str = ""

    def __post_init__(self) -> None:
        wavelengths = np.array(self.wavelength_nm, dtype=np.float64)
        values = np.array(self.values, dtype=np.float64)
        if wavelengths.ndim != 1 or wavelengths.shape != values.shape:
            shapes = f"{wavelengths.shape} and {values.shape}"
            raise BadValue(f"spectrum {self.name}", shapes, "give one value for each wavelength")
        if len(wavelengths) < 2:
            raise BadValue(f"spectrum {self.name}", len(wavelengths), "give at least two points")
        _within(f"wavelength of {self.name}", wavelengths, *WAVELENGTH_RANGE_NM, "nm")
        _within(f"value of {self.name}", values, 0.0, LARGEST_VALUE)
        falling = np.flatnonzero(np.diff(wavelengths) <= 0)
        if len(falling):
            after = float(wavelengths[falling[0]])
            found = float(wavelengths[falling[0] + 1])
            raise BadValue(
                f"wavelength of {self.name}",
                found,
                f"it follows {after:g} nm; give them ascending",
            )
        for name, array in (("wavelength_nm", wavelengths), ("values", values)):
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    def on_grid(self) -> FloatArray:
        """Return the values on `GRID_NM` [as `values`]."""
        return on_grid(self.wavelength_nm, self.values)

    def at(self, wavelength_nm: float) -> float:
        """Return the value at one wavelength.

        Parameters
        ----------
        wavelength_nm : float
            Wavelength [nm].

        Returns
        -------
        float
            Value [as `values`]; 0 outside the table.
        """
        found = np.interp(wavelength_nm, self.wavelength_nm, self.values, left=0.0, right=0.0)
        return float(found)

    def times(self, *others: Spectrum) -> Spectrum:
        """Return the product with other spectra: a light behind a glass, two filters stacked.

        Parameters
        ----------
        *others : Spectrum
            What it passes through or falls on.

        Returns
        -------
        Spectrum
            On `GRID_NM`; between two points of either table a product is curved, so it is taken
            nanometre by nanometre.

        Examples
        --------
        >>> lamp = Spectrum("lamp", np.array([400.0, 500.0]), np.array([2.0, 2.0]))
        >>> pane = Spectrum("pane", np.array([400.0, 500.0]), np.array([0.9, 0.9]))
        >>> lamp.times(pane).name, lamp.times(pane).at(450.0)
        ('lamp, pane', 1.8)
        """
        if not others:
            return self
        product = self.on_grid()
        for other in others:
            product = product * other.on_grid()
        every = (self, *others)
        sources = dict.fromkeys(one.source for one in every if one.source)
        name = ", ".join(one.name for one in every)
        return Spectrum(name, GRID_NM, product, "; ".join(sources))

    def scaled(self, factor: float) -> Spectrum:
        """Return the spectrum times a number.

        Parameters
        ----------
        factor : float
            Number every value is multiplied with [1], 0 to 1e12.

        Returns
        -------
        Spectrum
            At the same wavelengths.
        """
        number = in_range(f"factor of {self.name}", factor, 0.0, LARGEST_VALUE)
        return replace(self, values=self.values * number)

    def held(self) -> Spectrum:
        """Return it on `GRID_NM`, with its first and last value held beyond its ends.

        For what reflects or passes light: a chart measured from 400 nm on does not end there.

        Returns
        -------
        Spectrum
            On `GRID_NM`.

        Examples
        --------
        >>> skin = Spectrum("skin", np.array([400.0, 700.0]), np.array([0.2, 0.5]))
        >>> skin.at(350.0), skin.held().at(350.0)
        (0.0, 0.2)
        """
        values = np.interp(GRID_NM, self.wavelength_nm, self.values)
        return replace(self, wavelength_nm=GRID_NM, values=values)

    def moved(self, by_nm: float) -> Spectrum:
        """Return the same table moved along the wavelengths.

        Parameters
        ----------
        by_nm : float
            How far towards red [nm], -100 to 100.

        Returns
        -------
        Spectrum
            With every wavelength so much longer.
        """
        by = in_range(f"shift of {self.name}", by_nm, -100.0, 100.0, "nm")
        return replace(self, wavelength_nm=self.wavelength_nm + by)


def _within(name: str, numbers: FloatArray, low: float, high: float, unit: str = "") -> None:
    wrong = np.flatnonzero(~((numbers >= low) & (numbers <= high)))
    if len(wrong):
        in_range(name, float(numbers[wrong[0]]), low, high, unit)
