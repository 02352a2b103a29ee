"""Meter readings of a document in the engine's terms."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from stillroom.camera import exact_f_number
from stillroom.documents import book as doc
from stillroom.documents.kit import Meter
from stillroom.documents.to_domain import named
from stillroom.errors import BadValue
from stillroom.exposure import BareMeterReading, BareSettings
from stillroom.light import incident_exposure_lxs, lux_from_ev100
from stillroom.quantity import Constants

LEAST_SD_STOPS = 0.02


def meter_at_hand(meters: Sequence[Meter]) -> Meter | None:
    """The meter that is held at the face: the first in use that is no spot meter.

    Examples
    --------
    >>> spot, dome = Meter(id="s", kind="spot"), Meter(id="d", kind="incident_dome")
    >>> meter_at_hand([spot, dome]).id
    'd'
    """
    return next((m for m in meters if not m.retired and m.kind != "spot"), None)


def only_spot_meters(meters: Sequence[Meter]) -> bool:
    """Whether there are meters, and none of them tells of the light at the face."""
    return any(not m.retired for m in meters) and meter_at_hand(meters) is None


def meter_constant_lx_s(meter: Meter | None, constants: Constants) -> float:
    """The incident constant that a meter's figures are held against, by its kind [lx s]."""
    dome = meter is not None and meter.kind == "incident_dome"
    return constants.meter_c_dome_lx_s if dome else constants.meter_c_lx_s


def bare_meter_reading(
    taken: doc.MeterReading,
    meters: Sequence[Meter],
    settings: BareSettings,
    roles: Sequence[str],
    constants: Constants,
) -> BareMeterReading:
    """What a meter showed, as light at the sitter.

    Parameters
    ----------
    taken : MeterReading
        As it was written down.
    meters : sequence of Meter
        The kit's.
    settings : BareSettings
        How the lights stood.
    roles : sequence of str
        The lights of the layout.
    constants : Constants
        The meter constants.

    Raises
    ------
    BadValue
        If the meter is a spot meter, or none of the lights is there.
    UnknownName
        If the kit has no such meter.
    """
    meter = named("meter", taken.meter, meters) if taken.meter else Meter(id="meter")
    if meter.kind == "spot":
        raise BadValue(
            "meter", meter.id, "a spot reading is not learned from; take an incident one"
        )
    c = meter_constant_lx_s(meter, constants)
    shows = taken.shows
    if shows.f_number is not None:
        exposure_lxs = incident_exposure_lxs(exact_f_number(shows.f_number), shows.iso or 0.0, c)
        if shows.seconds is not None:  # the time the meter reckoned with, not the sheet's
            settings = replace(settings, seconds=shows.seconds / settings.pops)
    else:
        lux = shows.lx if shows.lx is not None else lux_from_ev100(shows.ev100 or 0.0)
        exposure_lxs = lux * settings.seconds * settings.pops
    sources = tuple(role for role in taken.lights_on if role in roles)
    if not sources:
        raise BadValue("lights_on", list(taken.lights_on), "name lights that are on")
    return BareMeterReading(
        region=taken.region,
        sources=sources,
        settings=settings,
        log2_lxs=math.log2(exposure_lxs) - meter.bias_stops,
        sd_stops=max(meter.sd_stops, LEAST_SD_STOPS),
        meter=meter.id,
        bias_sd_stops=meter.bias_sd_stops,
    )
