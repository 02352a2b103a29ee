"""Panes: what a beam loses in them, and how much more of it at a slant."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillroom.errors import in_range
from stillroom.quantity import FloatArray

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(32)
_COSINES = (_NODES + 1) / 2
_HALF_WEIGHTS = _WEIGHTS / 2


@dataclass(frozen=True, slots=True)
class Glass:
    """What stands in an opening: one pane or several alike, with air between them.

    Parameters
    ----------
    pane_transmittance : float
        Of one pane, for light square to it, as the paper (or the meter) weighs that light [1],
        0.01 to 0.98; a pane that takes nothing but its two reflections passes 0.917.
    panes : int
        Number of panes [1], 1 to 4.
    refractive_index : float
        Of the glass [1], 1.3 to 1.8.
    in_the_light : bool
        True where the loss for light square to the panes already stands in the light's
        spectrum; then only what the slant adds is counted.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Notes
    -----
    Fresnel reflection at every surface, all reflections back and forth summed, absorption over
    the longer way at a slant; coatings, dirt and the change of colour with angle are left out. A
    pane that cuts ultraviolet off is better given by what it does to the rest, `in_the_light`:
    what it has cut off once is not cut off again at a slant.

    References
    ----------
    Fresnel's equations and the sum over plane-parallel panes, any text on optics. A rule of thumb,
    1.018 cos a (1 + sin**3 a) (from memory), gives 0.12 stop less at 60° and 0.5 stop less at 80°
    than these and two printed tables for clear glass (docs/window.md), and is not used.

    Examples
    --------
    >>> float(Glass(0.89).transmittance(np.cos(np.radians(60))).round(3))
    0.811
    """

    pane_transmittance: float = 0.90
    panes: int = 1
    refractive_index: float = 1.52
    in_the_light: bool = False

    def __post_init__(self) -> None:
        n = in_range("refractive index", self.refractive_index, 1.3, 1.8)
        r = _normal_reflectance(n)
        # A pane cannot pass more than its two surfaces leave.
        in_range("pane transmittance", self.pane_transmittance, 0.01, (1 - r) / (1 + r))
        in_range("panes", self.panes, 1, 4)

    @property
    def normal_transmittance(self) -> float:
        """Transmittance of all panes for light square to them [1]."""
        return float(self._passed_and_reflected(np.ones(1))[0][0])

    def transmittance(self, cos_incidence: FloatArray | float) -> FloatArray:
        """Return the share of a beam that comes through.

        Parameters
        ----------
        cos_incidence : FloatArray or float
            Cosine of the angle between beam and the panes' normal [1]; 0 and below is no light.

        Returns
        -------
        FloatArray
            Transmittance [1]; relative to that at normal incidence where `in_the_light`.

        Examples
        --------
        >>> Glass(0.9, in_the_light=True).transmittance(np.array([1.0, 0.0])).tolist()
        [1.0, 0.0]
        """
        passed = self._passed_and_reflected(np.asarray(cos_incidence, dtype=float))[0]
        return passed / self.normal_transmittance if self.in_the_light else passed

    @property
    def diffuse_transmittance(self) -> float:
        """Transmittance for light that comes alike from everywhere in front [1]."""
        return _from_everywhere(self.transmittance(_COSINES))

    @property
    def diffuse_reflectance(self) -> float:
        """Reflectance for light that comes alike from everywhere in front [1]."""
        return _from_everywhere(self._passed_and_reflected(_COSINES)[1])

    def _passed_and_reflected(self, cos_incidence: FloatArray) -> tuple[FloatArray, FloatArray]:
        n = self.refractive_index
        # A grazing beam has no way through; the tiny cosine keeps the quotients finite.
        cosine = np.maximum(cos_incidence, 1e-12)
        inside = np.sqrt(1 - (1 - cosine**2) / n**2)
        absorbed = _inner_transmittance(self.pane_transmittance, n) ** (1 / inside)
        polarised = [
            _stacked(((cosine - n * inside) / (cosine + n * inside)) ** 2, absorbed, self.panes),
            _stacked(((n * cosine - inside) / (n * cosine + inside)) ** 2, absorbed, self.panes),
        ]
        passed, reflected = (np.asarray(sum(part) / 2) for part in zip(*polarised, strict=True))
        return np.where(cos_incidence > 0, passed, 0.0), reflected


def _stacked(surface: FloatArray, inner: FloatArray, panes: int) -> tuple[FloatArray, FloatArray]:
    """Transmittance and reflectance of panes one behind the other, for one polarisation."""
    pane_passed = (1 - surface) ** 2 * inner / (1 - (surface * inner) ** 2)
    pane_reflected = surface * (1 + inner * pane_passed)
    passed, reflected = pane_passed, pane_reflected
    for _ in range(panes - 1):
        between = 1 - reflected * pane_reflected
        passed, reflected = (
            passed * pane_passed / between,
            pane_reflected + pane_passed**2 * reflected / between,
        )
    return passed, reflected


def _normal_reflectance(refractive_index: float) -> float:
    return ((refractive_index - 1) / (refractive_index + 1)) ** 2


def _inner_transmittance(pane_transmittance: float, refractive_index: float) -> float:
    """Share that survives one way through the glass itself, from that of the whole pane."""
    r = _normal_reflectance(refractive_index)
    t = pane_transmittance
    return float((np.sqrt((1 - r) ** 4 + 4 * r**2 * t**2) - (1 - r) ** 2) / (2 * r**2 * t))


def _from_everywhere(values: FloatArray) -> float:
    return float(np.sum(_HALF_WEIGHTS * 2 * _COSINES * values))
