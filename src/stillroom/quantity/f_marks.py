"""The marks on lenses and meters, and the exact f-numbers they stand for."""

from __future__ import annotations

# ISO 517 (from memory): an exact number is 2**(AV/2); marks are its customary roundings.
FULL_STOP_MARKS = (
    1.0,
    1.4,
    2.0,
    2.8,
    4.0,
    5.6,
    8.0,
    11.0,
    16.0,
    22.0,
    32.0,
    45.0,
    64.0,
    90.0,
    128.0,
)
"""Marks of AV 0, 1, 2, ... 14."""

# Marks at a third and two thirds above each full stop, as meters print them (from memory).
_AT_ONE_THIRD = (1.1, 1.6, 2.2, 3.2, 4.5, 6.3, 9.0, 13.0, 18.0, 25.0, 36.0, 51.0, 72.0, 102.0)
_AT_TWO_THIRDS = (1.25, 1.8, 2.5, 3.5, 5.0, 7.1, 10.0, 14.0, 20.0, 29.0, 40.0, 57.0, 81.0, 114.0)
# Half-stop marks (from memory). 13 is printed for AV 7.5 too, but lies nearer to AV 7.333.
_AT_A_HALF = (1.2, 1.7, 2.4, 3.4, 4.8, 6.7, 9.5, None, 19.0, 27.0, 38.0, 54.0, 76.0)

THIRD_STOP_MARKS: dict[float, float] = dict(
    sorted(
        [(mark, float(av)) for av, mark in enumerate(FULL_STOP_MARKS)]
        + [(mark, av + 1 / 3) for av, mark in enumerate(_AT_ONE_THIRD)]
        + [(mark, av + 2 / 3) for av, mark in enumerate(_AT_TWO_THIRDS)]
    )
)
"""Full and third-stop marks to the aperture value AV they stand for."""

HALF_STOP_MARKS: dict[float, float] = {
    mark: av + 0.5 for av, mark in enumerate(_AT_A_HALF) if mark is not None
}
"""Half-stop marks to the aperture value AV they stand for."""


def f_number_of_av(av: float) -> float:
    """Exact f-number of an aperture value, ``2**(AV/2)``.

    Parameters
    ----------
    av : float
        Aperture value [stops].

    Returns
    -------
    float
        F-number [1].

    References
    ----------
    ISO 517, apertures and related properties of photographic lenses (from memory).

    Examples
    --------
    >>> round(f_number_of_av(7), 4)
    11.3137
    """
    return float(2.0 ** (av / 2))
