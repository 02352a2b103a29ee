"""What a sheet is called: its number in the sitting, and the mark on its back."""

from __future__ import annotations

from stillroom.documents.book import Sitting


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
