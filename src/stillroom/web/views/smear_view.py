"""A smear measured on a finished sheet: what is asked, and what was written down."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.book import Sheet, Sitting
from stillroom.errors import in_range
from stillroom.services.chair import card_reflectance
from stillroom.services.stillness import tells_nothing
from stillroom.telling.sheets_view import sheet_href
from stillroom.telling.stillness_told import smear_text
from stillroom.web.forms import Posted, limits, number

ASKED = "Is an edge drawn long?"
BY_LOUPE = (
    "With a loupe and a rule: how wide is the edge of an eyelid or a strand of hair drawn, along "
    "the way it moved? None seen tells as much."
)
WIDTHS = (("0", "none"), ("0.1", "0.1 mm"), ("0.2", "0.2 mm"), ("0.5", "0.5 mm"), ("1", "1 mm"))
"""What is tapped: value [mm on the sheet] and words."""
TYPED, BACK = "typed", "back"
"""What is sent instead of a width: it was typed, or it is taken back."""
TYPED_MM = "typed_mm"
"""The field it is typed in."""


@dataclass(frozen=True, slots=True)
class SmearView:
    """The form, and what was said before."""

    href: str
    asked: str
    how: str
    widths: tuple[tuple[str, str, bool], ...]
    """Value, words, and whether it is what is written down."""
    said: str
    """What is written down, as a sentence; empty where nothing is."""
    not_counted: str
    """Why it tells nothing of how the sitter sits; empty where it does."""


def smear_view(sitting: Sitting, sheet: Sheet) -> SmearView | None:
    """The form of one sheet; None where nobody sat.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        Which sheet.
    """
    if card_reflectance(sheet) is not None:
        return None
    there = sheet.smear_mm
    text = "" if there is None else smear_text(there)
    return SmearView(
        href=f"{sheet_href(sitting, sheet.number)}/smear",
        asked=ASKED,
        how=BY_LOUPE,
        widths=tuple((value, word, float(value) == there) for value, word in WIDTHS),
        said=f"{text[:1].upper()}{text[1:]}." if text else "",
        not_counted=tells_nothing(sitting, sheet),
    )


def smear_mm_in(post: Posted) -> float | None:
    """Width that was tapped or typed [mm]; None where it is taken back.

    Raises
    ------
    BadValue, OutOfRange
        If it is no width.
    """
    told = post.one("width")
    if told == BACK:
        return None
    name = "width of the smear"
    width_mm = number(name, post.one(TYPED_MM) if told == TYPED else told)
    low, high = limits(Sheet, "smear_mm")
    return in_range(name, width_mm, low or 0.0, high or width_mm, "mm")
