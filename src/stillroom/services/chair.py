"""Who sits in the chair while a sheet is made: the sitter, a card that stands in, a white card."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stillroom.documents import book as doc
from stillroom.sitter import Sitter

CARD = Sitter("card", "card", skin_reflectance=0.30)
"""Who sits when nobody is named: a card of the reference reflectance."""
WHITE_CARD = "white card in the chair"
"""Said of a sheet, with its reflectance: no face was on it, but a card."""
_IS = ": "


def card_said(reflectance: float) -> str:
    """How a card in the chair is written down among what else moved.

    Examples
    --------
    >>> card_said(0.9)
    'white card in the chair: 0.9'
    """
    return f"{WHITE_CARD}{_IS}{reflectance:g}"


def card_reflectance(sheet: doc.Sheet) -> float | None:
    """Reflectance of the card in the chair, in the paper's band; None where a face was.

    Examples
    --------
    >>> said = {"number": 1, "settings": {"f_number": 8}, "what_else_moved": [card_said(0.9)]}
    >>> card_reflectance(doc.Sheet.model_validate(said))
    0.9
    """
    for said in sheet.what_else_moved:
        what, found, value = said.partition(_IS)
        if found and what.strip().casefold() == WHITE_CARD:
            try:
                reflectance = float(value)
            except ValueError:
                continue
            if 0.05 <= reflectance <= 1:
                return reflectance
    return None


def in_the_chair(sheets: Iterable[doc.Sheet], number: int | None, sitter: Sitter) -> Sitter:
    """Who is on a sheet: the sitter, or the card that was in their place.

    Parameters
    ----------
    sheets : iterable of Sheet
        The sheets of the sitting.
    number : int or None
        Which of them; None: the next, on which the sitter is.
    sitter : Sitter
        Whose sitting it is.
    """
    for sheet in sheets:
        if sheet.number == number and (reflectance := card_reflectance(sheet)) is not None:
            name = f"white card {reflectance:g}"
            return replace(
                sitter, id=name, initials="card", skin_reflectance=reflectance, skin_guess=None
            )
    return sitter
