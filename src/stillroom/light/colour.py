"""The colour of a light as the paper sees it, before spectra are worked out in full."""

from __future__ import annotations

from stillroom.errors import BadValue, UnknownName
from stillroom.quantity import Stops

# Actinic over photopic, in stops against CIE D55 at equal lux, from reference sensitivity curves
# for graded and variable-contrast paper (curves from memory, CIE spectra; 5 nm sums 380-700 nm):
# 3200 K radiator for tungsten, LED-B4 for a white LED, FL2 for a tube, D65 for sky and window.
# Flash is taken half way from D55 to D65 (invented); spreads are invented throughout.
_SHIFTS: dict[str, dict[str, Stops]] = {
    "flash": {"graded": Stops(0.18, 0.15), "variable_contrast": Stops(0.14, 0.15)},
    "tungsten": {"graded": Stops(-1.229, 0.3), "variable_contrast": Stops(-0.909, 0.3)},
    "led": {"graded": Stops(-0.955, 0.5), "variable_contrast": Stops(-0.589, 0.4)},
    "fluorescent": {"graded": Stops(-0.499, 0.4), "variable_contrast": Stops(-0.487, 0.4)},
    "daylight": {"graded": Stops(0.367, 0.25), "variable_contrast": Stops(0.272, 0.25)},
    "other": {"graded": Stops(-0.5, 0.8), "variable_contrast": Stops(-0.4, 0.7)},
}

KINDS_OF_LIGHT = tuple(_SHIFTS)


def actinic_shift_stops(kind: str, response: str) -> Stops:
    """Return how much more a paper gets from a kind of light than a meter says.

    Parameters
    ----------
    kind : {"flash", "tungsten", "led", "fluorescent", "daylight", "other"}
        Kind of light.
    response : {"graded", "variable_contrast", "own"}
        What the paper sees; ``own`` counts as graded, half a stop less sure.

    Returns
    -------
    Stops
        Shift against CIE D55 at equal lux [stops].

    Raises
    ------
    UnknownName
        If nothing is known of that kind of light.
    BadValue
        If the response is none of the three.

    References
    ----------
    CIE illuminant tables integrated with reference sensitivity curves that are themselves from
    memory; flash and all spreads are invented.

    Examples
    --------
    >>> actinic_shift_stops("tungsten", "graded").value
    -1.229
    """
    if kind not in _SHIFTS:
        raise UnknownName("kind of light", kind, KINDS_OF_LIGHT)
    if response == "own":
        graded = _SHIFTS[kind]["graded"]
        return graded + Stops(0.0, 0.5)
    if response not in _SHIFTS[kind]:
        raise BadValue("response", response, "choose graded, variable_contrast or own")
    return _SHIFTS[kind][response]
