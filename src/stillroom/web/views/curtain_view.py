"""Something that lets light in has moved: what that light carried, and how the room is now."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stillroom.documents.answers import Forecast
from stillroom.documents.book import Book, Settings, Sitting
from stillroom.documents.making import as_made
from stillroom.services.place_light import carried, carried_sentence, curtain_said
from stillroom.web.views.set_list import room_states
from stillroom.web.views.sheets_view import mark_of


@dataclass(frozen=True, slots=True)
class CurtainView:
    """What the template shows."""

    sentence: str
    now: str
    """The state the room is said to be in; empty where none is."""
    others: tuple[str, ...]
    """The states it may be in instead."""


def curtain_view(
    book: Book, sitting: Sitting, forecast: Callable[[Settings], Forecast]
) -> CurtainView | None:
    """What to ask before the next sheet; None where no light would be missed.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose room it is.
    forecast : callable
        What a sheet with those settings would show.
    """
    said = curtain_said(sitting)
    if said is None:
        return None
    sheet, what = said
    made = as_made(sheet.settings, sheet.made).model_copy(update={"steps_pops": None})
    told = carried_sentence(sitting, carried(sitting, forecast(made)))
    if not told:
        return None
    now = sitting.room_state
    moved = what if what.startswith("sun") else f"{what} moved"
    return CurtainView(
        sentence=f"The {moved} before {mark_of(sheet)}. {told}",
        now=now,
        others=tuple(state for state in room_states(book, sitting) if state != now),
    )
