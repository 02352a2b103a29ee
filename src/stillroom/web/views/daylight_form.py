"""What the Daylight page is asked about: an address read into a question, and its choices."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, get_args
from urllib.parse import urlencode

from stillroom.documents.book import Book, Sitting
from stillroom.documents.seats import SkySeen, SkyWord
from stillroom.documents.thing import Thing
from stillroom.errors import BadValue, UnknownName, in_range
from stillroom.services.seats import has_seat
from stillroom.telling.names import called, initials, paper_title, thing
from stillroom.telling.words import figure, seconds
from stillroom.web.forms import f_number, number

if TYPE_CHECKING:
    from stillroom.services.daylight_asked import Asked

PLAN = "plan"
"""Instead of a sitting: nothing but the things that are chosen."""
NOBODY = "-"
"""Instead of a sitter."""
NAMES = ("sitting", "seat", "paper", "lens", "f", "sky", "sitter", "within")
"""What an address may say."""
SKIES: tuple[SkyWord, ...] = get_args(SkyWord)
_MOST_SITTINGS = 6
_LIMIT_RANGE_S = (0.1, 600.0)


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked."""

    asked: Asked
    within_s: float | None
    """The limit [s]; as the sitter holds where none was chosen."""
    note: str
    """What was taken instead of what was asked for, else empty."""
    query: str
    """The same question as the end of an address, without its limit."""


@dataclass(frozen=True, slots=True)
class Option:
    """One answer of a choice."""

    value: str
    said: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to be chosen."""

    name: str
    label: str
    options: tuple[Option, ...]


def question(book: Book, usual: Asked, said: Mapping[str, str]) -> Question:
    """Read an address; what it leaves open is as in the sitting, or as usual.

    Parameters
    ----------
    book : Book
        The book.
    usual : Asked
        The question to start from.
    said : mapping of str
        What the address says, by `NAMES`; anything else is left aside.

    Raises
    ------
    UnknownName
        If something is not in the book.
    BadValue, OutOfRange
        If a number or a word cannot be read.
    """
    told = {name: text for name in NAMES if (text := said.get(name, "").strip())}
    asked = _from_sitting(book, usual, told.get("sitting", ""))
    if "seat" in told:
        asked = replace(asked, seat=_known("seat", told["seat"], book.kit.seats).id)
    if "paper" in told:
        asked = replace(asked, paper=_known("paper", told["paper"], book.papers).id)
    if "lens" in told:
        asked = replace(asked, lens=_known("lens", told["lens"], book.kit.lenses).id)
    if "sky" in told:
        asked = replace(asked, sky=_sky(told["sky"]))
    if "sitter" in told:
        asked = replace(asked, sitter=_sitter(book, told["sitter"]))
    wanted = f_number("f-stop", told["f"]) if "f" in told else asked.f_number
    asked, note = _on_the_lens(book, replace(asked, f_number=wanted))
    within = told.pop("within", None)
    return Question(
        asked=asked,
        within_s=None
        if within is None
        else in_range("limit", number("limit", within), *_LIMIT_RANGE_S, "s"),
        note=note,
        query=urlencode(told),
    )


def choices(book: Book, usual: Asked, asked: Asked, said: Mapping[str, str]) -> tuple[Choice, ...]:
    """Everything that can be chosen, with what is chosen now.

    Parameters
    ----------
    book : Book
        The book.
    usual : Asked
        The question to start from.
    asked : Asked
        The question as it is.
    said : mapping of str
        What the address says.
    """
    from stillroom.services.daylight_asked import asked_of_sitting  # noqa: PLC0415

    like = next((s for s in book.sittings if s.id == asked.sitting_id), None)
    own = (asked_of_sitting(like) if like else None) or replace(usual, sky=None)
    says = "as in the sitting" if like else "as usual"
    lens = thing(book.kit.lenses, asked.lens)
    own_sky = f"{_sky_said(own)}, {says}" if own.sky else f"not said: {_sky_said(own)}"
    own_sitter = _initials(book, own.sitter)

    def choice(name: str, label: str, own_said: str, others: Iterable[tuple[str, str]]) -> Choice:
        chosen = said.get(name, "").strip()
        pairs = [("", own_said), *others]
        known = any(value == chosen for value, _ in pairs)
        return Choice(
            name,
            label,
            tuple(Option(v, text, v == (chosen if known else "")) for v, text in pairs),
        )

    return (
        _sittings(book, asked),
        choice("seat", "Seat", f"{_called(book.kit.seats, own.seat)}, {says}",
               _named(book.kit.seats, asked.seat)),
        choice("paper", "Paper", f"{_paper(book, own.paper)}, {says}",
               ((p.id, paper_title(p)) for p in _in_use(book.papers, asked.paper))),
        choice("lens", "Lens", f"{_called(book.kit.lenses, own.lens)}, {says}",
               _named(book.kit.lenses, asked.lens)),
        choice("f", "f-stop", f"f/{figure(own.f_number)}, {says}",
               ((figure(n), f"f/{figure(n)}") for n in (lens.f_numbers if lens else ()))),
        choice("sky", "Sky", own_sky, ((word, word) for word in SKIES)),
        choice("sitter", "Sitter", f"{own_sitter}, {says}",
               [*((s.id, _holds(s.initials, s.holds_still_s)) for s in book.sitters),
                (NOBODY, "nobody, a card")]),
    )  # fmt: skip


def missing(book: Book) -> tuple[tuple[str, str, bool], ...]:
    """What the page needs to answer: what it is, where it is added, whether it is there.

    Parameters
    ----------
    book : Book
        The book.
    """
    kit = book.kit
    needed: tuple[tuple[str, str, Sequence[Thing]], ...] = (
        ("a place", "/kit/places/add", kit.places),
        ("a seat", "/kit/seats/add", kit.seats),
        ("a paper", "/papers/add", book.papers),
        ("a lens", "/kit/lenses/add", kit.lenses),
        ("a camera", "/kit/cameras/add", kit.cameras),
    )
    return tuple(
        (what, where, any(not one.retired for one in things)) for what, where, things in needed
    )


def _from_sitting(book: Book, usual: Asked, sitting_id: str) -> Asked:
    from stillroom.services.daylight_asked import asked_of_sitting  # noqa: PLC0415

    if sitting_id == PLAN:
        return replace(usual, sitting_id=None, sky=None)
    if not sitting_id or sitting_id == usual.sitting_id:
        return usual
    found = {s.id: s for s in book.sittings if has_seat(s)}
    if sitting_id not in found:
        raise UnknownName("sitting by daylight", sitting_id, found)
    return asked_of_sitting(found[sitting_id]) or usual


def _known(kind: str, thing_id: str, things: Iterable[Any]) -> Any:
    by_id = {one.id: one for one in things}
    if thing_id not in by_id:
        raise UnknownName(kind, thing_id, by_id)
    return by_id[thing_id]


def _sky(text: str) -> SkySeen:
    for word in SKIES:
        if text == word:
            return SkySeen(word=word)
    raise BadValue("Sky", text, f"choose one of: {', '.join(SKIES)}")


def _sitter(book: Book, sitter_id: str) -> str | None:
    return None if sitter_id == NOBODY else str(_known("sitter", sitter_id, book.sitters).id)


def _on_the_lens(book: Book, asked: Asked) -> tuple[Asked, str]:
    """The mark of the lens nearest to the f-number, with a word where it is another one."""
    lens = thing(book.kit.lenses, asked.lens)
    if lens is None or not lens.f_numbers:
        return asked, ""
    nearest = min(lens.f_numbers, key=lambda n: abs(math.log2(n / asked.f_number)))
    if math.isclose(nearest, asked.f_number, rel_tol=1e-3):
        return replace(asked, f_number=nearest), ""
    note = (
        f"The {called(lens, lens.id)} has no mark f/{figure(asked.f_number)}: "
        f"f/{figure(nearest)} is taken."
    )
    return replace(asked, f_number=nearest), note


def _sittings(book: Book, asked: Asked) -> Choice:
    by_daylight = sorted((s for s in book.sittings if has_seat(s)), key=lambda s: s.when)
    shown = by_daylight[-_MOST_SITTINGS:]
    if asked.sitting_id is not None and all(s.id != asked.sitting_id for s in shown):
        shown = [s for s in by_daylight if s.id == asked.sitting_id] + shown
    options = [Option(s.id, _sitting_said(book, s), s.id == asked.sitting_id) for s in shown[::-1]]
    is_plan = all(not option.is_chosen for option in options)
    plan = Option(PLAN, "no sitting, only what is chosen here", is_plan)
    return Choice("sitting", "As in", (*options, plan))


def _sitting_said(book: Book, sitting: Sitting) -> str:
    who = initials(book, sitting) or sitting.id
    return f"{who}, {sitting.when.day} {sitting.when:%B %Y}"


def _in_use(things: Iterable[Any], shown_id: str) -> Iterator[Any]:
    return (one for one in things if not one.retired or one.id == shown_id)


def _named(things: Iterable[Thing], shown_id: str) -> list[tuple[str, str]]:
    return [(one.id, called(one, one.id)) for one in _in_use(things, shown_id)]


def _called(things: Iterable[Thing], thing_id: str) -> str:
    return called(thing(things, thing_id), thing_id)


def _paper(book: Book, paper_id: str) -> str:
    found = thing(book.papers, paper_id)
    return paper_title(found) if found else paper_id


def _initials(book: Book, sitter_id: str | None) -> str:
    found = next((s for s in book.sitters if s.id == sitter_id), None)
    return _holds(found.initials, found.holds_still_s) if found else "nobody, a card"


def _holds(who: str, holds_still_s: float | None) -> str:
    return f"{who}, {seconds(holds_still_s)}" if holds_still_s else who


def _sky_said(asked: Asked) -> str:
    from stillroom.documents.to_daylight import sky_of  # noqa: PLC0415
    from stillroom.services.daylit import sky_name  # noqa: PLC0415

    return sky_name(sky_of(asked.sky))
