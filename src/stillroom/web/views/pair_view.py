"""Several sheets in hand: what is offered before any is seen, and what is planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.advice.costs import SHEETS_A_ROUND
from stillroom.documents.book import Book, Settings, Sitting
from stillroom.documents.several import SeveralSheets
from stillroom.services.desk_several import PlannedTogether
from stillroom.services.marks import last_number
from stillroom.telling.figures import dial_figure, listed
from stillroom.telling.names import called, openings, thing
from stillroom.telling.odds import odds
from stillroom.telling.set_list import change_title
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.turned import Fields, fields_of
from stillroom.telling.words import figure, seconds

WEIGHS = listed([f"{n:g} sheets with {dear} dear" for dear, n in SHEETS_A_ROUND.items()])
NUMBERS = ("no", "one", "two", "three", "four")


@dataclass(frozen=True, slots=True)
class Offer:
    """So many sheets together, with what they bring."""

    count: int
    word: str
    odds: str
    takes: str
    """Sheets and rounds to be expected; empty where nothing can land."""


@dataclass(frozen=True, slots=True)
class PairView:
    """What the template shows of sheets made before any is seen."""

    href: str
    dear: str
    """``paper`` or ``time``; empty until it was said."""
    other: str
    """The one it can be changed to."""
    is_planned: bool
    is_stale: bool
    is_first: bool
    """Whether it is shown before the set list: it is planned, or it is proposed."""
    heading: str
    line: str
    told: tuple[str, ...]
    marks: tuple[str, ...]
    now: int
    """Which of the marks is made next."""
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    """What differs between them, and nothing else."""
    offers: tuple[Offer, ...]
    cheapest: str
    """How many a round cost least, in a word; empty until it was said what is dear."""
    weighs: str
    """What a round counts for, in sheets."""


def offered(book: Book, sitting: Sitting, several: SeveralSheets, *, is_stale: bool) -> PairView:
    """Two sheets in hand, and how many together cost least.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose kit and lights they are.
    several : SeveralSheets
        What is advised for two.
    is_stale : bool
        Whether an earlier plan no longer holds.
    """
    said = _dear(sitting)
    expected = several.forecast
    told = [several.note]
    if any(several.between):
        turns = [change_title(book, sitting, c) for c in several.between[0]]
        told.append(f"For {several.marks[1]} then: {' '.join(turns)}")
        told.append(f"Both alike: {odds(expected.p_any_alike)}.")
    return PairView(
        href=sitting_href(sitting.id),
        dear=said,
        other="paper" if said == "time" else "time",
        is_planned=False,
        is_stale=is_stale,
        is_first=several.proposed and bool(said),
        heading="Two sheets in hand",
        line=f"{listed(several.marks)} before either is seen: one lands, {odds(expected.p_any)}.",
        told=tuple(told),
        marks=several.marks,
        now=0,
        rows=(),
        offers=tuple(
            Offer(
                one.sheets,
                NUMBERS[one.sheets],
                odds(one.p_any),
                f"{one.expected_sheets:.1f} sheets, {one.expected_rounds:.1f} rounds"
                if several.reachable
                else "",
            )
            for one in several.together
        ),
        cheapest=NUMBERS[several.cheapest] if said and several.reachable else "",
        weighs=WEIGHS,
    )


def planned(book: Book, sitting: Sitting, plan: PlannedTogether) -> PairView:
    """A plan that is being made: its marks, and a column for each only where they differ.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose kit and lights they are.
    plan : PlannedTogether
        What was planned.
    """
    now = last_number(sitting) + 1 - plan.first
    word = NUMBERS[len(plan.marks)]
    rows = _rows(book, sitting, plan.settings)
    return PairView(
        href=sitting_href(sitting.id),
        dear=_dear(sitting),
        other="",
        is_planned=True,
        is_stale=False,
        is_first=True,
        heading=f"{word[:1].upper()}{word[1:]} sheets planned",
        line=f"{listed(plan.marks)}, before any is seen: one lands, {odds(plan.p_any)}.",
        told=() if rows else ("All are set alike.",),
        marks=plan.marks,
        now=now,
        rows=rows,
        offers=(),
        cheapest="",
        weighs=WEIGHS,
    )


def _dear(sitting: Sitting) -> str:
    """What was said to be dear; a sitting that was never asked has nothing of its own."""
    return sitting.dear if "dear" in sitting.model_fields_set else ""


def _rows(
    book: Book, sitting: Sitting, settings: Sequence[Settings]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    fields = [fields_of(sitting, one) for one in settings]
    knobs = dict.fromkeys(knob for one in fields for knob in one)
    return tuple(
        (_title(knob), tuple(_shown(book, sitting, knob, one) for one in fields))
        for knob in knobs
        if len({one.get(knob) for one in fields}) > 1
    )


def _title(knob: str) -> str:
    camera = {
        "f": "Lens", "pops": "Pops", "s": "Open time", "opening": "Opening", "filter": "Filter",
        "preflash": "Pre-flash",
    }  # fmt: skip
    said = camera.get(knob, knob.replace(".", " "))
    return f"{said[:1].upper()}{said[1:]}"


def _shown(book: Book, sitting: Sitting, knob: str, fields: Fields) -> str:
    text = fields.get(knob, "")
    role, _, what = knob.partition(".")
    if what == "dial":
        light = next(one for one in sitting.lights if one.role == role)
        head = thing(book.kit.heads, light.kit_id)
        return " ".join(dial_figure(head.dial, float(text))) if head and text else text
    if knob == "f":
        return f"f/{figure(float(text))}"
    if knob == "s":
        return seconds(float(text))
    if knob == "pops":
        return f"{text} {openings(sitting, int(text))}"
    if knob == "filter":
        return called(thing(book.kit.filters, text), text) or "none"
    return text or ("none" if knob == "preflash" else "")
