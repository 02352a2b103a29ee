"""Seconds of a day as moments of its date."""

from __future__ import annotations

from datetime import datetime, timedelta

from stillroom.documents.day import MomentRange
from stillroom.quantity import FloatArray
from stillroom.services.day.asked import Ground
from stillroom.wetline.day import range_of


def moment(ground: Ground, seconds: float) -> datetime:
    """A moment so long after the beginning [s]."""
    return ground.begins + timedelta(seconds=round(seconds))


def moments(ground: Ground, seconds: FloatArray) -> MomentRange:
    """The middle nine in ten of moments, one a day [s]."""
    found = range_of(seconds.tolist())
    q05, q50, q95 = (moment(ground, s) for s in (found.q05_s, found.q50_s, found.q95_s))
    return MomentRange(q05=q05, q50=q50, q95=q95)
