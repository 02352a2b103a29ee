"""What the bench tells of a sheet's first development, as the engine sees it.

A sheet whose first development was longer, shorter, warmer or colder than its process asks has an
unknown of its own, with the estimate as its mean. A sheet without a run, and one that went through
as its process asks, has none.

A control strip of the day went through the same bath, so what all sheets of that day have in
common is in the strip already. On such a day only how far a sheet differs from the middle one of
the day's sheets counts as known; the common part is not added a second time, and half of it stands
in the spread, for the strip may have gone through by the book while the sheets did not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from stillroom.documents import book as doc
from stillroom.documents.wet import WetRun
from stillroom.documents.wet_fold import FIRST
from stillroom.errors import StillroomError
from stillroom.exposure import BareMove
from stillroom.services.processes import process_called
from stillroom.services.sittings import bath_of_day
from stillroom.wetline import Shift, first_development_shift, is_noted


@dataclass(frozen=True, slots=True)
class FirstDevelopment:
    """The first development of one sheet against its process.

    Attributes
    ----------
    seconds, temperature_c : float
        As it was, without filling a tank [s, degrees C].
    process_s, process_c : float
        As the process asks [s, degrees C].
    shift : Shift
        What that does to the sheet, by itself.
    in_strip_stops : float
        What of it a control strip of the day has seen already [stops].
    """

    seconds: float
    temperature_c: float
    process_s: float
    process_c: float
    shift: Shift
    in_strip_stops: float = 0.0

    @property
    def stops(self) -> float:
        """What counts of this sheet alone [stops]."""
        return self.shift.stops - self.in_strip_stops

    @property
    def sd_stops(self) -> float:
        """How sure that is, one standard deviation [stops]."""
        return math.hypot(self.shift.sd_stops, self.in_strip_stops / 2)


def first_development(
    book: doc.Book, sitting: doc.Sitting, sheet: doc.Sheet
) -> FirstDevelopment | None:
    """How the first development of a sheet differed from its process.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting
        The sitting of the sheet.
    sheet : Sheet
        The sheet.

    Returns
    -------
    FirstDevelopment or None
        None of a sheet without a run, one that was stopped or has not left the first developer,
        and one that went through as its process asks.
    """
    alone = _alone(book, sheet.wet)
    if alone is None:
        return None
    common = _in_strip(book, sitting)
    if common:
        alone = FirstDevelopment(
            alone.seconds,
            alone.temperature_c,
            alone.process_s,
            alone.process_c,
            alone.shift,
            common,
        )
    return alone if is_noted(alone.shift) or common else None


def first_moves(
    book: doc.Book, sitting: doc.Sitting, number: int | None, roles: Sequence[str]
) -> tuple[BareMove, ...]:
    """The unknown that the first development of a sheet adds to its ledger, none or one.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting
        The sitting.
    number : int or None
        Of the sheet; the next one has not been developed.
    roles : sequence of str
        Lights that are lit: it moves all of them.
    """
    sheet = next((s for s in sitting.sheets if s.number == number), None)
    if sheet is None or not roles:
        return ()
    found = first_development(book, sitting, sheet)
    if found is None:
        return ()
    return (
        BareMove(
            name=f"{sitting.id}/{sheet.number}/first development",
            label=f"first development, sheet {sheet.mark or sheet.number} (estimate)",
            sd_stops=found.sd_stops,
            stage="paper",
            mean_stops=found.stops,
        ),
    )


def _alone(book: doc.Book, run: WetRun | None) -> FirstDevelopment | None:
    if run is None or run.outcome == "stopped":
        return None
    first = next((step for step in run.steps if step.step == FIRST), None)
    if first is None or first.ended_at is None:
        return None
    try:
        process = process_called(book, run.process)
    except StillroomError:  # a process that this book does not have: nothing to hold it against
        return None
    asked = process.step(FIRST)
    seconds = (first.ended_at - first.began_at).total_seconds() - process.fill_drain_s
    if asked is None or asked.seconds is None or seconds < 1:
        return None
    asked_s = run.asked_s or asked.seconds
    asked_c = process.temperature_c if run.asked_c is None else run.asked_c
    shift = first_development_shift(
        seconds,
        run.temperature_c,
        process_s=asked_s,
        process_c=asked_c,
        longest_s=asked.longest_s if asked_s == asked.seconds else None,
    )
    return FirstDevelopment(seconds, run.temperature_c, asked_s, asked_c, shift)


def _in_strip(book: doc.Book, sitting: doc.Sitting) -> float:
    """What the sheets of the day so far have in common, where a control strip has seen it."""
    day = bath_of_day(sitting)
    today = [
        one
        for one in book.sittings
        if bath_of_day(one) == day and (one.when, one.id) <= (sitting.when, sitting.id)
    ]
    if not any(one.control_strips for one in today):
        return 0.0
    found = [_alone(book, sheet.wet) for one in today for sheet in one.sheets]
    return median([one.shift.stops for one in found if one is not None] or [0.0])
