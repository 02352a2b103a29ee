"""F-numbers: what a mark stands for, and what it does to the light."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stillroom.camera.limits import F_NUMBER_RANGE, FOCAL_RANGE_MM
from stillroom.errors import in_range
from stillroom.quantity import HALF_STOP_MARKS, THIRD_STOP_MARKS, f_number_of_av

_SAME_MARK = 1e-6
MARKS = THIRD_STOP_MARKS | HALF_STOP_MARKS
"""Every listed mark to the aperture value AV it stands for."""


@dataclass(frozen=True, slots=True)
class FNumber:
    """An exact f-number and how it was come by.

    Parameters
    ----------
    exact : float
        The number [1].
    marked : float
        What the lens shows [1].
    taken_as : {"mark", "widest", "literal"}
        ``mark``: stands for 2**(AV/2); ``widest``: the lens's own true number; ``literal``: no
        listed mark, taken as it stands.

    Examples
    --------
    >>> f_number_of_mark(6.8).taken_as
    'literal'
    """

    exact: float
    marked: float
    taken_as: Literal["mark", "widest", "literal"]

    def text(self) -> str:
        """Return one sentence that says what the mark was taken for.

        Returns
        -------
        str
            For the ledger.

        Examples
        --------
        >>> f_number_of_mark(11).text()
        'f/11 stands for 11.31'
        """
        if self.taken_as == "literal":
            return f"f/{self.marked:g} is no mark of the usual series: taken as it stands"
        which = "is the widest stop, truly" if self.taken_as == "widest" else "stands for"
        return f"f/{self.marked:g} {which} {self.exact:.4g}"


def f_number_of_mark(
    marked: float, widest_marked: float | None = None, widest_true: float | None = None
) -> FNumber:
    """Return the exact f-number of a mark and how it was come by.

    Parameters
    ----------
    marked : float
        Number on the lens [1], 0.5 to 512.
    widest_marked : float, optional
        The lens's widest mark [1].
    widest_true : float, optional
        True f-number of that widest stop [1]; without it the widest mark is one like the others.

    Returns
    -------
    FNumber
        Number and origin.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    ISO 517 (from memory): marks are roundings of 2**(AV/2); the widest stop is the lens's own.

    Examples
    --------
    >>> f_number_of_mark(5.6, 5.6, 5.4).text()
    'f/5.6 is the widest stop, truly 5.4'
    """
    number = in_range("f-number", marked, *F_NUMBER_RANGE)
    if widest_marked is not None:
        in_range("widest f-number", widest_marked, *F_NUMBER_RANGE)
        if widest_true is not None:
            true = in_range("true f-number wide open", widest_true, *F_NUMBER_RANGE)
            if math.isclose(number, widest_marked, rel_tol=_SAME_MARK):
                return FNumber(true, number, "widest")
    for mark, av in MARKS.items():
        if math.isclose(number, mark, rel_tol=_SAME_MARK):
            return FNumber(f_number_of_av(av), number, "mark")
    return FNumber(number, number, "literal")


def exact_f_number(
    marked: float, widest_marked: float | None = None, widest_true: float | None = None
) -> float:
    """Return the exact f-number a mark stands for; `f_number_of_mark` says why.

    Parameters
    ----------
    marked : float
        Number on the lens [1], 0.5 to 512.
    widest_marked, widest_true : float, optional
        The lens's widest mark and its true f-number [1].

    Returns
    -------
    float
        Exact f-number [1]: 2**(AV/2) for full, half and third-stop marks, the true number for
        the widest stop, any other number as it stands.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    ISO 517 (from memory).

    Examples
    --------
    >>> round(exact_f_number(11), 4), exact_f_number(5.6, 5.6, 5.4), exact_f_number(6.8)
    (11.3137, 5.4, 6.8)
    """
    return f_number_of_mark(marked, widest_marked, widest_true).exact


def f_number_stops(n: float) -> float:
    """Return what an f-number leaves of the light, ``-2 log2 N``.

    Parameters
    ----------
    n : float
        Exact f-number [1], 0.5 to 512.

    Returns
    -------
    float
        Stops against f/1 [stops].

    Raises
    ------
    OutOfRange
        If the number lies outside that range.

    References
    ----------
    Camera equation: illuminance goes as 1/N**2.

    Examples
    --------
    >>> f_number_stops(8)
    -6.0
    """
    return -2 * math.log2(in_range("f-number", n, *F_NUMBER_RANGE))


def stops_between_f_numbers(n1: float, n2: float) -> float:
    """Return the stops of light that closing from one f-number to another takes.

    Parameters
    ----------
    n1, n2 : float
        Exact f-numbers, from and to [1], 0.5 to 512.

    Returns
    -------
    float
        ``2 log2(n2 / n1)`` [stops]; positive when the second is the smaller opening.

    Raises
    ------
    OutOfRange
        If a number lies outside that range.

    References
    ----------
    Camera equation: illuminance goes as 1/N**2.

    Examples
    --------
    >>> round(stops_between_f_numbers(5.5, 5.6), 3)
    0.052
    """
    return f_number_stops(n1) - f_number_stops(n2)


def t_number(n: float, transmission: float) -> float:
    """Return the T-number, the f-number a loss-free lens would need, ``N / sqrt(tau)``.

    Parameters
    ----------
    n : float
        Exact f-number [1], 0.5 to 512.
    transmission : float
        Transmission of the glass [1], 0.01 to 1.

    Returns
    -------
    float
        T-number [1].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Definition of the T-number (from memory).

    Examples
    --------
    >>> round(t_number(5.6, 0.80), 3)
    6.261
    """
    number = in_range("f-number", n, *F_NUMBER_RANGE)
    return number / math.sqrt(in_range("transmission", transmission, 0.01, 1.0))


def geometric_f_number(focal_mm: float, pupil_mm: float) -> float:
    """Return the f-number from the glass: focal length over entrance pupil.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    pupil_mm : float
        Diameter of the entrance pupil, seen from the front [mm], 0.5 to 1000.

    Returns
    -------
    float
        F-number [1].

    Raises
    ------
    OutOfRange
        If an argument or the result lies outside its range.

    References
    ----------
    Definition of the f-number.

    Examples
    --------
    >>> round(geometric_f_number(240, 43.0), 3)
    5.581
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    pupil = in_range("entrance pupil", pupil_mm, 0.5, 1000.0, "mm")
    return in_range("f-number", focal / pupil, *F_NUMBER_RANGE)
