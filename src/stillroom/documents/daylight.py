"""What the tool answers about daylight, as documents."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import AwareDatetime

from stillroom.documents.base import Line, Name, Strict


class SecondsRange(Strict):
    """Seconds needed, with their range: `q05` to `q95` is nine in ten."""

    q05: float
    q50: float
    q95: float


class LuxRange(Strict):
    """Light on an incident meter, with its range: `q05` to `q95` is nine in ten [lx]."""

    q05: float
    q50: float
    q95: float


class AskedOf(Strict):
    """What the answer is about: where one sits, on what, through which lens."""

    sitting: Name | None
    """A sitting of the book, whose own readings count; null for a plan."""
    seat: Name
    seat_name: Line
    place: Name
    place_name: Line
    zone: Line
    paper: Name
    paper_name: Line
    lens: Name
    f_number: float
    region: Name
    """The region that is to fall as aimed."""
    sitter: Line
    holds_still_s: float | None
    sky: Line
    """The sky that is reckoned with: a word, or cover and sun."""
    shape: Literal["open air", "window"]
    window_distance_m: float | None
    """From the glass to the face; null in the open."""


class Moment(Strict):
    """One moment of a day."""

    when: AwareDatetime
    sun_elevation_deg: float
    sun_azimuth_deg: float
    seconds: SecondsRange | None
    """Null with the sun down."""
    paper_lx: float
    meter_lx: float


class Stretch(Strict):
    """From one moment to another."""

    begins: AwareDatetime
    ends: AwareDatetime


class Steps(Strict):
    """One open time, and the stretch in which it is the nearest one that a hand can make."""

    seconds: float
    begins: AwareDatetime
    ends: AwareDatetime


class DaylightWay(Strict):
    """Something that would change the seconds, and what they would be then."""

    what: Literal["hour", "stop", "chair", "glass", "pop", "paper", "lens", "sky"]
    text: Line
    """What to do, as a phrase: ``the chair 0.50 m nearer the window``."""
    seconds: float
    stops: float
    """Light it brings, above 0, or costs [stops]."""
    within: bool
    """Whether the sitter can hold still for those seconds."""


class DaylightNow(Strict):
    """Seconds now, and how long that is good."""

    stillroom: Literal["daylight_now/1"] = "daylight_now/1"
    about: AskedOf
    now: Moment
    open_s: float | None
    """The nearest time a hand can make; null with the sun down."""
    good_until: AwareDatetime | None
    """The end of the stretch in which it stays the nearest; null with the sun down."""
    then_s: float | None
    """What it is from then on; null where the sun is down by then."""
    after: tuple[Steps, ...]
    """The stretches that follow, to the end of the day."""
    holds: bool | None
    """Whether the sitter can hold still so long; null where nobody said."""
    p_lands: float | None
    """Chance that the region falls within its tolerance at `open_s`."""
    sd_stops: float
    """How far all of it may be off, one sigma [stops]."""
    meter: LuxRange | None
    """What an incident meter at the face should show."""
    ways: tuple[DaylightWay, ...]
    cautions: tuple[Line, ...]


class DaylightDay(Strict):
    """The curve of a day."""

    stillroom: Literal["daylight_day/1"] = "daylight_day/1"
    about: AskedOf
    date: dt.date
    rises: AwareDatetime | None
    noon: AwareDatetime
    sets: AwareDatetime | None
    always: Literal["up", "down"] | None
    """On days without a rise or a set, where the sun stays."""
    moments: tuple[Moment, ...]
    best: Moment | None
    within_s: float
    within: tuple[Stretch, ...]
    """When the middle estimate stays within `within_s`."""
    cautions: tuple[Line, ...]


class MonthRow(Strict):
    """The fifteenth of one month."""

    date: dt.date
    shortest_s: float | None
    at: AwareDatetime | None
    within: dict[str, Stretch | None]
    """By limit in seconds, as text; the longest stretch of the day, null for never."""


class DaylightYear(Strict):
    """Seconds needed over a year, day by day and hour by hour."""

    stillroom: Literal["daylight_year/1"] = "daylight_year/1"
    about: AskedOf
    year: int
    step_min: int
    within_s: float
    seconds: tuple[tuple[float | None, ...], ...]
    """Rows of days, columns of times on the clock; null in the dark and where clocks skip."""
    sd_stops: float
    days_within: tuple[dt.date, ...]
    """Days on which some moment is within `within_s`."""
    months: tuple[MonthRow, ...]
    skies_stops: dict[str, float]
    """What other skies bring or cost at the best hour of the middle of the year [stops]."""
    cautions: tuple[Line, ...]


class DayWithin(Strict):
    """When a limit can be kept on one day, by sky."""

    date: dt.date
    by_sky: dict[str, tuple[Stretch, ...]]


class DaylightWhen(Strict):
    """On which days, and when, it can be done in so many seconds."""

    stillroom: Literal["daylight_when/1"] = "daylight_when/1"
    about: AskedOf
    within_s: float
    days: tuple[DayWithin, ...]
    cautions: tuple[Line, ...]


class ComparedLine(Strict):
    """One cause by which two sheets differ."""

    cause: Line
    first: Line
    second: Line
    stops: float
    """What it makes the second lighter by [stops]."""
    sd_stops: float


class DaylightCompared(Strict):
    """Two daylight sheets of one seat, and why they differ."""

    stillroom: Literal["daylight_compared/1"] = "daylight_compared/1"
    first: Line
    second: Line
    region: Name
    lines: tuple[ComparedLine, ...]
    expected_stops: float
    """By how much the second was to be lighter, by all that was known beforehand [stops]."""
    expected_sd_stops: float
    seen_stops: float | None
    """By how much it was; null where one of them was not read there [stops]."""
    surprise_sd: float | None
    """How far what was seen lies from what was expected, in standard deviations of both."""
    blamed: tuple[Line, ...]
    """What took up the surprise, most of it first."""
