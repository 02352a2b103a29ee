"""How long a plan by daylight stays good, and what comes after it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from stillroom.documents import answers
from stillroom.documents.to_daylight import sky_of
from stillroom.light.daylight import slots
from stillroom.quantity import FloatArray
from stillroom.services.daylight_need import OPEN_TIMES_S
from stillroom.services.daylit import light_there, seat_of
from stillroom.services.seats import is_seat
from stillroom.services.worktable import Worktable

FOLLOWED_EVERY_MIN = 5
"""Steps in which a plan is followed through its day [min]."""
NOTICED_STOPS = 1 / 6
"""A region that moves by less does not make a plan stale; ours."""


@dataclass(frozen=True, slots=True)
class GoodUntil:
    """The end of a plan, and the open time that is nearer from then on; None once it is dark."""

    until: datetime
    then_s: float | None

    def text(self) -> str:
        """As it stands after *Good until*.

        Examples
        --------
        >>> GoodUntil(datetime(2026, 11, 14, 14, 40), 6.0).text()
        '14:40; after that 6 s'
        """
        clock = f"{self.until:%H:%M}"
        if self.then_s is None:
            return f"{clock}; after that it is too dark"
        return f"{clock}; after that {self.then_s:g} s"


def good_until(table: Worktable, forecast: answers.Forecast) -> GoodUntil | None:
    """Until when settings stay good, as the light of the seat goes up and down.

    Parameters
    ----------
    table : Worktable
        A sitting at a moment.
    forecast : Forecast
        What its settings would show.

    Returns
    -------
    GoodUntil or None
        None where no daylight is in the plan, the sun is down already, no region would notice,
        or the plan stays good to the end of the day.
    """
    seats = {light.role: light.kit_id or "" for light in table.sitting.lights if is_seat(light)}
    on_aimed = [
        sum(region.sources.get(role, 0.0) for role in seats)
        for name, region in forecast.regions.items()
        if table.sitting.aims[name].tol_stops is not None
    ]
    share = max(on_aimed, default=0.0)
    settings = forecast.settings
    if not seats or share <= 0 or settings.steps_pops is not None:
        return None
    open_s = settings.open_s * (1 if settings.opening == "held_open" else settings.pops)
    there = seat_of(table.book, next(iter(seats.values())))[2]
    day = slots(there.place, table.at.astimezone(there.place.tz).date(), 1, FOLLOWED_EVERY_MIN)
    later = np.concatenate(
        [[table.at.timestamp()], day.posix_s[day.posix_s > table.at.timestamp()]]
    )
    sky = sky_of(table.sitting.sky)
    lx = light_there(there, table.batch, table.lens, later, sky).actinic_lx[0]
    if lx[0] <= 0:
        return None
    with np.errstate(divide="ignore"):
        brighter = np.log2(lx) - math.log2(lx[0])
        moved = np.log2(1 - share + share * np.exp2(brighter))
    wanted = _open_times(open_s, brighter, _lost(table))
    others = sorted({*OPEN_TIMES_S, open_s})
    for i in np.flatnonzero(np.abs(moved) > NOTICED_STOPS):
        if not math.isfinite(wanted[i]):
            return GoodUntil(there.place.at(float(later[i])), None)
        nearest = min(others, key=lambda s: abs(math.log2(s) - wanted[i]))
        if nearest != open_s:
            return GoodUntil(there.place.at(float(later[i])), nearest)
    return None


def _open_times(open_s: float, brighter_stops: FloatArray, lost: float) -> FloatArray:
    """The open times that give the paper as much in other light [log2 s]."""
    log2_s = math.log2(open_s)
    effective = log2_s - lost * max(log2_s, 0.0) - brighter_stops
    return np.asarray(np.where(effective > 0, effective / (1 - lost), effective))


def _lost(table: Worktable) -> float:
    """What reciprocity is believed to take of each doubling past 1 s [stops]."""
    belief = table.posterior().belief
    return float(belief.mean[belief.positions(["kit/reciprocity"])[0]])


def with_end(table: Worktable, forecast: answers.Forecast) -> answers.Forecast:
    """The forecast, with until when its settings stay good by daylight."""
    end = good_until(table, forecast)
    return forecast.model_copy(update={"good_until": end.text()}) if end else forecast
