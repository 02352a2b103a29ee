"""The day: how many sheets and sitters a line bears, what holds it up, when it is through."""

from stillroom.wetline.day.bottleneck import Gain, bottleneck, gains
from stillroom.wetline.day.coming import MOST_SHEETS, Coming, Schedule, conflicts, most_at_once
from stillroom.wetline.day.interval import HANDS, Bound, Interval, bounds, interval
from stillroom.wetline.day.line import Line, Stage, Station, line_of, shuffled
from stillroom.wetline.day.rules import one_tank_min, pile_per_hour, sheets_to_land, sheets_used
from stillroom.wetline.day.schedule import quick, schedule
from stillroom.wetline.day.spread import Between, FinishRange, days_lived, range_of

__all__ = [
    "HANDS",
    "MOST_SHEETS",
    "Between",
    "Bound",
    "Coming",
    "FinishRange",
    "Gain",
    "Interval",
    "Line",
    "Schedule",
    "Stage",
    "Station",
    "bottleneck",
    "bounds",
    "conflicts",
    "days_lived",
    "gains",
    "interval",
    "line_of",
    "most_at_once",
    "one_tank_min",
    "pile_per_hour",
    "quick",
    "range_of",
    "schedule",
    "sheets_to_land",
    "sheets_used",
    "shuffled",
]
