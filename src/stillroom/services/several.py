"""Several sheets made before any is seen: alike, or spread."""

from __future__ import annotations

from itertools import pairwise

from stillroom.advice import Table, how_it_stands, next_sheet, sheets_together
from stillroom.advice.rounds import rounds_ahead
from stillroom.advice.several import MOST_TOGETHER
from stillroom.documents import book as doc
from stillroom.documents.answers import Advice, Change
from stillroom.documents.several import SeveralForecast, SeveralSheets, Together
from stillroom.errors import in_range
from stillroom.quantity import stops_text
from stillroom.services.advising import advise, policy_at, read_by
from stillroom.services.changes import Set, changes_between
from stillroom.services.forecasts import forecast_of
from stillroom.services.good_until import with_end
from stillroom.services.marks import sheet_mark
from stillroom.services.reasons import Reasons
from stillroom.services.remembered import BeliefMemo
from stillroom.services.worktable import worktable

PROPOSED_BELOW_ODDS = 0.6
"""Where time is dear and one sheet lands less often than this, two are proposed."""


def advise_several(
    book: doc.Book,
    sitting_id: str,
    count: int,
    first: Advice | None = None,
    *,
    memo: BeliefMemo | None = None,
) -> SeveralSheets:
    """What to set for several sheets that are made before any is seen.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    count : int
        How many sheets, 1 to 4; one is the best plain sheet, and the comparison with more.
    first : Advice, optional
        The advice for one sheet alone, where it is known already.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    SeveralSheets

    Raises
    ------
    OutOfRange
        If there are fewer or more.
    UnknownName
        If the sitting or something it names is not in the book.
    NotPossible
        If no region is aimed.
    """
    in_range("sheets", count, 1, MOST_TOGETHER)
    first = first or advise(book, sitting_id, memo=memo)
    table = worktable(book, sitting_id, memo=memo)
    sitting, standing, posterior = table.sitting, table.standing(), table.posterior()
    begun = bool(sitting.sheets) or sitting.stands is not None
    last = table.bare_settings(standing) if begun else None
    policy = policy_at(table)
    # Its best plain sheet is all that counts here, whatever else was thought of.
    planned = table.planned or next_sheet(
        posterior, last=last, policy=policy, stepped_allowed=False
    )
    plans = sheets_together(posterior, planned, last=last, policy=policy)
    chosen = plans[count - 1]
    told = rounds_ahead(
        posterior, planned, plans, dear=sitting.dear, read_by=read_by(book, sitting)
    )

    numbers = tuple(range(first.sheet_number, first.sheet_number + count))
    marks = tuple(sheet_mark(table.sitter.initials, n) for n in numbers)
    sets = [Set(table.document_settings(bare, standing), bare) for bare in chosen.settings]
    forecasts = tuple(
        forecast_of(table, posterior, one.shown, later=later).model_copy(
            update={"sheet_number": number, "mark": mark}
        )
        for later, (one, number, mark) in enumerate(zip(sets, numbers, marks, strict=True))
    )
    stands = Set(standing, how_it_stands(posterior.layout, last))
    odds_table = Table(posterior.states(), posterior.layout)
    reasons = Reasons(posterior, odds_table, stands.bare, sets[0].bare)
    changes = changes_between(table, policy, stands, sets[0], reasons) if sitting.sheets else ()
    between = tuple(changes_between(table, policy, a, b, _Spread()) for a, b in pairwise(sets))
    costs = [one.cost for one in told]
    return SeveralSheets(
        sitting=sitting_id,
        sheet_numbers=numbers,
        marks=marks,
        settings=tuple(one.shown for one in sets),
        forecast=SeveralForecast(
            p_any=chosen.p_any,
            p_any_alike=chosen.p_alike,
            expected_landed=chosen.landed,
            sheets=forecasts,
        ),
        changes=changes,
        between=between,
        left_alone=first.left_alone,
        note=_note(first, between),
        alternatives=first.alternatives,
        stepped_sheet=first.stepped_sheet,
        not_yet_read=first.not_yet_read,
        reachable=first.reachable,
        missing=first.missing,
        meter_first=first.meter_first,
        piece=first.piece,
        dear=sitting.dear,
        together=tuple(
            Together(
                sheets=n,
                p_any=one.together.p_any,
                expected_sheets=one.sheets,
                expected_rounds=one.rounds,
                cost=one.cost,
            )
            for n, one in enumerate(told, start=1)
        ),
        cheapest=1 + costs.index(min(costs)),
        proposed=_is_proposed(sitting, first),
    )


class _Spread:
    """Why a knob stands otherwise on the next sheet of a set."""

    def dial(self, role: str) -> str:  # noqa: ARG002 - the same for every light
        return "What is not known yet may lie either way."

    def camera(self, kind: str, stops: float) -> str:  # noqa: ARG002
        way = "lighter" if stops > 0 else "darker"
        return f"The whole sheet {stops_text(abs(stops)).removeprefix('+')} {way}, in one turn."


def _is_proposed(sitting: doc.Sitting, first: Advice) -> bool:
    p = first.forecast.p_keeper
    return sitting.dear == "time" and p is not None and p < PROPOSED_BELOW_ODDS and first.reachable


def _note(first: Advice, between: tuple[tuple[Change, ...], ...]) -> str:
    if first.note.startswith("Read "):  # a stepped sheet waits: that comes before anything
        return first.note
    if first.piece is not None and first.piece.first:
        return "A test piece first would cost less than these; they are whole sheets."
    if first.settings.steps_pops is not None:
        return "A stepped sheet alone would tell more than these; they are plain ones."
    if not between:
        return first.note
    if any(between):
        return "Spread: what is not known yet may lie either way, and one of them be right."
    return "Alike: what scatters from sheet to sheet is all that parts them."


def as_planned(
    book: doc.Book,
    sitting_id: str,
    settings: doc.Settings,
    unseen: tuple[str, ...],
    fresh: Advice | None = None,
    *,
    memo: BeliefMemo | None = None,
) -> Advice:
    """The advice for a sheet that was planned together with others: those settings.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings
        What was planned.
    unseen : tuple of str
        Marks of the sheets of the plan that are made; what they show is not known.
    fresh : Advice, optional
        The advice for one sheet as things are, where it is known already.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    Advice
        With the turns from how things stand, and no other way.
    """
    fresh = fresh or advise(book, sitting_id, memo=memo)
    table = worktable(book, sitting_id, memo=memo)
    sitting, standing, posterior = table.sitting, table.standing(), table.posterior()
    forecast = with_end(table, forecast_of(table, posterior, settings))
    changes: tuple[Change, ...] = ()
    if sitting.sheets:
        last = how_it_stands(posterior.layout, table.bare_settings(standing))
        before, after = Set(standing, last), Set(settings, table.bare_settings(settings))
        changes = changes_between(table, policy_at(table), before, after, _Spread())
    note = "The first of several that are made before any is seen."
    if unseen:
        note = f"Planned before {_unseen(unseen)} seen: what came of it is not known here yet."
    return fresh.model_copy(
        update={
            "settings": settings,
            "forecast": forecast,
            "changes": changes,
            "left_alone": (),
            "note": note,
            "spoilers": (),
            "alternatives": (),
            "stepped_sheet": None,
            "piece": None,
        }
    )


def _unseen(marks: tuple[str, ...]) -> str:
    if len(marks) == 1:
        return f"{marks[0]} was"
    return f"{', '.join(marks[:-1])} and {marks[-1]} were"
