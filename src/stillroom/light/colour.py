"""The colour of a light as the paper in a camera sees it, by kind of light."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from stillroom.errors import UnknownName
from stillroom.quantity import Stops
from stillroom.quantity.spectra import (
    Light,
    PaperResponse,
    Spectrum,
    actinic_shift_stops,
    d_illuminant,
    light_named,
    shift_with_spread,
    uvcut370,
)

# Of a tube nobody has looked at: half bare, half coated against ultraviolet.
_STAND_INS = {
    "flash": ("flash", "flash-coated"),
    "tungsten": ("tungsten",),
    "led": ("LED-B4", "LED-B3"),
    "fluorescent": ("FL2",),
    "daylight": ("overcast",),
}
ROOM_LIGHT = Stops(-0.5, 0.8)
"""Light of a room that nobody told the kind of (invented)."""
OTHER_LIGHT = "other"
KINDS_OF_LIGHT = (*_STAND_INS, OTHER_LIGHT)


@lru_cache(maxsize=64)
def reference_shift_stops(response: PaperResponse) -> float:
    """Return what a paper in a camera gets less of daylight than the same paper bare.

    Parameters
    ----------
    response : PaperResponse
        What the paper sees.

    Returns
    -------
    float
        Actinic shift of CIE D55 through modern glass [stops], below 0.

    Notes
    -----
    An EI of a paper is found in a camera and counts for daylight through modern glass. So shifts
    in a ledger are told against that: an EI found once stays what it is under that light.

    References
    ----------
    Convention, ours; the glass is `uvcut370`.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED
    >>> round(reference_shift_stops(GRADED), 2)
    -0.23
    """
    return actinic_shift_stops(d_illuminant("D55"), response, [uvcut370()])


def light_of_kind(kind: str) -> Light:
    """Return the light that stands for a kind of light where one spectrum has to do.

    Parameters
    ----------
    kind : {"flash", "tungsten", "led", "fluorescent", "daylight", "other"}
        Kind of light.

    Returns
    -------
    Light
        The first of those `colour_stops` takes the mean of; CIE D55 for light nobody told.

    Raises
    ------
    UnknownName
        If nothing is known of that kind of light.

    Examples
    --------
    >>> light_of_kind("led").name, light_of_kind("other").name
    ('CIE LED-B4', 'CIE D55')
    """
    if kind not in KINDS_OF_LIGHT:
        raise UnknownName("kind of light", kind, KINDS_OF_LIGHT)
    return light_named(_STAND_INS.get(kind, ("D55",))[0])


def colour_stops(kind: str, response: PaperResponse, through: Sequence[Spectrum] = ()) -> Stops:
    """Return how much more a paper in a camera gets from a kind of light than a meter says.

    Parameters
    ----------
    kind : {"flash", "tungsten", "led", "fluorescent", "daylight", "other"}
        Kind of light.
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        The lens, and a filter on it.

    Returns
    -------
    Stops
        Shift against daylight through modern glass at equal lux [stops]. Where a kind has several
        lights, their mean, and a spread that holds all of them.

    Raises
    ------
    UnknownName
        If nothing is known of that kind of light.

    References
    ----------
    `shift_with_spread` of a 3200 K radiator, CIE LED-B3 and B4, FL2, a sky of 6500 K; for flash a
    radiator of 5500 K, bare and behind a filter against ultraviolet; other light is invented.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, uvcut370
    >>> colour_stops("tungsten", GRADED, [uvcut370()]).text()
    '−1.19 ± 0.24'
    """
    if kind == OTHER_LIGHT:
        return ROOM_LIGHT
    if kind not in _STAND_INS:
        raise UnknownName("kind of light", kind, KINDS_OF_LIGHT)
    found = [shift_with_spread(light_named(name), response, through) for name in _STAND_INS[kind]]
    mean = math.fsum(shift.value for shift in found) / len(found)
    variance = math.fsum(s.u**2 + (s.value - mean) ** 2 for s in found) / len(found)
    return Stops(mean - reference_shift_stops(response), math.sqrt(variance))
