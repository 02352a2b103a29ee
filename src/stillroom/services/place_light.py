"""What the light of the place carried, asked for when a curtain or a door has moved."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.documents.answers import Forecast
from stillroom.quantity import stops_text
from stillroom.services.moved import PLACE_KINDS, state_of, understood
from stillroom.sitter import region_name

NOTICEABLE_STOPS = 1 / 6
"""A region that would lose less without the light of the place is not spoken of; ours."""
NOTHING_LEFT_SHARE = 0.95
_FRACTIONS = {
    1 / 8: "⅛",
    1 / 5: "⅕",
    1 / 4: "¼",
    1 / 3: "⅓",
    1 / 2: "½",
    2 / 3: "⅔",
    3 / 4: "¾",
    4 / 5: "⅘",
    7 / 8: "⅞",
}
_NAMES = {"room": "Room light", "window": "Window light", "daylight": "Daylight"}


@dataclass(frozen=True, slots=True)
class Carried:
    """What the light of the place gave one region."""

    region: str
    share: float
    """Of all the light that makes its tone [1]."""
    without_stops: float
    """How much darker it falls without that light [stops, below 0]."""


def curtain_said(sitting: doc.Sitting) -> tuple[doc.Sheet, str] | None:
    """The last sheet, and what lets light in that was said to have moved.

    None once the room is said to be in another state, or where nothing of the kind was said.
    """
    last = max(sitting.sheets, key=lambda s: s.number, default=None)
    if last is None or state_of(sitting, last) != sitting.room_state:
        return None
    answers = [known[0] for said in last.what_else_moved if (known := understood(said))]
    moved = next((a.what for a in answers if a.reach == "place" and a.lasts), None)
    return None if moved is None else (last, moved)


def as_if_unmoved(book: doc.Book, sitting: doc.Sitting, sheet: doc.Sheet) -> doc.Book:
    """The book as if nothing had let light in or shut it out at a sheet.

    What the light of the place carried is asked of the time before: in doubt about the curtain
    it might have carried anything.
    """

    def is_other(said: str) -> bool:
        known = understood(said)
        return known is None or known[0].reach != "place"

    others = tuple(said for said in sheet.what_else_moved if is_other(said))
    unmoved = sheet.model_copy(update={"what_else_moved": others})
    sheets = tuple(unmoved if s.number == sheet.number else s for s in sitting.sheets)
    there = sitting.model_copy(update={"sheets": sheets})
    sittings = tuple(there if s.id == sitting.id else s for s in book.sittings)
    return book.model_copy(update={"sittings": sittings})


def carried(sitting: doc.Sitting, forecast: Forecast) -> tuple[Carried, ...]:
    """What the light of the place carries of each aimed region, where it would be missed.

    Parameters
    ----------
    sitting : Sitting
        Whose lights and aims they are.
    forecast : Forecast
        With the shares of its sources.

    Returns
    -------
    tuple of Carried
        The largest share first.
    """
    place = [light.role for light in sitting.lights if light.kind in PLACE_KINDS]
    found = []
    for region, said in forecast.regions.items():
        if region not in sitting.aims or sitting.aims[region].tol_stops is None:
            continue
        share = min(1.0, sum(said.sources.get(role, 0.0) for role in place))
        without = math.log2(1 - share) if share < 1 else -math.inf
        if without <= -NOTICEABLE_STOPS:
            found.append(Carried(region, share, without))
    return tuple(sorted(found, key=lambda c: -c.share))


def carried_sentence(sitting: doc.Sitting, found: tuple[Carried, ...]) -> str:
    """A sentence for each of at most two regions; empty where nothing would be missed.

    Examples
    --------
    >>> light = doc.Light(role="room", kind="room", metered_lx=60)
    >>> sitting = doc.Sitting.model_construct(lights=(light,))
    >>> carried_sentence(sitting, (Carried("shadow", 0.36, -0.64), Carried("key", 0.2, -0.32)))
    'Room light carried ⅓ of the shadow cheek; without it −⅔. Of the key cheek ⅕; without it −⅓.'
    """
    if not found:
        return ""
    kinds = {light.kind for light in sitting.lights if light.kind in PLACE_KINDS}
    name = _NAMES[kinds.pop()] if len(kinds) == 1 else "The light of the place"
    first, *more = found[:2]
    sentences = [f"{name} carried {_part(first)} of the {_region(first)}{_without(first)}."]
    sentences += [f"Of the {_region(one)} {_part(one)}{_without(one)}." for one in more]
    return " ".join(sentences)


def moved_before(what: str, sheet: doc.Sheet) -> str:
    """That it moved, as a sentence.

    Examples
    --------
    >>> sheet = doc.Sheet.model_validate(
    ...     {"number": 4, "mark": "OM 4", "settings": {"f_number": 8}}
    ... )
    >>> moved_before("curtain", sheet), moved_before("sun came or went", sheet)
    ('The curtain moved before OM 4.', 'The sun came or went before OM 4.')
    """
    verb = "" if " " in what else " moved"
    return f"The {what}{verb} before {sheet.mark or sheet.number}."


def _region(one: Carried) -> str:
    return region_name(one.region).lower()


def _part(one: Carried) -> str:
    if one.share >= NOTHING_LEFT_SHARE:
        return "nearly all"

    def odds(share: float) -> float:
        return math.log(share / (1 - share))

    nearest = min(_FRACTIONS, key=lambda known: abs(odds(known) - odds(one.share)))
    return _FRACTIONS[nearest]


def _without(one: Carried) -> str:
    if one.share >= NOTHING_LEFT_SHARE:
        return ""
    return f"; without it {stops_text(one.without_stops)}"
