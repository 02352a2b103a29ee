"""What the rows hold: which model a kind has, and the moment written beside it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from pydantic import ValidationError

from stillroom.documents.base import Strict
from stillroom.documents.book import Paper, Sitter, Sitting
from stillroom.documents.filters import Filter
from stillroom.documents.holders import Holder
from stillroom.documents.kit import Camera, Head, Lamp, Lens, Meter, Modifier, Room, Scanner
from stillroom.documents.mixing import Mix
from stillroom.documents.seats import Place, Seat
from stillroom.documents.sentences import sentence_for
from stillroom.documents.thing import Thing
from stillroom.documents.wet import Process
from stillroom.errors import BookError, UnknownName

THINGS: dict[str, type[Thing]] = {
    "cameras": Camera,
    "lenses": Lens,
    "heads": Head,
    "lamps": Lamp,
    "modifiers": Modifier,
    "meters": Meter,
    "scanners": Scanner,
    "rooms": Room,
    "places": Place,
    "seats": Seat,
    "filters": Filter,
    "processes": Process,
    "holders": Holder,
}
"""Kinds of kit, as the document calls them."""

PAPERS, SITTERS, SITTINGS, MIXES = "papers", "sitters", "sittings", "mixes"
ITEMS: dict[str, type[Strict]] = {
    **THINGS,
    PAPERS: Paper,
    SITTERS: Sitter,
    SITTINGS: Sitting,
    MIXES: Mix,
}
"""Everything that has an id of its own."""

ONE_OF = {
    **{kind: kind.removesuffix("s") for kind in ITEMS},
    "lenses": "lens",
    "processes": "process",
    MIXES: "mix",
}
"""What one of a kind is called."""

Part = TypeVar("Part", bound=Strict)


@dataclass(frozen=True, slots=True)
class Version:
    """One entry in the history of a thing: when it was written down, and what it said.

    Parameters
    ----------
    at : datetime
        Moment of writing [UTC].
    zone : str
        Zone of the writer's clock, such as ``Europe/London`` or ``+01:00``.
    part : Strict
        The thing as it stood from then on.
    withdrawn : bool
        A reading that was taken back since.
    """

    at: datetime
    zone: str
    part: Strict
    withdrawn: bool = False


def model_of(kind: str) -> type[Strict]:
    """The model of a kind of item.

    Raises
    ------
    UnknownName
        If there is no such kind.
    """
    if kind not in ITEMS:
        raise UnknownName("kind of thing", kind, ITEMS)
    return ITEMS[kind]


def utc_text(moment: datetime) -> str:
    """A moment in UTC as text that sorts in order of time."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def zone_text(moment: datetime) -> str:
    """The zone of a moment: its name where it has one, else its offset, such as ``+01:00``."""
    if isinstance(moment.tzinfo, ZoneInfo):
        return moment.tzinfo.key
    return moment.isoformat()[-6:]


def as_said(part: Strict) -> str:
    """A part as JSON, only what was said: `made` holds what differed, no defaults beside it."""
    return part.model_dump_json(exclude_unset=True)


def parsed(model: type[Part], data: str, what: str) -> Part:
    """A part from its row.

    Raises
    ------
    BookError
        If the row does not hold what it should.
    """
    try:
        return model.model_validate_json(data)
    except ValidationError as error:
        raise BookError(
            f"The book holds a part that cannot be read ({what}: {sentence_for(error)[:-1]}): "
            "restore it from a backup."
        ) from error


def version(model: type[Strict], row: tuple[Any, ...], what: str) -> Version:
    """One entry of a history from its row ``(at_utc, zone, data)``, perhaps ``withdrawn``."""
    at, zone, data, *withdrawn = row
    part = parsed(model, data, what)
    return Version(datetime.fromisoformat(at), zone, part, withdrawn=any(withdrawn))
