"""Cloud: how much it covers, whether the sun shines, and what that leaves of a cloudless day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from stillroom.errors import BadValue, UnknownName, in_range
from stillroom.light.daylight.clear_sky import SkyTable
from stillroom.light.daylight.planes import OVERCAST_UPRIGHT_RATIO, upright_parts
from stillroom.quantity import FloatArray

SunWord = Literal["yes", "no", "veiled", "comes and goes"]

BEAM_SD_STOPS = 0.15
"""Of the sun's beam as the model has it, haze apart, one sigma [stops]."""
VEIL_FACTOR = 0.5
"""What a thin cloud leaves of the beam [1] (invented)."""
VEIL_SD_STOPS = 0.7
"""And how far off that may be, one sigma [stops] (invented)."""
SHIFT_SD_STOPS = 0.2
"""Of the colour of light under a closed cover, one sigma [stops]."""


@dataclass(frozen=True, slots=True)
class Sky:
    """A sky as one sees it.

    Parameters
    ----------
    okta : int
        Eighths of the sky that cloud covers, 0 to 8.
    sun : str
        Whether the sun is out: ``yes``, ``no`` (behind cloud), ``veiled``, or ``comes and goes``
        for a time to come. Houses and trees belong to the plane.

    Raises
    ------
    OutOfRange
        If the cover lies outside 0 to 8.
    UnknownName
        If the word for the sun is none of these.
    BadValue
        If the two contradict each other.

    Examples
    --------
    >>> Sky(5, "comes and goes").states()
    ((0.375, 'yes'), (0.625, 'no'))
    """

    okta: int = 0
    sun: SunWord = "yes"

    def __post_init__(self) -> None:
        if in_range("cloud cover", self.okta, 0, 8, "oktas") != int(self.okta):
            raise BadValue("cloud cover", self.okta, "give whole eighths, 0 to 8")
        if self.sun not in get_args(SunWord):
            raise UnknownName("word for the sun", self.sun, get_args(SunWord))
        if self.okta == 0 and self.sun != "yes":
            raise BadValue(
                "cloud cover",
                0,
                "without cloud the sun is out; give 1 okta, or a plane that no sun reaches",
            )
        if self.okta == 8 and self.sun in ("yes", "comes and goes"):
            raise BadValue("cloud cover", 8, "the sun cannot be out; say no, veiled, or 7 oktas")

    def states(self) -> tuple[tuple[float, SunWord], ...]:
        """Return what the sun may be doing, each with its odds.

        Returns
        -------
        tuple of (float, str)
            One certain state; or, where the sun comes and goes, both, with the clear share of the
            sky as the odds of sun (common practice, no source).
        """
        if self.sun != "comes and goes":
            return ((1.0, self.sun),)
        return ((1 - self.okta / 8, "yes"), (self.okta / 8, "no"))

    @property
    def level_sd_stops(self) -> float:
        """How far off the light of the sky may be, from cloud as the eye judges it [stops].

        One sigma; up to 2 oktas no more than the model of a clear sky is off by itself.
        """
        if self.okta <= 2:
            return 0.3
        return 0.6 if self.okta == 8 else 0.7


PLANNED = {
    "clear": Sky(0, "yes"),
    "middling": Sky(5, "comes and goes"),
    "dull": Sky(8, "no"),
}
"""Three skies to plan with. A middling one takes sun and cloud by their odds, so its spread is
wide on a face that the sun can reach, and in open shade it is not."""


SKY_WORDS = {**PLANNED, "veiled": Sky(6, "veiled")}
"""Skies by one word, as one looks up before a sheet."""


def cloud_factor(okta: int) -> float:
    """Return what cloud leaves of the light on level ground, on the average.

    Parameters
    ----------
    okta : int
        Eighths of the sky covered, 0 to 8.

    Returns
    -------
    float
        Over that of a cloudless sky [1].

    Raises
    ------
    OutOfRange
        If the cover lies outside 0 to 8.

    References
    ----------
    F. Kasten and G. Czeplak, Solar and terrestrial radiation dependent on the amount and type of
    cloud, Solar Energy 24 (1980): ``1 - 0.75 (N/8)**3.4``.

    Examples
    --------
    >>> round(cloud_factor(4), 3)
    0.929
    """
    return float(1 - 0.75 * _cover(okta) ** 3.4)


def diffuse_share(okta: int) -> float:
    """Return how much of the light that cloud leaves comes from the sky, on the average.

    Parameters
    ----------
    okta : int
        Eighths of the sky covered, 0 to 8.

    Returns
    -------
    float
        Share [1].

    Raises
    ------
    OutOfRange
        If the cover lies outside 0 to 8.

    References
    ----------
    Kasten and Czeplak (1980): ``0.3 + 0.7 (N/8)**2``.

    Examples
    --------
    >>> diffuse_share(8)
    1.0
    """
    return 0.3 + 0.7 * _cover(okta) ** 2


def _cover(okta: int) -> float:
    return in_range("cloud cover", okta, 0, 8, "oktas") / 8


@dataclass(frozen=True, slots=True, eq=False)
class CloudedRows:
    """What a table of a cloudless sky becomes under a sky as it is, row by row.

    Parameters
    ----------
    beam_lx, sky_lx : FloatArray
        As those of `SkyTable`, actinic and photopic [lx].
    upright : FloatArray
        As `upright_parts`: three columns [1].
    beam_sd_stops, sky_sd_stops : float
        Standard uncertainty of the two as the paper sees them [stops].
    """

    beam_lx: FloatArray
    sky_lx: FloatArray
    upright: FloatArray
    beam_sd_stops: float
    sky_sd_stops: float


def clouded(table: SkyTable, okta: int, sun: SunWord) -> CloudedRows:
    """Return what cloud leaves of a cloudless day.

    Parameters
    ----------
    table : SkyTable
        The cloudless day.
    okta : int
        Eighths of the sky covered, 0 to 8.
    sun : str
        ``yes``, ``no`` or ``veiled``.

    Returns
    -------
    CloudedRows
        For each elevation of the table.

    Notes
    -----
    With the sun behind cloud the sky gives what the average rule gives. Where that is less than it
    gives without cloud, under a low sun, it is let down to it only as the cover closes. With the
    sun out it lies between clear and hidden by the cover, and so does its colour, from that of the
    clear sky to that of D65, and its spread over upright planes.

    References
    ----------
    `cloud_factor`, `diffuse_share`. Blending by the cover: ours. Cloud takes less ultraviolet than
    visible light: practice of the UV index, from memory.

    Examples
    --------
    >>> from stillroom.light.daylight.clear_sky import sky_table
    >>> from stillroom.quantity.spectra import GRADED
    >>> rows = clouded(sky_table(GRADED), 8, "no")
    >>> float(rows.beam_lx.max()), (rows.sky_lx[160] / 1000).round(1).tolist()
    (0.0, [24.3, 18.5])
    """
    cover = _cover(okta)
    clear = table.sky_lx[:, 1]
    average = diffuse_share(okta) * cloud_factor(okta) * table.level_lx[:, 1]
    closed = (1 - cloud_factor(okta)) / (1 - cloud_factor(8))
    hidden = np.maximum(average, clear + closed * (average - clear))
    photopic = hidden if sun == "no" else clear + cover * (hidden - clear)
    clear_shift = np.log2(table.sky_lx[:, 0] / clear)
    shift = (1 - cover) * clear_shift + cover * table.overcast_shift_stops
    overcast = np.array([OVERCAST_UPRIGHT_RATIO, 0.0, 0.0])
    left = {"yes": 1.0, "no": 0.0, "veiled": VEIL_FACTOR}[sun]
    return CloudedRows(
        beam_lx=left * table.beam_lx,
        sky_lx=np.stack([photopic * 2**shift, photopic], axis=-1),
        upright=(1 - cover) * upright_parts(table.elevation_deg) + cover * overcast,
        beam_sd_stops=np.hypot(BEAM_SD_STOPS, VEIL_SD_STOPS if sun == "veiled" else 0.0),
        sky_sd_stops=np.hypot(Sky(okta, sun).level_sd_stops, SHIFT_SD_STOPS * cover),
    )
