"""Lights by the names people give them, and how well a table stands for each."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

from stillroom.errors import UnknownName
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
from stillroom.quantity.spectra.spectrum import Spectrum

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
