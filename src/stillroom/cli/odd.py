"""The command that tells which sheets contradict the rest, and what is typed of one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.writing import print_answer
from stillroom.errors import BadValue

if TYPE_CHECKING:
    from stillroom.documents.book import Book
    from stillroom.services.plan import BeliefMemo

AGAIN, REAL = "again", "real"


def odd(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    as_json: JsonOption = False,
) -> None:
    """Say which sheets of a sitting contradict the rest, and what most likely happened.

    `record --slip` or `record --real` answers.
    """
    from stillroom.cli.shown import wrapped  # noqa: PLC0415
    from stillroom.services.plan import odd_sheets  # noqa: PLC0415

    with opened(document, book) as given:
        found = given.sitting(sitting)
        answer = odd_sheets(given.book, found.id, memo=given.memo)
        if as_json:
            print_answer(answer, indent=1)
            return
        if not answer.sheets:
            wrapped(f"No sheet of sitting {found.id} contradicts the rest.")
        for sheet in answer.sheets:
            show_odd(given.book, found.id, sheet.number, memo=given.memo)


def answer_of(slip: str | None, *, is_real: bool, ask_again: bool) -> str | None:
    """What was typed of an odd sheet; None where nothing was.

    Raises
    ------
    BadValue
        If two answers were given.

    Examples
    --------
    >>> answer_of("dial-key", is_real=False, ask_again=False)
    'dial-key'
    >>> answer_of(None, is_real=True, ask_again=False)
    'real'
    """
    given = [slip] if slip is not None else []
    given += [REAL] if is_real else []
    given += [AGAIN] if ask_again else []
    if len(given) > 1:
        raise BadValue("--slip", " ".join(given), "give one answer: --slip, --real or --ask-again")
    return given[0] if given else None


def show_odd(book: Book, sitting_id: str, number: int, *, memo: BeliefMemo | None = None) -> None:
    """Tell of one sheet if it contradicts the rest, or what was said of it."""
    from stillroom.cli.shown import wrapped  # noqa: PLC0415
    from stillroom.services.plan import odd_sheets  # noqa: PLC0415
    from stillroom.telling.odd_view import odd_lines  # noqa: PLC0415

    for sheet in odd_sheets(book, sitting_id, memo=memo).sheets:
        if sheet.number == number:
            for line in odd_lines(sheet):
                wrapped(line)
