"""Several sheets made before any is seen: alike, or spread."""

from __future__ import annotations

from stillroom.advice import next_sheet, several_sheets
from stillroom.documents import book as doc
from stillroom.documents.several import SeveralSheets
from stillroom.errors import in_range
from stillroom.services.advising import advise, policy_of
from stillroom.services.forecasts import forecast_of
from stillroom.services.marks import sheet_mark
from stillroom.services.remembered import BeliefMemo
from stillroom.services.worktable import Worktable

MOST_SHEETS = 8


def advise_several(
    book: doc.Book, sitting_id: str, count: int, *, memo: BeliefMemo | None = None
) -> SeveralSheets:
    """What to set for several sheets that are made before any is seen.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    count : int
        How many sheets [1], 2 to 8.
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
    """
    in_range("sheets", count, 2, MOST_SHEETS)
    first = advise(book, sitting_id, memo=memo)
    table = Worktable(book, sitting_id, memo=memo)
    standing, posterior = table.standing(), table.posterior()
    begun = bool(table.sitting.sheets) or table.sitting.stands is not None
    planned = next_sheet(
        posterior,
        last=table.bare_settings(standing) if begun else None,
        policy=policy_of(table.sitting),
        stepped_allowed=False,
    )
    together = several_sheets(posterior, planned, count)
    settings = tuple(table.document_settings(s, standing) for s in together.settings)
    numbers = tuple(range(first.sheet_number, first.sheet_number + count))
    marks = tuple(sheet_mark(table.sitter.initials, n) for n in numbers)
    forecasts = tuple(
        forecast_of(table, posterior, one).model_copy(update={"sheet_number": n, "mark": mark})
        for one, n, mark in zip(settings, numbers, marks, strict=True)
    )
    return SeveralSheets(
        sitting=sitting_id,
        sheet_numbers=numbers,
        marks=marks,
        settings=settings,
        forecasts=forecasts,
        p_any=together.p_any,
        first=first,
    )
