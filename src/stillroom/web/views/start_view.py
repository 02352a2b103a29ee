"""The first run: four questions, each of which may be left open, and what they lead to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from markupsafe import Markup

from stillroom.documents.answers import Advice
from stillroom.documents.book import Book, Light
from stillroom.documents.kit import Head, Kit, Lens
from stillroom.quantity import range_text
from stillroom.services.planner import engine
from stillroom.services.starting import FirstAnswers, start
from stillroom.telling.names import called
from stillroom.telling.words import figure, seconds
from stillroom.web.filters import f_number
from stillroom.web.forms import Field

UNKNOWN = "unknown"
NO_SEAT = "no seat"

QUESTIONS = (
    Field("light", "What lights the face?", "choice", start="flash", choices=(
        ("flash", "Flash", "a head, with or without a softbox"),
        ("daylight", "Daylight", "a window, or open shade"),
        ("lamps", "Lamps", "hot or LED, always on"),
    )),
    Field("strength", "How strong is the head?", "choice", start=UNKNOWN, choices=(
        ("250", "250 W·s"), ("500", "500"), ("1000", "1000"), (UNKNOWN, "don’t know"),
    )),
    Field("paper", "Which paper?", "choice", start=UNKNOWN, choices=(
        ("graded", "Graded", "sees blue only"),
        ("variable_contrast", "Variable contrast", "sees blue and green"),
        (UNKNOWN, "Don’t know", "it starts wider"),
    )),
    Field("camera", "Which camera?", "choice", start=UNKNOWN, choices=(
        ("4x5 in", "4 × 5"), ("5x7 in", "5 × 7"), ("13x18 cm", "13 × 18"),
        ("whole plate", "whole plate"), ("8x10 in", "8 × 10"), (UNKNOWN, "don’t know"),
    )),
    Field("steps", "How can you make steps?", "choice", start="pieces", choices=(
        ("slide", "Slide", "dark slide drawn a strip at a time, pops between"),
        ("pieces", "Test pieces", "offcuts taped in turn where the cheek falls"),
        ("wedge", "Wedge in the holder", "a step wedge on the paper and an even card: best"),
    )),
    Field("energy_ws", "Energy of the head", "number", "W·s").of(Head),
    Field("lens_mm", "Lens", "number", "mm").of(Lens, "focal_mm"),
    Field("widest_f", "Widest f-stop", "f_number", low=0.5, high=512),
    Field("distance_m", "Cloth to face", "length", hint="any wording: 70 cm, 2 ft 4").of(Light),
)  # fmt: skip
_BY_STEPS = {
    "slide": "dark slide drawn a strip at a time",
    "pieces": "one offcut each, taped where the cheek falls",
    "wedge": "the wedge makes the steps, at an even card",
}


@dataclass(frozen=True, slots=True)
class FirstLook:
    """What a first sheet will be, before anything is written down."""

    rows: tuple[tuple[str, str | Markup, str], ...]
    meter_first: bool
    sure: str
    note: str


def questions(book: Book) -> tuple[Field, ...]:
    """The questions, with the seats of the book where it has some; its first one is taken."""
    seats = [seat for seat in book.kit.seats if not seat.retired]
    if not seats:
        return QUESTIONS
    choices = tuple((seat.id, called(seat, seat.id)) for seat in seats)
    where = Field(
        "seat", "On which seat?", "choice", start=seats[0].id,
        choices=(*choices, (NO_SEAT, "somewhere else")), when=("light", "daylight"),
    )  # fmt: skip
    return (*QUESTIONS, where)


def answers_of(values: Mapping[str, Any]) -> FirstAnswers:
    """Answers as the desk takes them; what was left open is None, what is typed goes first."""
    told = {n: value for n, value in values.items() if value not in (UNKNOWN, NO_SEAT)}
    energy = told.get("energy_ws")
    if energy is None and "strength" in told:
        energy = float(told["strength"])
    return FirstAnswers(
        light=told.get("light"),
        energy_ws=energy if told.get("light", "flash") == "flash" else None,
        paper=told.get("paper"),
        camera=told.get("camera"),
        lens_mm=told.get("lens_mm"),
        widest_f=told.get("widest_f"),
        distance_m=told.get("distance_m"),
        steps=told.get("steps"),
        seat=told.get("seat"),
    )


def first_look(answers: FirstAnswers, kit: Kit, now: datetime) -> FirstLook:
    """Work the first sheet out, without writing anything.

    Parameters
    ----------
    answers : FirstAnswers
        What is known.
    kit : Kit
        With places and seats.
    now : datetime
        The moment, which counts where daylight does.
    """
    made = start(answers, now, (), kit.seats)
    there = {"places": kit.places, "seats": kit.seats}
    book = Book(
        kit=made.kit.model_copy(update=there),
        papers=(made.paper,),
        sitters=(made.sitter,),
        sittings=(made.sitting,),
    )
    advice = engine().advise(book, made.sitting.id)
    placed = advice.forecast.regions["key"].placement_stops
    return FirstLook(
        rows=_rows(advice, answers),
        meter_first=advice.meter_first,
        sure=range_text((placed.q95 - placed.q05) / 2),
        note=advice.note,
    )


def _rows(advice: Advice, answers: FirstAnswers) -> tuple[tuple[str, str | Markup, str], ...]:
    settings = advice.stepped_sheet or advice.settings
    title, how = "Steps", _BY_STEPS[answers.steps or "pieces"]
    if advice.piece is not None and advice.piece.first:
        settings = advice.piece.settings
        title, how = "Test piece", "one offcut, taped where the cheek falls"
    is_flash = (answers.light or "flash") == "flash"
    steps = settings.steps_pops or (settings.pops,)
    if is_flash:
        values, unit = ", ".join(figure(n) for n in steps), "pops"
    else:
        values, unit = ", ".join(seconds(n * settings.open_s) for n in steps), ""
    return (
        ("Lens", f_number(settings.f_number), "wide open"),
        (title, values, f"{unit}; {how}" if unit else how),
        ("In the chair", "a card", "as big as a face; its blue has a range, it is not “grey”"),
    )
