"""Lights by the names people give them, and how far a shift under each can be trusted."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from stillroom.errors import BadValue, UnknownName
from stillroom.quantity.spectra.actinic import actinic_shift_stops
from stillroom.quantity.spectra.filters import lens_filter
from stillroom.quantity.spectra.lights import (
    D_ILLUMINANTS,
    DAYLIGHT_RANGE_K,
    LEDS,
    TUBES,
    blackbody,
    cie_a,
    d_illuminant,
    daylight_phase,
    flash,
    tabulated,
)
from stillroom.quantity.spectra.response import PaperResponse
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.stops import Stops

TUBE_LINE_NM = 365.0
TUBE_LINE_MOST_STOPS = 0.2
"""What the line at 365 nm, which the tables lack, may add to a tube: 0 to this [stops]."""
UNKNOWN_SD_STOPS = 3.0
"""Spread where a slightly other curve would see nothing of the light (invented)."""

LAMPS_K = {"candle": 1900.0, "household": 2750.0, "tungsten": 3200.0, "photoflood": 3400.0}
"""Colour temperature of lamps that glow [K], from lists that disagree by 500 K."""
SKIES_K = {"noon-sun": 5300.0, "overcast": 6500.0, "shade": 8000.0, "blue-sky": 15000.0}
"""Colour temperature of sun and sky [K], from the same lists."""
_TEMPERATURE = re.compile(r"(radiator-)?(\d{1,6}(?:[.,]\d+)?)-?k")


class KindOfLight(NamedTuple):
    """How well a table stands for the light in the room, one sigma of the shift; its source."""

    sd_stops: float
    source: str


KINDS: dict[str, KindOfLight] = {
    "daylight": KindOfLight(0.2, "changes of cloud and haze at one colour temperature; ours"),
    "sky": KindOfLight(0.3, "a word for a sky, not a reading of it; invented"),
    "lamp": KindOfLight(0.2, "about 150 K either way; invented"),
    "flash": KindOfLight(0.3, "tubes and their coatings vary; ours"),
    "tube": KindOfLight(0.2, "one maker's tube for another's; invented"),
    "led": KindOfLight(0.3, "one blue diode and phosphor for another; invented"),
    "measured": KindOfLight(0.1, "your own figures; invented"),
}


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """A light, what kind it is, and what it has passed before it reaches the meter.

    Parameters
    ----------
    spectrum : Spectrum
        As it leaves the lamp or comes from the sky.
    kind : str
        One of `KINDS`.
    behind : tuple of Spectrum
        Gel, window glass: what stands between the lamp and the meter.

    Raises
    ------
    UnknownName
        If it is no such kind.

    Examples
    --------
    >>> from stillroom.quantity.spectra import glass
    >>> light_named("overcast").through(glass("float")).name
    'overcast, float'
    """

    spectrum: Spectrum
    kind: str
    behind: tuple[Spectrum, ...] = ()

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise UnknownName("kind of light", self.kind, KINDS)

    @property
    def name(self) -> str:
        """The light and all it has passed."""
        return self.at_meter.name

    @property
    def at_meter(self) -> Spectrum:
        """The spectrum that meter and sitter get."""
        return self.spectrum.times(*self.behind)

    def through(self, *passed: Spectrum) -> Light:
        """Return the same light behind something more.

        Parameters
        ----------
        *passed : Spectrum
            Glass or gel.

        Returns
        -------
        Light
            Of the same kind.
        """
        return replace(self, behind=(*self.behind, *passed))


def light_named(name: str) -> Light:
    """Return a light by its name.

    Parameters
    ----------
    name : str
        A colour temperature such as ``5500K`` (daylight from 4000 K on, a full radiator below;
        ``radiator-5500K`` where that is meant), a CIE table such as ``D55``, ``A``, ``FL2`` or
        ``LED-B3``, or one of ``candle``, ``household``, ``tungsten``, ``photoflood``,
        ``noon-sun``, ``overcast``, ``shade``, ``blue-sky``, ``flash``, ``flash-coated``.

    Returns
    -------
    Light
        With its kind.

    Raises
    ------
    UnknownName
        If nothing is called so.
    OutOfRange
        If a colour temperature lies outside its range.

    References
    ----------
    Colour temperatures of lamps and skies: lists in four tutorial pages, which disagree by 500 K.

    Examples
    --------
    >>> light_named("3200K").kind, light_named("5500 k").kind, light_named("fl11").name
    ('lamp', 'daylight', 'CIE FL11')
    """
    plain = re.sub(r"\s+", "-", name.strip()).lower()
    plain = plain.removeprefix("cie-")
    if found := _TEMPERATURE.fullmatch(plain):
        kelvin = float(found[2].replace(",", "."))
        if found[1] or kelvin < DAYLIGHT_RANGE_K[0]:
            return Light(blackbody(kelvin), "lamp")
        return Light(daylight_phase(kelvin), "daylight")
    named = {each.lower(): each for each in LIGHT_NAMES}
    if plain not in named:
        raise UnknownName("light", name, ("a colour temperature such as 5500K", *LIGHT_NAMES))
    return _LIGHTS[named[plain]]()


def shift_with_spread(
    light: Light, response: PaperResponse, through: Sequence[Spectrum] = ()
) -> Stops:
    """Return how much more a paper gets from a light than a meter says, and how sure that is.

    Parameters
    ----------
    light : Light
        The light at the meter.
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        What stands between the meter and the paper: the lens, a filter on it.

    Returns
    -------
    Stops
        Shift against CIE D55, with one sigma [stops].

    Raises
    ------
    BadValue
        If the light gives the eye nothing, or the paper.

    Notes
    -----
    Three things add up: how well a table stands for the lamp, how well the curve for the paper
    (moved along the wavelengths, and with more or less ultraviolet, by its own spreads), and for
    tubes a line at 365 nm that their tables lack: 0 to 0.2 stop, all alike, as far as glass and
    lens let it pass.

    References
    ----------
    JCGM 100:2008, 4.3.7, for the spread of what lies evenly between two bounds (from memory).

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED
    >>> shift_with_spread(light_named("flash"), GRADED).text()
    '+0.54 ± 0.33'
    """
    spectrum = light.at_meter
    value = actinic_shift_stops(spectrum, response, through)
    spreads = [KINDS[light.kind].sd_stops, _spread_of_response(spectrum, response, through)]
    if light.kind == "tube":
        passed = math.prod(one.at(TUBE_LINE_NM) for one in (*light.behind, *through))
        most = TUBE_LINE_MOST_STOPS * passed
        value += most / 2
        spreads.append(most / math.sqrt(12))
    return Stops(value, math.hypot(*spreads))


def _spread_of_response(
    spectrum: Spectrum, response: PaperResponse, through: Sequence[Spectrum]
) -> float:
    """How much the shift changes when the curve changes by its spreads."""
    edge, ultraviolet = response.edge_sd_nm, response.ultraviolet_sd_stops
    changes = [
        [response.moved(by) for by in (-edge, edge)],
        [response.with_ultraviolet(by) for by in (-ultraviolet, ultraviolet)],
    ]
    return math.hypot(*(_half_way_apart(spectrum, both, through) for both in changes))


def _half_way_apart(
    spectrum: Spectrum, both: Sequence[PaperResponse], through: Sequence[Spectrum]
) -> float:
    one, other = (_shift_or_none(spectrum, response, through) for response in both)
    if one is None or other is None:
        return UNKNOWN_SD_STOPS
    return abs(one - other) / 2


def _shift_or_none(
    spectrum: Spectrum, response: PaperResponse, through: Sequence[Spectrum]
) -> float | None:
    """The shift; None where such a paper sees nothing of the light at all."""
    try:
        return actinic_shift_stops(spectrum, response, through)
    except BadValue:
        return None


def _coated_flash() -> Spectrum:
    return replace(flash().times(lens_filter("uv")), name="coated flash tube")


def _lamp(name: str, kelvin: float) -> Callable[[], Light]:
    return lambda: Light(replace(blackbody(kelvin), name=name), "lamp")


def _sky(name: str, kelvin: float) -> Callable[[], Light]:
    return lambda: Light(replace(daylight_phase(kelvin), name=name), "sky")


def _illuminant(name: str) -> Callable[[], Light]:
    return lambda: Light(d_illuminant(name), "daylight")


def _table(name: str, kind: str) -> Callable[[], Light]:
    return lambda: Light(tabulated(name), kind)


_LIGHTS: dict[str, Callable[[], Light]] = {
    "flash": lambda: Light(flash(), "flash"),
    "flash-coated": lambda: Light(_coated_flash(), "flash"),
    **{name: _sky(name, kelvin) for name, kelvin in SKIES_K.items()},
    **{name: _lamp(name, kelvin) for name, kelvin in LAMPS_K.items()},
    **{name: _illuminant(name) for name in D_ILLUMINANTS},
    "A": lambda: Light(cie_a(), "lamp"),
    **{name: _table(name, "tube") for name in TUBES},
    **{name: _table(name, "led") for name in LEDS},
}
LIGHT_NAMES = tuple(_LIGHTS)
