"""What moving the chair buys, and where it has to stand for a wanted factor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.light.limits import DISTANCE_RANGE_M
from stillroom.light.window.bounce import Room
from stillroom.light.window.factor import daylight_factor
from stillroom.light.window.opening import Opening, Spot
from stillroom.light.window.sky import OVERCAST, Sky
from stillroom.quantity import FloatArray

_LOOKED_AT = 48
_FACTOR_RANGE = (1e-9, 1.0)


def factors_along(
    opening: Opening,
    place: Spot,
    distances_m: Sequence[float] | FloatArray,
    sky: Sky = OVERCAST,
    room: Room | None = None,
) -> FloatArray:
    """Return the daylight factor along a line straight away from the wall.

    Parameters
    ----------
    opening : Opening
        Where the light comes in.
    place : Spot
        Offset, height and turn; its own distance plays no part.
    distances_m : Sequence of float or FloatArray
        From the plane of the glass [m], each 0.02 to 500.
    sky : Sky
        How the sky is spread.
    room : Room, optional
        What throws light about; the same at every distance.

    Returns
    -------
    FloatArray
        Total factor at each distance [1].

    Raises
    ------
    OutOfRange, BadValue
        If a distance lies outside its range or in the wall.

    References
    ----------
    As `daylight_factor`.

    Examples
    --------
    >>> opening = Opening(1.2, 1.5, 0.9, 45, ground_reflectance=0)
    >>> near, far = factors_along(opening, Spot(1.0), [1.0, 2.0])
    >>> round(float(np.log2(far / near)), 2)
    -1.5
    """
    return np.array(
        [
            daylight_factor(opening, replace(place, distance_m=float(d)), sky, room).total
            for d in distances_m
        ]
    )


@dataclass(frozen=True, slots=True)
class ChairAnswer:
    """Where the chair gives a wanted factor, or what comes nearest to it.

    Parameters
    ----------
    wanted : float
        The factor asked for [1].
    distances_m : tuple of float
        Every distance that gives it, nearest first [m]; empty where none does.
    most, most_at_m : float
        Largest factor on the line, and where [1, m].
    least, least_at_m : float
        Smallest factor on the line, and where [1, m].

    Examples
    --------
    >>> ChairAnswer(0.5, (), 0.2, 0.3, 0.01, 4.0).text()
    'No place on this line gives 0.5: the most is 0.2, 0.30 m from the glass.'
    """

    wanted: float
    distances_m: tuple[float, ...]
    most: float
    most_at_m: float
    least: float
    least_at_m: float

    def text(self) -> str:
        """Return the answer as one sentence.

        Returns
        -------
        str
            Where it is; or that there is none, and what comes nearest.

        Examples
        --------
        >>> ChairAnswer(0.1, (1.43,), 0.2, 0.3, 0.01, 4.0).text()
        '1.43 m from the glass gives 0.1.'
        """
        wanted = f"{self.wanted:.3g}"
        if self.distances_m:
            places = " and ".join(f"{d:.2f} m" for d in self.distances_m)
            verb = "gives" if len(self.distances_m) == 1 else "give"
            return f"{places} from the glass {verb} {wanted}."
        if self.wanted > self.most:
            nearest = f"the most is {self.most:.3g}, {self.most_at_m:.2f} m from the glass"
        else:
            nearest = f"the least is {self.least:.3g}, {self.least_at_m:.2f} m from the glass"
        return f"No place on this line gives {wanted}: {nearest}."


def distance_for(
    wanted: float,
    opening: Opening,
    place: Spot,
    *,
    nearest_m: float = 0.3,
    farthest_m: float = 10.0,
    sky: Sky = OVERCAST,
    room: Room | None = None,
) -> ChairAnswer:
    """Return where on a line straight away from the wall the factor is the wanted one.

    Parameters
    ----------
    wanted : float
        Daylight factor [1], 1e-9 to 1.
    opening : Opening
        Where the light comes in.
    place : Spot
        Offset, height and turn; its own distance plays no part.
    nearest_m, farthest_m : float
        Ends of the line, from the plane of the glass [m], 0.02 to 500.
    sky : Sky
        How the sky is spread.
    room : Room, optional
        What throws light about.

    Returns
    -------
    ChairAnswer
        One distance before the window; beside it, or with the face turned away, there may be
        two, for the wall itself hides the window from close by.

    Raises
    ------
    OutOfRange, BadValue
        If an argument lies outside its range, the ends are in the wrong order, or the line begins
        in the wall.

    References
    ----------
    Brent's method, as scipy has it, between neighbours of 48 distances.

    Examples
    --------
    >>> opening = Opening(1.2, 1.5, 0.9, 45, ground_reflectance=0)
    >>> distance_for(0.05706, opening, Spot(1.0)).text()
    '2.00 m from the glass gives 0.0571.'
    """
    # A tenth of a second that nothing else here pays for.
    from scipy.optimize import brentq, minimize_scalar  # noqa: PLC0415

    in_range("wanted factor", wanted, *_FACTOR_RANGE)
    in_range("nearest distance", nearest_m, *DISTANCE_RANGE_M, "m")
    in_range("farthest distance", farthest_m, *DISTANCE_RANGE_M, "m")
    if nearest_m >= farthest_m:
        raise BadValue(
            "farthest distance", farthest_m, f"give more than the nearest, {nearest_m:g} m"
        )

    def factor(distance_m: float) -> float:
        return float(factors_along(opening, place, [distance_m], sky, room)[0])

    distances = np.geomspace(nearest_m, farthest_m, _LOOKED_AT)
    factors = factors_along(opening, place, distances, sky, room)
    peak = int(np.argmax(factors))
    if 0 < peak < _LOOKED_AT - 1:  # beside the window the most may lie between two of them
        around = (float(distances[peak - 1]), float(distances[peak + 1]))
        found = float(minimize_scalar(lambda d: -factor(d), bounds=around, method="bounded").x)
        where = int(np.searchsorted(distances, found))
        distances = np.insert(distances, where, found)
        factors = np.insert(factors, where, factor(found))
    most, least = int(np.argmax(factors)), int(np.argmin(factors))
    return ChairAnswer(
        wanted,
        tuple(
            near if near == far else float(brentq(lambda d: factor(d) - wanted, near, far))
            for near, far in _crossings(distances, factors - wanted)
        ),
        float(factors[most]),
        float(distances[most]),
        float(factors[least]),
        float(distances[least]),
    )


def _crossings(places: FloatArray, differences: FloatArray) -> Iterator[tuple[float, float]]:
    """Between which neighbouring places a difference changes sign, in order."""
    for i, here in enumerate(differences):
        if here == 0:
            yield float(places[i]), float(places[i])
        elif i + 1 < len(differences) and here * differences[i + 1] < 0:
            yield float(places[i]), float(places[i + 1])
