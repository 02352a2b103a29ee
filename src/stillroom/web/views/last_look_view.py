"""Last look: a word for the sky or the meter at the cheek, and the seconds that follow."""

from __future__ import annotations

import math
from dataclasses import dataclass
from urllib.parse import urlencode

from stillroom.documents.book import Book, Settings, Sitting
from stillroom.documents.daylight import DaylightNow
from stillroom.errors import OutOfRange
from stillroom.light import incident_f_number, iso_on_scale, nearest_third_f_number
from stillroom.quantity import Constants, range_text, stops_text
from stillroom.services.daylight_answers import HAND_SD_S, MODEL, SHORT
from stillroom.services.marks import last_number, sheet_mark
from stillroom.services.metered import meter_at_hand, meter_constant_lx_s, only_spot_meters
from stillroom.sitter import region_name
from stillroom.telling.figures import third_stop_marks
from stillroom.telling.names import METER_KINDS, initials
from stillroom.telling.odds import odds
from stillroom.telling.place_rows import SKY_WORDS
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.words import clock, day, figure, seconds

METERED_S = 1.0
"""The time a meter is set to, so that its scale is one of f-numbers [s]."""
SHORT_S = 2.0
"""Below this a hand on the cap counts (interface, Last look) [s]."""
NOTICED_STOPS = 1 / 6
_NEARLY = 0.8  # the nearest time a hand makes is the one above
_NEAR_STOPS = 2 / 3


@dataclass(frozen=True, slots=True)
class Meter:
    """The meter at the face: what it is set to, and the marks round what it should show."""

    where: str
    caption: str
    iso: int
    expected: float
    marks: tuple[float, ...]
    further: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Smaller:
    """A smaller stop, where the seconds are too short for a hand."""

    f_number: float
    seconds: str
    href: str


@dataclass(frozen=True, slots=True)
class LastLook:
    """What the template shows."""

    href: str
    back: str
    shoot: str
    mark: str
    line: str
    words: tuple[tuple[str, bool], ...]
    """Each word for the sky, and whether it is the one that was said."""
    sky: str
    meter: Meter | None
    no_meter: str
    seconds: str
    stop: float
    was: str
    rows: tuple[tuple[str, str], ...]
    smaller: Smaller | None
    settings: Settings
    """What the sheet will be made with."""
    planned: Settings
    piece: str
    then_s: float | None
    cautions: tuple[str, ...]


def last_look_href(
    sitting: Sitting, planned: Settings, piece: str = "", then_s: float | None = None
) -> str:
    """Address of the last look at a plan.

    Parameters
    ----------
    sitting : Sitting
        Whose it is.
    planned : Settings
        Everything but the seconds stays as here.
    piece : str
        Region of a test piece; empty for a sheet.
    then_s : float, optional
        What was needed when the plan was looked at first [s].
    """
    asked = {"planned": planned.model_dump_json(exclude_defaults=True), "piece": piece}
    if then_s is not None:
        asked["then"] = f"{then_s:.6g}"
    return f"{sitting_href(sitting.id)}/last-look?{urlencode(asked)}"


def with_seconds(settings: Settings, open_s: float | None) -> Settings:
    """The settings with all their light let in within so many seconds.

    Examples
    --------
    >>> two = Settings(f_number=5.6, pops=2, open_s=1)
    >>> with_seconds(two, 6).open_s, with_seconds(two, None).open_s
    (3.0, 1.0)
    """
    if open_s is None:
        return settings
    each = open_s if settings.opening == "held_open" else open_s / settings.pops
    return settings.model_copy(update={"open_s": each})


def whole_s(settings: Settings) -> float:
    """How long the lens is open in all [s]."""
    return settings.open_s * (1 if settings.opening == "held_open" else settings.pops)


def last_look_view(
    book: Book,
    sitting: Sitting,
    planned: Settings,
    now: DaylightNow,
    *,
    then_s: float | None,
    smaller: tuple[float, DaylightNow] | None,
    piece: str = "",
) -> LastLook:
    """Put the page together.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose it is.
    planned : Settings
        What was planned; only its seconds move.
    now : DaylightNow
        Seconds now, at that stop.
    then_s : float, optional
        What was needed when the plan was looked at first [s].
    smaller : tuple of float and DaylightNow, optional
        A smaller stop and what it asks for.
    piece : str
        Region of the test piece that is planned; empty for a sheet.
    """
    number = last_number(sitting) + 1
    mark = sheet_mark(initials(book, sitting), number)
    needed_s = now.now.seconds.q50 if now.now.seconds else None
    first_s = needed_s if then_s is None else then_s
    settings = with_seconds(planned, now.open_s)
    href = sitting_href(sitting.id)
    meter = _meter(book, now)
    is_word = sitting.sky is not None and sitting.sky.word is not None
    return LastLook(
        href=f"{href}/last-look",
        back=href,
        shoot=f"{href}/shoot",
        mark=mark,
        line=f"{mark}, {day(now.now.when)}, {now.about.seat_name}. Before the cap comes off.",
        words=tuple((word, is_word and word == now.about.sky) for word in SKY_WORDS),
        sky="" if is_word or sitting.sky is None else now.about.sky,
        meter=meter,
        no_meter="" if meter else _no_meter(book),
        seconds=seconds(whole_s(settings)),
        stop=planned.f_number,
        was=_was(planned, settings, now, first_s),
        rows=_rows(now, settings),
        smaller=_smaller(sitting, planned, now, smaller, piece=piece, first_s=first_s),
        settings=settings,
        planned=planned,
        piece=piece,
        then_s=first_s,
        cautions=tuple(c for c in now.cautions if c not in (MODEL, SHORT)),
    )


def _was(planned: Settings, settings: Settings, now: DaylightNow, first_s: float | None) -> str:
    if now.now.seconds is None:
        return "The sun is down there: no daylight to reckon with."
    before, after = whole_s(planned), whole_s(settings)
    said = ["as planned." if before == after else f"{seconds(before)} was planned."]
    moved = math.log2(first_s / now.now.seconds.q50) if first_s else 0.0
    if abs(moved) >= NOTICED_STOPS:
        way = "gone up" if moved > 0 else "gone down"
        said.append(f"The light has {way} {stops_text(abs(moved)).lstrip('+')} since the plan.")
    return " ".join(said)


def _rows(now: DaylightNow, settings: Settings) -> tuple[tuple[str, str], ...]:
    open_s = whole_s(settings)
    rows = []
    if now.good_until is not None:
        then = f"; after that {seconds(now.then_s)}" if now.then_s else "; after that it is dark"
        rows.append(("Good until", f"{clock(now.good_until)}{then}"))
    off = math.log2(1 + HAND_SD_S / open_s)
    told = f"no matter at {seconds(open_s)}"
    if open_s < SHORT_S:
        told = f"{range_text(off)} stop at {seconds(open_s)}"
    rows.append(("Hand on the cap", f"±{figure(HAND_SD_S)} s, {told}"))
    rows.append((f"{now.about.sitter} can hold", _holds(now, open_s)))
    if now.p_lands is not None:
        name = region_name(now.about.region)
        rows.append((f"{name} lands", odds(now.p_lands)))
    return tuple(rows)


def _holds(now: DaylightNow, open_s: float) -> str:
    most = now.about.holds_still_s
    if most is None:
        return "nobody said how long"
    told = "long enough" if open_s <= most else f"too short for {seconds(open_s)}"
    return f"{seconds(most)}, {told}"


def _smaller(
    sitting: Sitting,
    planned: Settings,
    now: DaylightNow,
    smaller: tuple[float, DaylightNow] | None,
    *,
    piece: str,
    first_s: float | None,
) -> Smaller | None:
    if smaller is None or smaller[1].open_s is None:
        return None
    f_number, there = smaller
    then_s = first_s
    if first_s and now.now.seconds and there.now.seconds:
        then_s = first_s * there.now.seconds.q50 / now.now.seconds.q50
    settings = planned.model_copy(update={"f_number": f_number})
    href = last_look_href(sitting, settings, piece, then_s)
    return Smaller(f_number, seconds(smaller[1].open_s), href)


def is_short(now: DaylightNow) -> bool:
    """Whether the seconds are too short for a hand on a cap."""
    return now.open_s is not None and now.open_s < SHORT_S


def smaller_stops(f_numbers: tuple[float, ...], now: DaylightNow) -> tuple[float, ...]:
    """Marks of a lens at which seconds that are too short may be long enough, the widest first.

    Parameters
    ----------
    f_numbers : tuple of float
        Marks of the lens [1].
    now : DaylightNow
        Seconds at the stop that is set.
    """
    if not is_short(now) or now.now.seconds is None:
        return ()
    needed_s, at = now.now.seconds.q50, now.about.f_number
    smaller = sorted(mark for mark in f_numbers if mark > at)
    enough = [m for m in smaller if needed_s * (m / at) ** 2 >= SHORT_S * _NEARLY]
    return tuple(enough or smaller[-1:])


def _meter(book: Book, now: DaylightNow) -> Meter | None:
    if now.meter is None or only_spot_meters(book.kit.meters):
        return None
    owned = meter_at_hand(book.kit.meters)
    c = meter_constant_lx_s(owned, Constants())
    exposure_lxs = now.meter.q50 * METERED_S
    try:
        iso = iso_on_scale(exposure_lxs, c)
        expected = nearest_third_f_number(incident_f_number(exposure_lxs, iso, c))
    except OutOfRange:
        return None
    near = third_stop_marks(expected, _NEAR_STOPS)
    which = METER_KINDS[owned.kind if owned else "incident_flat"]
    return Meter(
        where={"key": "cheek"}.get(now.about.region, region_name(now.about.region).lower()),
        caption=f"ISO {figure(iso)}, {seconds(METERED_S)}, {which} the way the face looks",
        iso=iso,
        expected=expected,
        marks=near,
        further=tuple(mark for mark in third_stop_marks(expected, 4.0) if mark not in near),
    )


def _no_meter(book: Book) -> str:
    if only_spot_meters(book.kit.meters):
        return "A spot meter sees what the skin sends back, not the light on it: go by the word."
    return ""
