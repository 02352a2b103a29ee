"""Flash heads and steady lamps as things one owns."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import BadValue, in_range
from stillroom.light.dial import Dial, settings_stops
from stillroom.light.flash import full_log2_lxs_1m
from stillroom.quantity import FloatArray, stops_decimal_text

LampKind = Literal["tungsten", "led", "fluorescent", "other"]
INTENSITY_RANGE_CD = (0.1, 1e7)
OUTPUT_RANGE_LOG2_LXS_1M = (-5.0, 30.0)


@dataclass(frozen=True, slots=True)
class Head:
    """A flash head.

    Parameters
    ----------
    id : str
        Name inside the book.
    energy_ws : float
        Stored energy at full [W s].
    dial : Dial
        Its scale.
    efficacy_lm_s_per_ws : float
        Luminous energy per stored energy [lm s/(W s)].
    reflector_factor : float
        How much its plain reflector raises the intensity on the axis [1].
    output_sd_stops : float
        Standard uncertainty of the output [stops], 0 to 5.
    known_log2_lxs_1m : float, optional
        Measured output at full, log2 of lx s at 1 m; wins over energy and efficacy.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> head = Head("A", 1000, Dial("stops", -7, 0, 0.1), 40, 4)
    >>> round(head.full_log2_lxs_1m, 2)
    13.64
    """

    id: str
    energy_ws: float
    dial: Dial
    efficacy_lm_s_per_ws: float = 40.0
    reflector_factor: float = 4.0
    output_sd_stops: float = 0.3
    known_log2_lxs_1m: float | None = None

    def __post_init__(self) -> None:
        in_range(f"uncertainty of the output of {self.id}", self.output_sd_stops, 0, 5, "stops")
        if self.known_log2_lxs_1m is not None:
            name = f"full_log2_lxs_1m of {self.id}"
            in_range(name, self.known_log2_lxs_1m, *OUTPUT_RANGE_LOG2_LXS_1M)

    @property
    def full_log2_lxs_1m(self) -> float:
        """Output at full: log2 of lx s at 1 m on the axis."""
        if self.known_log2_lxs_1m is not None:
            return self.known_log2_lxs_1m
        return full_log2_lxs_1m(self.energy_ws, self.efficacy_lm_s_per_ws, self.reflector_factor)

    @property
    def output_from(self) -> str:
        """How the output was come by, in one line."""
        if self.known_log2_lxs_1m is not None:
            return f"measured: {stops_decimal_text(self.known_log2_lxs_1m)} log2 lx·s at 1 m"
        return (
            f"{self.energy_ws:g} W·s × {self.efficacy_lm_s_per_ws:g} lm·s/W·s × "
            f"{self.reflector_factor:g} / 4π"
        )

    def settings_stops(self) -> FloatArray:
        """Return every setting of the dial in stops below full, ascending.

        Returns
        -------
        FloatArray
            Stops [stops], zero or negative.

        Examples
        --------
        >>> Head("B", 500, Dial("stops", -1, 0, 0.5)).settings_stops().tolist()
        [-1.0, -0.5, 0.0]
        """
        return settings_stops(self.dial, self.energy_ws)


@dataclass(frozen=True, slots=True)
class Lamp:
    """A steady lamp, by its intensity towards the sitter.

    Parameters
    ----------
    id : str
        Name inside the book.
    kind : {"tungsten", "led", "fluorescent", "other"}
        For the colour of its light.
    intensity_cd : float
        Luminous intensity [cd], 0.1 to 10 000 000.
    intensity_sd_stops : float
        Standard uncertainty of that [stops], 0 to 5.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If the kind is none of the four.

    Examples
    --------
    >>> Lamp("hot", "tungsten", 2000.0).log2_cd > 10.9
    True
    """

    id: str
    kind: LampKind
    intensity_cd: float
    intensity_sd_stops: float = 0.5

    def __post_init__(self) -> None:
        if self.kind not in ("tungsten", "led", "fluorescent", "other"):
            raise BadValue("lamp kind", self.kind, "choose tungsten, led, fluorescent or other")
        in_range(f"intensity of {self.id}", self.intensity_cd, *INTENSITY_RANGE_CD, "cd")
        in_range(f"uncertainty of {self.id}", self.intensity_sd_stops, 0, 5, "stops")

    @property
    def log2_cd(self) -> float:
        """Log2 of the intensity in candela."""
        return math.log2(self.intensity_cd)
