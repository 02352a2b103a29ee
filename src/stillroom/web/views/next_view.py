"""The Next sitter page: who, how long still, what skin, and the one question."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stillroom.documents.book import Book, Settings, Sitter, Sitting, Skin
from stillroom.documents.sitter_card import SaidYes
from stillroom.paper import density_from_reflectance
from stillroom.services.filters import main_kind
from stillroom.services.next_sitter import SkinQuestion, Tone
from stillroom.services.on_paper import on_paper
from stillroom.telling.names import initials, paper_of, paper_title
from stillroom.telling.sitter_told import SAID_YES_TO, to_send, warning
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.strip import screen_tone

STILL_S = ((0.2, "a blink"), (2.0, "2 s"), (5.0, "5 s"), (10.0, "10 s"))
# Greys as the eye sees them, from fair to dark skin of an open pigment-based chart (luminous
# reflectance under D55); the middle one is their geometric mean.
_GREYS = (("light", 0.3437), ("medium", 0.2074), ("dark", 0.1251))
_MOST_KNOWN = 8
_BY_LIGHT = {
    "flash": "by flash",
    "tungsten": "by hot lamps",
    "led": "by LED",
    "fluorescent": "by tubes",
    "daylight": "by daylight",
}

Question = Callable[[Skin], SkinQuestion]


@dataclass(frozen=True, slots=True)
class Known:
    """Somebody who sat before, or is expected."""

    initials: str
    sentence: str
    card: str
    """What must not be overlooked of what they said at the door; else empty."""


@dataclass(frozen=True, slots=True)
class Grey:
    """One printed grey to hold to the cheek."""

    value: str
    label: str
    tone: int


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to the question, for one skin."""

    tone: Tone
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class Asked:
    """The question as it stands for one skin."""

    skin: str
    sentence: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class NextView:
    """What the template shows."""

    href: str
    back: str
    now: str
    known: tuple[Known, ...]
    greys: tuple[Grey, ...]
    asked: tuple[Asked, ...]
    said: tuple[tuple[SaidYes, str], ...]
    on_paper: tuple[tuple[str, tuple[str, ...]], ...]
    """For each skin what the paper makes of lips, cloth, freckles and glasses, a sentence each."""
    paper_note: str
    to_send: str


def known_sitters(book: Book, sitting: Sitting) -> tuple[Sitter, ...]:
    """Everybody in the book who is not sitting now, the latest first."""
    last = {
        name: s.when for s in sorted(book.sittings, key=lambda s: s.when) for name in s.sitters
    }
    others = [s for s in book.sitters if s.id not in sitting.sitters]
    new = [s for s in others if s.id not in last]
    old = sorted((s for s in others if s.id in last), key=lambda s: last[s.id], reverse=True)
    return tuple((new + old)[:_MOST_KNOWN])


def next_view(book: Book, sitting: Sitting, question: Question, stands: Settings) -> NextView:
    """Put the page together.

    Parameters
    ----------
    book, sitting : Book, Sitting
        The sitting that is going on.
    question : callable
        Skin to the one question with its figures.
    stands : Settings
        How the set stands.
    """
    greys = tuple(
        Grey(value, f"{n}", screen_tone(density_from_reflectance(reflectance)))
        for n, (value, reflectance) in enumerate(_GREYS, start=1)
    )
    return NextView(
        href=f"{sitting_href(sitting.id)}/next",
        back=sitting_href(sitting.id),
        now=initials(book, sitting),
        known=tuple(
            Known(s.initials, question(s.skin).sentence, warning(s))
            for s in known_sitters(book, sitting)
        ),
        greys=greys,
        asked=tuple(
            _asked(value, question(Skin.model_validate({"guess": value})))
            for value in ("unknown", *(grey.value for grey in greys))
        ),
        said=tuple(SAID_YES_TO.items()),
        on_paper=tuple(
            (skin, tuple(one.sentence for one in on_paper(book, sitting, skin)))
            for skin in ("unknown", *(grey.value for grey in greys))
        ),
        paper_note=_paper_note(book, sitting),
        to_send=to_send(sitting, stands),
    )


def _paper_note(book: Book, sitting: Sitting) -> str:
    kind = main_kind(book.kit, sitting.lights)
    light = _BY_LIGHT.get(kind, "by the light of the set")
    return (
        f"{paper_title(paper_of(book, sitting))}, {light}. "
        "Skins from published tables; lips, cloth, glasses and freckles are invented."
    )


def _asked(skin: str, question: SkinQuestion) -> Asked:
    return Asked(
        skin, question.sentence, tuple(Answer(o.tone, o.title, o.text) for o in question.options)
    )
