"""How long the shutter has to be open in daylight, for one moment or a year of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from stillroom.advice import Table
from stillroom.belief import States, exposures, with_veil
from stillroom.documents import book as doc
from stillroom.documents.to_daylight import SeatThere, sky_of
from stillroom.exposure import Layout
from stillroom.light.daylight import PlaneLight, Sky, local_noon, sun_position
from stillroom.quantity import FloatArray
from stillroom.services.daylight_asked import Asked, planned, region_asked
from stillroom.services.daylit import light_there, seat_of
from stillroom.services.remembered import BeliefMemo
from stillroom.services.worktable import Worktable, worktable

OPEN_TIMES_S = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 64.0)
"""Open times a hand and a clock can make by daylight [s]."""
_TRIED_LOG2_S = np.arange(-8.0, 15.0)


@dataclass(frozen=True, slots=True, eq=False)
class Need:
    """How much open time a region needs at one moment, by what is believed.

    Parameters
    ----------
    table : Worktable
        The sitting asked of, at that moment.
    states : States
        What is believed.
    layout : Layout
        The sitting as it stands.
    region : str
        Which region is to fall as aimed.
    there : SeatThere
        The seat.
    sky : Sky
        The sky.
    actinic_lx : float
        What the paper sees at the face then, by sun and sky [lx].
    log2_s : FloatArray
        Open time needed then, before reciprocity, one for each state [log2 s].
    lost : float
        What reciprocity takes of each doubling past 1 s [stops].
    """

    table: Worktable
    states: States
    layout: Layout
    region: str
    there: SeatThere
    sky: Sky
    actinic_lx: float
    log2_s: FloatArray
    lost: float

    @property
    def sd_stops(self) -> float:
        """How far all of it may be off, one sigma [stops]."""
        return float(self.log2_s.std())

    def light(self, times: datetime | FloatArray) -> PlaneLight:
        """Daylight at the seat at other moments, by sun and sky."""
        return light_there(self.there, self.table.batch, self.table.lens, times, self.sky)

    def log2_seconds(self, actinic_lx: FloatArray, quantile: float = 0.5) -> FloatArray:
        """Open times needed in other light [log2 s]; infinite in the dark.

        Parameters
        ----------
        actinic_lx : FloatArray
            By sun and sky at those moments [lx].
        quantile : float
            Of what is believed [1].
        """
        with np.errstate(divide="ignore"):
            darker = math.log2(self.actinic_lx) - np.log2(actinic_lx)
        needed = float(np.quantile(self.log2_s, quantile)) + darker
        return np.asarray(np.where(needed > 0, needed / (1 - self.lost), needed))


def need(book: doc.Book, asked: Asked, at: datetime, memo: BeliefMemo | None = None) -> Need:
    """What a sitting in daylight needs at a moment, or at noon if it is dark then.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        What is asked about.
    at : datetime
        The moment; it knows its zone.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Raises
    ------
    UnknownName
        If something asked about is not in the book.
    NotPossible
        If nothing is aimed at.
    """
    there = seat_of(book, asked.seat)[2]
    with_it, sitting = planned(book, asked, at)
    table = worktable(with_it, sitting.id, memo=memo, at=lit_moment(there, at))
    return needed_by(table, there)


def lit_moment(there: SeatThere, at: datetime) -> datetime:
    """A moment with the sun up: itself, else that day's noon, else noon of the longest day."""
    day = at.astimezone(there.place.tz).date()
    for moment in (at, local_noon(there.place, day)):
        if float(sun_position(moment, there.place).elevation_deg[0]) > 0:
            return moment
    return longest_day(there, day.year)


def longest_day(there: SeatThere, year: int) -> datetime:
    """Noon of the longest day of a year."""
    month = 6 if there.place.latitude_deg >= 0 else 12
    return local_noon(there.place, date(year, month, 21))


def needed_by(table: Worktable, there: SeatThere, settings: doc.Settings | None = None) -> Need:
    """What the sitting of a worktable needs at its moment, all but the open time as it is set.

    Parameters
    ----------
    table : Worktable
        A sitting at a moment with the sun up.
    there : SeatThere
        Its seat.
    settings : Settings, optional
        How everything else is set; as it stands when left out.

    Raises
    ------
    NotPossible
        If nothing is aimed at.
    """
    region, sky = region_asked(table.sitting), sky_of(table.sitting.sky)
    settings = settings or table.standing()
    layout = table.layout(settings)
    states = table.posterior().states(layout)
    row = layout.regions.index(region)
    aimed = Table(states, layout)
    target = aimed.target[:, aimed.aimed.index(region)]
    lost = states.theta[:, layout.index["kit/reciprocity"]]
    # Flash keeps its pops while the open time is tried.
    flash = exposures(states, layout, table.bare_settings(settings))[:, 0][:, :, layout.flash]
    placed = []
    for log2_s in _TRIED_LOG2_S:
        tried = {"open_s": float(2.0**log2_s), "opening": "per_pop", "pops": 1}
        light = exposures(states, layout, table.bare_settings(settings.model_copy(update=tried)))[
            :, 0
        ]
        light[:, :, layout.flash] = flash
        placed.append(np.log2(with_veil(states, layout, light.sum(axis=2))[:, row]))
    effective = _TRIED_LOG2_S - lost[:, None] * np.maximum(_TRIED_LOG2_S, 0.0)
    light_then = light_there(there, table.batch, table.lens, table.at, sky)
    return Need(
        table=table,
        states=states,
        layout=layout,
        region=region,
        there=there,
        sky=sky,
        actinic_lx=float(light_then.actinic_lx[0, 0]),
        log2_s=_crossing(np.array(placed).T - target[:, None], effective),
        lost=float(np.median(lost)),
    )


def _crossing(over: FloatArray, axis: FloatArray) -> FloatArray:
    """Where rising rows cross zero, straight lines between the tried; beyond them, one for one."""
    at = (over < 0).sum(axis=1)
    low = np.clip(at - 1, 0, over.shape[1] - 2)
    rows = np.arange(len(over))
    y0, y1 = over[rows, low], over[rows, low + 1]
    x0, x1 = axis[rows, low], axis[rows, low + 1]
    inside = x0 - y0 * (x1 - x0) / np.maximum(y1 - y0, 1e-9)
    below, beyond = axis[:, 0] - over[:, 0], axis[:, -1] - over[:, -1]
    return np.asarray(np.where(at == 0, below, np.where(at == over.shape[1], beyond, inside)))


def nearest_open_s(log2_s: float) -> float:
    """The open time a hand can make that lies nearest to what is needed [s].

    Examples
    --------
    >>> nearest_open_s(2.2)
    4.0
    """
    return min(OPEN_TIMES_S, key=lambda s: abs(math.log2(s) - log2_s))
