"""What things are called on a page: regions, lights, papers, days, addresses."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar
from urllib.parse import quote

from stillroom.documents.book import Book, Light, Paper, Sitting
from stillroom.documents.kit import Kit
from stillroom.documents.thing import Thing
from stillroom.errors import UnknownName
from stillroom.telling.figures import listed

METER_KINDS = {"incident_flat": "flat disc", "incident_dome": "dome", "spot": "spot"}
_TIED = "\u00a0"  # one size is not broken over two lines
_CORNERS = ("top left", "top right", "bottom right", "bottom left")

AnyThing = TypeVar("AnyThing", bound=Thing)


def thing(things: Iterable[AnyThing], thing_id: str | None) -> AnyThing | None:
    """The thing with this id, if it is there."""
    return next((t for t in things if t.id == thing_id), None)


def paper_of(book: Book, sitting: Sitting) -> Paper:
    """The batch a sitting uses, or an error that says which there are."""
    paper = thing(book.papers, sitting.paper)
    if paper is None:
        raise UnknownName("paper", sitting.paper, [p.id for p in book.papers])
    return paper


def called(found: Thing | None, thing_id: str | None) -> str:
    """Name of a thing; its id where it has none."""
    return (found.name if found and found.name else thing_id) or ""


def light_title(light: Light, kit: Kit) -> str:
    """A light by its role and the thing it is: ``Key, head A``; daylight by its seat.

    Examples
    --------
    >>> light_title(Light(role="sky", kind="window", metered_lx=90), Kit())
    'Sky, window'
    """
    if light.kind == "head":
        what = called(thing(kit.heads, light.kit_id), light.kit_id)
    elif light.kind == "lamp":
        what = called(thing(kit.lamps, light.kit_id), light.kit_id)
    elif light.kit_id is not None and light.kind in ("daylight", "window"):
        what = called(thing(kit.seats, light.kit_id), light.kit_id)
    else:
        what = light.kind
    if len(what) <= 2:
        what = f"{light.kind} {what}"
    role = light.role[:1].upper() + light.role[1:]
    return role if what.casefold() == light.role.casefold() else f"{role}, {what}"


def openings(sitting: Sitting, n: int) -> str:
    """What a hand counts: pops, or openings of the lens where nothing pops."""
    word = "pop" if any(light.kind == "head" for light in sitting.lights) else "opening"
    return word if n == 1 else f"{word}s"


def paper_title(paper: Paper) -> str:
    """A batch of paper in a sentence.

    Examples
    --------
    >>> paper_title(Paper(id="sorrel-2/7", name="Sorrel No. 2", batch="7", ei=6))
    'Sorrel No. 2 glossy, batch 7'
    """
    name = f"{called(paper, paper.id)} {paper.surface}"
    return f"{name}, batch {paper.batch}" if paper.batch else name


def sheet_size(format_mm: tuple[float, float]) -> str:
    """A sheet's size as the box has it, in centimetres.

    Examples
    --------
    >>> sheet_size((130, 180)).split(), sheet_size((203.2, 254)).split()
    (['13', '×', '18', 'cm'], ['20.3', '×', '25.4', 'cm'])
    """
    w, h = (f"{side / 10:.1f}".removesuffix(".0") for side in format_mm)
    return f"{w}{_TIED}×{_TIED}{h}{_TIED}cm"


def initials(book: Book, sitting: Sitting) -> str:
    """Initials of those who sit."""
    found = {s.id: s.initials for s in book.sitters}
    return listed([found.get(s, s) for s in sitting.sitters])


def clip_code(number: int) -> str:
    """The clip felt in the dark: which corner, from sheet 5 a second nick.

    Examples
    --------
    >>> clip_code(4), clip_code(6), clip_code(9)
    ('4, bottom left', '6, top right, two nicks', '1, top left')
    """
    code = (number - 1) % 8
    nicks = ", two nicks" if code >= 4 else ""
    return f"{code + 1}, {_CORNERS[code % 4]}{nicks}"


def slug(name: str) -> str:
    """A name as one segment of an address; ``/`` is no part of a segment.

    Examples
    --------
    >>> slug("OM 14/11"), unslug("OM 14~11")
    ('OM%2014~11', 'OM 14/11')
    """
    return quote(name.replace("/", "~"), safe="~")


def unslug(segment: str) -> str:
    """The name that `slug` made a segment of, once decoded."""
    return segment.replace("~", "/")
