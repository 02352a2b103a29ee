"""Control strips of a book: what the bath alone did, day by day."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from stillroom.documents import book as doc
from stillroom.documents.to_domain import batch_of, named
from stillroom.exposure import BareBathReading
from stillroom.reading import (
    READING_SD_DENSITY,
    RUN_SD_STOPS,
    BathShift,
    bath_shift,
)
from stillroom.services.sittings import bath_of_day

LEAVE_IT_STOPS = 0.25
"""Within so much the bath is left as it is; a day unchecked is held to be within it."""
KEEPING_SD_STOPS_PER_MONTH = 0.03  # invented: exposed offcuts change a little while they lie
MONTH_DAYS = 30.0
CONTROL_PAPER_NEEDED = (
    "No sitting with this paper is going on today: begin one, for a control strip tells of the "
    "baths of a sitting."
)


@dataclass(frozen=True, slots=True)
class StripRun:
    """One control strip of a book against its reference.

    Attributes
    ----------
    sitting_id : str
        The sitting it was run in.
    number : int
        Its place among the strips of that sitting, from 1.
    strip : ControlStrip
        As the document has it.
    reference : ControlStrip
        What it is compared with; itself where it is a reference run.
    reference_id : str
        What the engine calls that reference: the paper's id, a later one with its number.
    shift : BathShift
        What was found; a reference run stands at 0.
    """

    sitting_id: str
    number: int
    strip: doc.ControlStrip
    reference: doc.ControlStrip
    reference_id: str
    shift: BathShift

    @property
    def is_reference(self) -> bool:
        """Whether others are compared with it."""
        return self.strip is self.reference


def strip_runs(book: doc.Book, paper_id: str) -> tuple[StripRun, ...]:
    """Every control strip of a batch, in order of time.

    Each is compared with the last reference run before it: the first strip of the batch, until
    another one is marked. What was found of an earlier strip stays when a later one is marked.

    Parameters
    ----------
    book : Book
        The whole book.
    paper_id : str
        The batch.

    Returns
    -------
    tuple of StripRun
        Earliest first.

    Raises
    ------
    UnknownName
        If the book has no such paper.

    Examples
    --------
    >>> from stillroom.services.demo import demo_book
    >>> strip_runs(demo_book(), "sorrel-2/7")
    ()
    """
    paper = named("paper", paper_id, book.papers)
    curve = batch_of(paper).curve()
    found = [
        (strip.when, sitting.when, sitting.id, at, strip)
        for sitting in book.sittings
        if sitting.paper == paper_id
        for at, strip in enumerate(sitting.control_strips, 1)
    ]
    runs: list[StripRun] = []
    reference: doc.ControlStrip | None = None
    reference_id, references = paper_id, 0
    for _, _, sitting_id, number, strip in sorted(found, key=lambda row: row[:4]):
        if reference is None or strip.reference:
            reference, references = strip, references + 1
            reference_id = paper_id if references == 1 else f"{paper_id}/{references}"
            shift = BathShift(0.0, RUN_SD_STOPS, tuple(sorted(strip.steps)))
        else:
            shift = _kept_apart(
                bath_shift(
                    reference.steps,
                    strip.steps,
                    curve,
                    reference_sd_density=reference.density_sd or READING_SD_DENSITY,
                    run_sd_density=strip.density_sd or READING_SD_DENSITY,
                    slope_log_sd=_slope_log_sd(paper),
                ),
                (strip.when - reference.when).total_seconds() / 86_400,
            )
        runs.append(StripRun(sitting_id, number, strip, reference, reference_id, shift))
    return tuple(runs)


def bath_readings(book: doc.Book, sitting: doc.Sitting) -> tuple[BareBathReading, ...]:
    """What the control strips of a sitting say of its bath, in the engine's terms.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting
        One of its sittings.

    Returns
    -------
    tuple of BareBathReading
        One for each strip that tells anything, earliest first; a reference run tells that the
        bath stands where the reference stood.

    Raises
    ------
    UnknownName
        If the book has not the sitting's paper.
    """
    if not sitting.control_strips:
        return ()
    return tuple(
        BareBathReading(
            run.shift.value_stops,
            run.shift.sd_stops,
            run.reference_id,
            _sheets_before(book, sitting, run.strip),
        )
        for run in strip_runs(book, sitting.paper)
        if run.sitting_id == sitting.id and run.shift.value_stops is not None
    )


def bath_is_known(book: doc.Book, sitting: doc.Sitting) -> bool:
    """Whether a control strip tells the bath of a sitting apart from lamps and paper.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting
        One of its sittings.

    Returns
    -------
    bool
        True when a strip of that day, run in this sitting or one before it, was compared with a
        reference run of another day. A reference run alone says only what later ones are held
        against.
    """
    for other in _same_bath(book, sitting):
        if not other.control_strips:
            continue
        for run in strip_runs(book, other.paper):
            is_here = run.sitting_id == other.id and run.shift.value_stops is not None
            if is_here and run.reference.when.date() != run.strip.when.date():
                return True
    return False


def run_of_day(book: doc.Book, paper_id: str, day: date) -> StripRun | None:
    """The last control strip of a batch that was run on a day, or None.

    Parameters
    ----------
    book : Book
        The whole book.
    paper_id : str
        The batch.
    day : date
        The local date.

    Returns
    -------
    StripRun or None
        The latest of that day.

    Raises
    ------
    UnknownName
        If the book has no such paper.
    """
    runs = [r for r in strip_runs(book, paper_id) if r.strip.when.date() == day]
    return runs[-1] if runs else None


def sitting_for_strip(book: doc.Book, paper_id: str, day: date) -> doc.Sitting | None:
    """The sitting a strip of a batch belongs to: the last that is not finished, else of that day.

    Parameters
    ----------
    book : Book
        The whole book.
    paper_id : str
        The batch.
    day : date
        The local date.

    Returns
    -------
    Sitting or None
        None where no sitting with that batch is going on or was of that day.

    Examples
    --------
    >>> sitting_for_strip(doc.Book(), "sorrel-2/7", date(2026, 11, 14)) is None
    True
    """
    of_paper = [s for s in book.sittings if s.paper == paper_id]
    fitting = [s for s in of_paper if not s.finished] or [
        s for s in of_paper if s.when.date() == day
    ]
    return max(fitting, key=lambda s: (s.when, s.id), default=None)


def _slope_log_sd(paper: doc.Paper) -> float:
    """How well the slope of the entered curve is known at its middle [natural log].

    Slope there is ``(Dmax - Dmin) kappa (1 - 2**-nu) / (2 nu)``, so near nu = 1 it goes with
    nu to the power ``ln 2 - 1``.
    """
    span = math.hypot(paper.dmax_sd, paper.dmin_sd) / (paper.dmax - paper.dmin)
    bend = (1 - math.log(2)) * paper.asymmetry_log_sd
    return math.hypot(paper.contrast_log_sd, bend, span)


def _kept_apart(shift: BathShift, days: float) -> BathShift:
    """The same, wider by what the offcuts may have changed while they lay."""
    if shift.value_stops is None:
        return shift
    keeping = KEEPING_SD_STOPS_PER_MONTH * abs(days) / MONTH_DAYS
    sd = math.hypot(shift.sd_stops, keeping)
    return BathShift(shift.value_stops, sd, shift.steps, shift.black_loss)


def _sheets_before(book: doc.Book, sitting: doc.Sitting, strip: doc.ControlStrip) -> int:
    """How many sheets had gone through the baths of that day before a strip."""
    count = 0
    for other in _same_bath(book, sitting):
        for sheet in other.sheets:
            if sheet.when is not None:
                count += sheet.when <= strip.when
            else:  # of sheets without a moment only those of earlier sittings are sure
                count += other.id != sitting.id
    return count


def _same_bath(book: doc.Book, sitting: doc.Sitting) -> Iterator[doc.Sitting]:
    """Sittings of the same local date up to this one, this one too."""
    for other in book.sittings:
        until = (other.when, other.id) <= (sitting.when, sitting.id)
        if until and bath_of_day(other) == bath_of_day(sitting):
            yield other
