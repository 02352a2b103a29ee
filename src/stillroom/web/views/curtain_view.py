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

    title: str
    carried: str
    states: tuple[tuple[str, bool], ...]
    """Each state of the room, and whether it is said to be in it."""


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
    sheet = curtain_said(sitting)
    if sheet is None:
        return None
    made = as_made(sheet.settings, sheet.made).model_copy(update={"steps_pops": None})
    sentence = carried_sentence(sitting, carried(sitting, forecast(made)))
    if not sentence:
        return None
    now = sitting.room_state
    return CurtainView(
        title=f"Something let light in, or shut it out, with {mark_of(sheet)}.",
        carried=sentence,
        states=tuple((state, state == now) for state in room_states(book, sitting)),
    )
