"""The veil: light that lands everywhere on the sheet."""

from __future__ import annotations

import math

from stillroom.camera.limits import EXPOSURE_RANGE_LXS
from stillroom.errors import in_range


def veil_exposure_lxs(
    flare_share: float,
    mean_frame_exposure_lxs: float,
    pre_flash_lxs: float = 0.0,
    leak_lxs: float = 0.0,
) -> float:
    """Return the light that lands everywhere on the sheet.

    Parameters
    ----------
    flare_share : float
        Flare as a share of the frame's mean exposure [1], 0 to 0.5.
    mean_frame_exposure_lxs : float
        Mean exposure over the sheet [lx s], 0 to 1e9.
    pre_flash_lxs : float
        Wanted pre-flash [lx s], 0 to 1e9.
    leak_lxs : float
        Holder leak and safelight [lx s], 0 to 1e9.

    Returns
    -------
    float
        Veil [lx s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Examples
    --------
    >>> veil_exposure_lxs(0.02, 5.0, pre_flash_lxs=0.1)
    0.2
    """
    share = in_range("flare share", flare_share, 0.0, 0.5)
    mean = in_range("mean exposure", mean_frame_exposure_lxs, *EXPOSURE_RANGE_LXS, "lx·s")
    pre_flash = in_range("pre-flash", pre_flash_lxs, *EXPOSURE_RANGE_LXS, "lx·s")
    return share * mean + pre_flash + in_range("leak", leak_lxs, *EXPOSURE_RANGE_LXS, "lx·s")


def veil_stops(region_exposure_lxs: float, veil_lxs: float) -> float:
    """Return how much lighter a region lands because of the veil.

    Parameters
    ----------
    region_exposure_lxs : float
        Exposure of the region without the veil [lx s], 1e-9 to 1e9.
    veil_lxs : float
        Veil [lx s], 0 to 1e9.

    Returns
    -------
    float
        ``log2(1 + veil / exposure)`` [stops], zero or positive.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Examples
    --------
    >>> veil_stops(0.5, 0.5)
    1.0
    """
    region = in_range("region's exposure", region_exposure_lxs, 1e-9, 1e9, "lx·s")
    veil = in_range("veil", veil_lxs, *EXPOSURE_RANGE_LXS, "lx·s")
    return math.log1p(veil / region) / math.log(2)
