"""What is there and not turned: the room and its state, the light of a seat, the sky over it."""

from __future__ import annotations

from typing import get_args

from stillroom.documents.book import Book, Light, Sitting
from stillroom.documents.kit import Room
from stillroom.documents.seats import SkyWord
from stillroom.documents.to_daylight import sky_of
from stillroom.quantity import format_length
from stillroom.services.daylit import sky_name
from stillroom.services.seats import has_seat, is_seat
from stillroom.telling.names import called, thing
from stillroom.telling.set_rows import Choice, Lengths, Row, Value
from stillroom.telling.words import figure

SKY_WORDS: tuple[str, ...] = get_args(SkyWord)
SKY, SEAT = "sky", ".seat"
"""The knob of the sky, and how that of a light's seat ends."""
_TYPED = "what a meter showed instead, such as 800 lx"


def seat_rows(
    book: Book, sitting: Sitting, lengths: Lengths, *, is_made: bool = False
) -> list[Row]:
    """Rows of the seats whose daylight lights a sitting.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose room and seats they are.
    lengths : {"metric", "imperial"}
        How lengths are printed.
    is_made : bool
        Whether a sheet was made so: then no other seat is offered.
    """
    return [
        Row(
            f"{light.role[:1].upper()}{light.role[1:]}, {light.kind}",
            (_seat(book, light, lengths, is_made=is_made),),
            "",
            "same",
        )
        for light in sitting.lights
        if is_seat(light)
    ]


def room_rows(book: Book, sitting: Sitting, *, is_made: bool = False) -> list[Row]:
    """Rows of the room with what light is there, and of the sky where light comes from it.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose room it is.
    is_made : bool
        Whether a sheet was made so: then no seat is offered.
    """
    rows = _room(book, sitting, is_made=is_made)
    return [*rows, _sky(sitting)] if has_seat(sitting) else rows


def room_states(book: Book, sitting: Sitting) -> tuple[str, ...]:
    """The states its room may be in: of the room that was said, else of that name, else first."""

    def lies_behind(room: Room) -> tuple[bool, bool, bool]:
        is_named = called(room, room.id) == sitting.place
        return room.id != sitting.holding.room, not is_named, room.retired

    rooms = sorted(book.kit.rooms, key=lies_behind)
    known = next((room.states for room in rooms if room.states), ())
    own = [sitting.room_state] if sitting.room_state else []
    return tuple(dict.fromkeys([*known, *own]))


def _room(book: Book, sitting: Sitting, *, is_made: bool) -> list[Row]:
    """The room's state, and the light that is there with nothing to turn on it."""
    values = []
    if states := room_states(book, sitting):
        now = sitting.room_state
        choices = tuple(Choice(one, one, one == now, one == now) for one in states)
        shown = now or "not said"
        values.append(Value("room", "room", shown, "its own light", "same", choices, is_wide=True))
    values += [
        _metered(book, light, is_made=is_made)
        for light in sitting.lights
        if light.metered_lx is not None and light.kind not in ("head", "lamp")
    ]
    return [Row("Room", tuple(values), "", "same")] if values else []


def _metered(book: Book, light: Light, *, is_made: bool) -> Value:
    """Light that was metered or guessed; where the kit has seats, it may be that of one."""
    shown = f"{figure(light.metered_lx or 0.0)} lx"
    seats = () if is_made or light.kind == "room" else _seats(book, light)
    if not seats:
        return Value(light.role, light.role, shown, light.kind, "same", ())
    caption = f"{light.role}, {light.kind}"
    knob, title = f"{light.role}{SEAT}", f"{light.role}: which seat"
    return Value(knob, title, shown, caption, "same", seats, is_wide=True)


def _seat(book: Book, light: Light, lengths: Lengths, *, is_made: bool) -> Value:
    seat = thing(book.kit.seats, light.kit_id)
    caption = "in the open"
    if seat is not None and seat.window is not None:
        caption = f"face {format_length(seat.window.distance_m, lengths)} from the glass"
    return Value(
        knob=f"{light.role}{SEAT}",
        title=f"{light.role}: which seat",
        figure=called(seat, light.kit_id),
        caption=caption,
        state="same",
        choices=() if is_made else _seats(book, light),
        is_wide=True,
        typed_hint=_TYPED,
    )


def _seats(book: Book, light: Light) -> tuple[Choice, ...]:
    return tuple(
        Choice(seat.id, called(seat, seat.id), is_now, is_now)
        for seat in book.kit.seats
        for is_now in (seat.id == light.kit_id,)
        if is_now or not seat.retired
    )


def _sky(sitting: Sitting) -> Row:
    """The sky by a word; one that was counted in eighths stands beside the words."""
    now = sky_name(sky_of(sitting.sky))
    words = dict.fromkeys((*SKY_WORDS, now)) if now in SKY_WORDS else dict.fromkeys(SKY_WORDS)
    choices = tuple(Choice(one, one, one == now, one == now) for one in words)
    caption = "as seen" if sitting.sky is not None else "nobody looked yet"
    return Row("Sky", (Value(SKY, SKY, now, caption, "same", choices, is_wide=True),), "", "same")
