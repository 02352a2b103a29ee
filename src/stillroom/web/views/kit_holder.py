"""Holders: questions, and what the answers mean."""

from __future__ import annotations

from stillroom.documents.book import Book
from stillroom.documents.holders import MOST_SIDES, Holder
from stillroom.quantity import sheet_size_mm
from stillroom.telling.names import sheet_size
from stillroom.web.forms import Field
from stillroom.web.views.kit_camera import FORMATS
from stillroom.web.views.kit_kind import NAME, NOTE, Answers, Data, Kind, dumped, plain

MOST_NUMBERS = 24


def free_numbers(book: Book) -> dict[str, tuple[tuple[str, str], ...]]:
    """Numbers that no holder carries yet."""
    taken = {name for h in book.kit.holders for name in (h.id, h.name)}
    numbers = (str(n) for n in range(1, MOST_NUMBERS + 1) if str(n) not in taken)
    return {"number": tuple((n, n) for n in numbers)}


def _holder_data(answers: Answers) -> Data:
    data = plain(("name", "note", "sides", "insert", "spacer_mm"))(answers)
    if "name" not in data and "number" in answers:
        data["name"] = answers["number"]
    if "width_mm" in answers and "height_mm" in answers:
        data["format_mm"] = (answers["width_mm"], answers["height_mm"])
    elif "sheet" in answers:
        data["format_mm"] = sheet_size_mm(answers["sheet"])
    return data


def _holder_answers(holder: Holder) -> Data:
    width, height = holder.format_mm
    found = dumped(holder)
    found.pop("holds", None)
    return found | {"width_mm": width, "height_mm": height}


HOLDERS = Kind(
    "holders",
    "Holders",
    "holder",
    Holder,
    (
        Field("number", "Which number does it carry?", "choice",
              choices=tuple((str(n), str(n)) for n in range(1, MOST_NUMBERS + 1))),
        Field("sheet", "Which sheet does it take?", "choice", choices=FORMATS, start="4x5 in"),
    ),
    (
        NAME,
        Field("sides", "Sides", "whole", low=1, high=MOST_SIDES, hint="left out: 2"),
        Field("width_mm", "Sheet, width", "number", "mm", low=10, high=2000),
        Field("height_mm", "Sheet, height", "number", "mm", low=10, high=2000),
        Field("insert", "Insert", hint="such as 13 × 18 in 18 × 24; left out: none"),
        Field("spacer_mm", "Spacer behind the sheet", "number", "mm").of(Holder),
        NOTE,
    ),
    _holder_data,
    _holder_answers,
    lambda _: "Holder",
    lasting=(),
    gone="Lent, leaking or lost",
    offered=free_numbers,
)  # fmt: skip


def facts_of_holder(holder: Holder) -> str:
    """What a holder is, and what is in it.

    Examples
    --------
    >>> facts_of_holder(Holder(id="2", format_mm=(130, 180))).replace(chr(160), " ")
    '13 × 18 cm, 2 sides'
    """
    sides = "1 side" if holder.sides == 1 else f"{holder.sides} sides"
    parts = [sheet_size(holder.format_mm), sides]
    if holder.insert:
        parts.append(f"insert {holder.insert}")
    if holder.spacer_mm:
        parts.append(f"spacer {holder.spacer_mm:g} mm")
    return ", ".join(parts)
