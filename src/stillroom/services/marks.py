"""What a sheet is called: its number in the sitting, and the mark on its back."""

from __future__ import annotations

from stillroom.documents.book import Book, Sheet, Sitting
from stillroom.errors import UnknownName


def last_number(sitting: Sitting) -> int:
    """Number of the last sheet of a sitting, 0 before the first."""
    return max((sheet.number for sheet in sitting.sheets), default=0)


def plain_initials(initials: str) -> str:
    """Initials as they stand in a mark: letters and digits only.

    Examples
    --------
    >>> plain_initials("O. M.")
    'OM'
    """
    return "".join(sign for sign in initials if sign.isalnum())


def sheet_mark(initials: str, number: int) -> str:
    """What is pencilled on the back of a sheet.

    Examples
    --------
    >>> sheet_mark("O. M.", 4)
    'OM 4'
    """
    return f"{plain_initials(initials) or 'S'} {number}"


def sheet_marked(book: Book, mark: str, near: Sitting) -> tuple[Sitting, Sheet]:
    """The sheet with a mark: of this sitting, else of the nearest before it, else after it.

    The number in a mark starts again with each sitting, so one who returns has two sheets *OM 1*.

    Raises
    ------
    UnknownName
        If no sheet has the mark.
    """

    def distance(other: Sitting) -> tuple[bool, float]:
        after_s = (other.when - near.when).total_seconds()
        return (after_s > 0, abs(after_s))

    others = [sitting for sitting in book.sittings if sitting.id != near.id]
    for sitting in (near, *sorted(others, key=distance)):
        for sheet in sitting.sheets:
            if sheet.mark == mark:
                return sitting, sheet
    marks = [sheet.mark for sitting in book.sittings for sheet in sitting.sheets if sheet.mark]
    raise UnknownName("sheet", mark, marks)
