"""Control strips of a batch: each run against its reference, and the form for another one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.documents.book import ControlStrip, Paper, RegionReading
from stillroom.errors import BadValue, StillroomError
from stillroom.quantity import NINE_IN_TEN, range_text, stops_decimal_text, stops_words
from stillroom.services.bath import CONTROL_PAPER_NEEDED, LEAVE_IT_STOPS, StripRun
from stillroom.services.bath_words import black_sentence, run_sentence, shift_sentence
from stillroom.services.cautions import BATH_CAUTION
from stillroom.services.desk_bath import BatchStrips
from stillroom.services.strip_reading import by_steps, steps_of
from stillroom.telling.names import slug
from stillroom.telling.strip import Axis, Row
from stillroom.telling.tones import Curve
from stillroom.telling.words import clock
from stillroom.web.forms import Posted, number
from stillroom.web.views.read_view import MOST_ABREAST, StepButton, step_buttons

WAYS = (("strip", "By the strip"), ("densitometer", "Densitometer"))
FIRST_STEPS = ("1", "2")
"""What the steps of the first run are called."""
SHOWN_RUNS = 8
_HALF_AXES = {0.5: "½", 1.0: "1", 2.0: "2", 4.0: "4"}


@dataclass(frozen=True, slots=True)
class RunLine:
    """One control strip in the table."""

    value: str
    """What a form calls it."""
    day: str
    at: str
    track: Row
    bath: str
    range: str
    spoken: str
    note: str
    is_reference: bool


@dataclass(frozen=True, slots=True)
class StepAsk:
    """One step that is asked for."""

    field: str
    name: str
    before: str


@dataclass(frozen=True, slots=True)
class StripsView:
    """The section as the template shows it."""

    address: str
    answer: str
    lines: tuple[RunLine, ...]
    earlier: tuple[RunLine, ...]
    ticks: tuple[tuple[float, str], ...]
    axis_words: str
    ways: tuple[tuple[str, str], ...]
    asks: tuple[StepAsk, ...]
    buttons: tuple[StepButton, ...]
    columns: int
    is_own: bool
    density_range: str
    closed: str
    """Why no strip can be written down now, else empty."""
    caution: str
    start: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class StripForm:
    """What the form said: densities by step and their spread, or what is wrong with it."""

    steps: dict[str, float]
    density_sd: float | None
    faults: dict[str, str]


@dataclass(frozen=True, slots=True)
class StripTyped:
    """A form that came back: what was put in, and what is wrong with it."""

    answers: Mapping[str, tuple[str, ...]]
    faults: Mapping[str, str]
    problem: str


def strips_view(paper: Paper, strips: BatchStrips, curve: Curve) -> StripsView:
    """Put the section together.

    Parameters
    ----------
    paper : Paper
        The batch.
    strips : BatchStrips
        Its runs, from the desk.
    curve : sequence of CurvePoint
        Tone curve of the batch, to say where a step lies.
    """
    half = _half_axis(strips.runs)
    axis = Axis(-half, half)
    lines = tuple(_line(run, axis) for run in reversed(strips.runs))
    reference = strips.runs[-1].reference if strips.runs else None
    size = stops_words(half)
    return StripsView(
        address=f"/papers/{slug(paper.id)}/strip",
        answer=run_sentence(strips.today) if strips.runs else "",
        lines=lines[:SHOWN_RUNS],
        earlier=lines[SHOWN_RUNS:],
        ticks=(
            (axis.at(-half), f"−{_HALF_AXES[half]}"),
            (axis.at(0.0), "reference"),
            (axis.at(half), f"+{_HALF_AXES[half]}"),
        ),
        axis_words=f"within {size} of the reference; brackets: leave it",
        ways=WAYS,
        asks=_asks(reference),
        buttons=tuple(b for b in step_buttons(paper, curve) if not b.is_end),
        columns=n if (n := len(steps_of(paper))) <= MOST_ABREAST else (n + 1) // 2,
        is_own=bool(paper.comparison_strip),
        density_range=f"{paper.dmin:.2f} to {paper.dmax:.2f}",
        closed="" if strips.sitting_id else CONTROL_PAPER_NEEDED,
        caution=BATH_CAUTION,
        start={"by": (_usual_way(strips.runs),)},
    )


def read_strip_form(post: Posted, paper: Paper, reference: ControlStrip | None) -> StripForm:
    """Read the form; a fault stays with its step and the rest is kept.

    Parameters
    ----------
    post : Posted
        The form as it came in.
    paper : Paper
        The batch.
    reference : ControlStrip or None
        What its runs are held against, for the names of the steps.
    """
    by = post.one("by", "strip")
    if by not in dict(WAYS):
        raise BadValue("How you read", by, f"choose one of {', '.join(way for way, _ in WAYS)}")
    steps: dict[str, float] = {}
    spreads: list[float] = []
    faults: dict[str, str] = {}
    for ask in _asks(reference):
        try:
            seen = _seen(post, by, paper, ask)
        except StillroomError as error:
            faults[ask.field] = str(error)
            continue
        if seen is not None and seen.density is not None:
            steps[ask.field] = seen.density
            spreads.append(seen.density_sd or 0.0)
    return StripForm(steps, max(spreads, default=0.0) or None, faults)


def _seen(post: Posted, by: str, paper: Paper, ask: StepAsk) -> RegionReading | None:
    if by == "strip":
        taps = tuple(tap for tap in post.many(f"s:{ask.field}") if tap)
        return by_steps(taps, paper, ask.name) if taps else None
    text = post.one(f"d:{ask.field}")
    if not text:
        return None
    density, low, high = number(ask.name, text), paper.dmin, paper.dmax
    if not low - 0.15 <= density <= high + 0.15:
        raise BadValue(ask.name, text, f"this paper goes from {low:.2f} to {high:.2f}")
    return RegionReading(density=density)


def _asks(reference: ControlStrip | None) -> tuple[StepAsk, ...]:
    known = reference.steps if reference is not None else dict.fromkeys(FIRST_STEPS)
    return tuple(
        StepAsk(name, f"Step {name}", "" if density is None else f"reference {density:.2f}")
        for name, density in known.items()
    )


def _usual_way(runs: tuple[StripRun, ...]) -> str:
    return "densitometer" if runs and runs[-1].strip.density_sd is None else "strip"


def _half_axis(runs: tuple[StripRun, ...]) -> float:
    """The axis that shows every run: half a stop each way, or more where one lies further out."""
    ends = [
        abs(run.shift.value_stops) + NINE_IN_TEN * run.shift.sd_stops
        for run in runs
        if run.shift.value_stops is not None
    ]
    furthest = max(ends, default=0.0)
    return next((half for half in _HALF_AXES if furthest <= half), max(_HALF_AXES))


def _line(run: StripRun, axis: Axis) -> RunLine:
    value = f"{run.number}|{run.sitting_id}"
    when = run.strip.when
    shift = run.shift
    wanted = (axis.at(-LEAVE_IT_STOPS), axis.at(LEAVE_IT_STOPS))
    middle = (axis.at(0.0),)
    day = f"{when.day} {when:%b}"
    if run.is_reference:
        return RunLine(
            value, day, clock(when), Row(wanted=wanted, lines=middle),
            "reference", "", run_sentence(run), "", is_reference=True,
        )  # fmt: skip
    said = shift_sentence(shift)
    if shift.value_stops is None:
        return RunLine(
            value, day, clock(when), Row(wanted=wanted, lines=middle),
            "no reading", "", said, said, is_reference=False,
        )  # fmt: skip
    half = NINE_IN_TEN * shift.sd_stops
    best = shift.value_stops
    row = Row(
        spindle=axis.spindle(best - half, best, best + half),
        wanted=wanted,
        seen=axis.at(best),
        lines=middle,
    )
    note = black_sentence(shift)
    return RunLine(
        value, day, clock(when), row, stops_decimal_text(best, 1), range_text(half), said, note,
        is_reference=False,
    )  # fmt: skip
