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
_IS, _OPEN, _TIMES = ": ", ", ", " times as long"


def card_said(reflectance: float, times: float | None = None) -> str:
    """How a card in the chair is written down among what else moved.

    Parameters
    ----------
    reflectance : float
        Of the card, in the paper's band [1].
    times : float, optional
        How many times as long as planned the lens was open; left out: as is usual.

    Examples
    --------
    >>> card_said(0.9), card_said(0.9, 4)
    ('white card in the chair: 0.9', 'white card in the chair: 0.9, 4 times as long')
    """
    said = f"{WHITE_CARD}{_IS}{reflectance:g}"
    return said if times is None else f"{said}{_OPEN}{times:g}{_TIMES}"


def card_reflectance(sheet: doc.Sheet) -> float | None:
    """Reflectance of the card in the chair, in the paper's band; None where a face was.

    Examples
    --------
    >>> said = {"number": 1, "settings": {"f_number": 8}, "what_else_moved": [card_said(0.9, 4)]}
    >>> card_reflectance(doc.Sheet.model_validate(said))
    0.9
    """
    found = _card(sheet)
    return None if found is None else found[0]


def times_as_long(sheet: doc.Sheet) -> float | None:
    """How many times as long as planned a card was exposed; None where nothing is said of it.

    Examples
    --------
    >>> said = {"number": 1, "settings": {"f_number": 8}, "what_else_moved": [card_said(0.9, 4)]}
    >>> times_as_long(doc.Sheet.model_validate(said))
    4.0
    """
    found = _card(sheet)
    return None if found is None else found[1]


def _card(sheet: doc.Sheet) -> tuple[float, float | None] | None:
    """Reflectance of the card in the chair, and how many times as long it was exposed."""
    for said in sheet.what_else_moved:
        what, found, value = said.partition(_IS)
        if found and what.strip().casefold() == WHITE_CARD:
            first, _, after = value.partition(_OPEN)
            reflectance, times = _figure(first), _figure(after.removesuffix(_TIMES))
            if reflectance is not None and 0.05 <= reflectance <= 1:
                return reflectance, times if times is not None and times >= 1 else None
    return None


def _figure(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
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
