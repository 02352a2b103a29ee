"""The Read form: taps, words and typed densities made into one reading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import get_args

from stillroom.documents.book import (
    Paper,
    ReadBy,
    Reading,
    Reason,
    RegionReading,
    Sheet,
    Sitting,
    State,
    StripReading,
)
from stillroom.documents.checks import WHOLE_FACE, check_reading
from stillroom.documents.pieces import region_of_piece
from stillroom.documents.read import validated
from stillroom.errors import BadValue, StillroomError
from stillroom.services.strip_reading import by_steps
from stillroom.sitter import region_name
from stillroom.web.forms import Posted, number
from stillroom.web.views.read_view import EARLY_WORDS, WAYS, moved_in

Seen = dict[str, RegionReading]


@dataclass(slots=True)
class Read:
    """What the form said, and what is wrong with it."""

    reading: Reading
    kept: bool | None
    because: tuple[Reason, ...]
    moved: tuple[str, ...]
    faults: dict[str, str] = field(default_factory=dict)


def read_form(post: Posted, sitting: Sitting, sheet: Sheet, paper: Paper) -> Read:
    """Read the whole form; a fault stays with its field and the rest is kept.

    Parameters
    ----------
    post : Posted
        The form as it came in.
    sitting, sheet, paper : Sitting, Sheet, Paper
        What was read.
    """
    by = _way(post.one("by", "strip"), sheet)
    read_one = _reader(post, by, paper)
    asked = _asked(sitting, sheet, by)
    faults: dict[str, str] = {}
    regions: Seen = {}
    strips: list[StripReading] = []
    for pops in sheet.settings.steps_pops or (None,):
        found: Seen = {}
        for region in asked:
            name = region if pops is None else f"{pops}:{region}"
            try:
                seen = read_one(name, region)
                if seen is not None:
                    _check(sitting, sheet, paper, {region: seen}, pops, by=by)
            except StillroomError as error:
                faults[name] = str(error)
            else:
                if seen is not None:
                    found[region] = seen
        if pops is None:
            regions = found
        elif found:
            strips.append(StripReading(step=pops, regions=found))
    reading = Reading(state=_state(post, by), by=by, regions=regions, strips=tuple(strips))
    kept = {"yes": True, "no": False}.get(post.one("box"))
    because = _reasons(post) if kept is False else ()
    moved = moved_in(post.many("moved"), post.many("moved_light"))
    return Read(reading, kept, because, moved, faults)


def _asked(sitting: Sitting, sheet: Sheet, by: ReadBy) -> tuple[str, ...]:
    if sheet.piece is not None:
        return (region_of_piece(sitting, sheet),)
    return (WHOLE_FACE, *sitting.aims) if by == "early_look" else tuple(sitting.aims)


def _state(post: Posted, by: ReadBy) -> State:
    if by == "early_look":
        return "pale" if post.one("early") == "pale" else "negative"
    return "dry" if post.one("state") == "dry" else "wet"


def _way(text: str, sheet: Sheet) -> ReadBy:
    if text == "early_look" and sheet.settings.steps_pops is not None:
        raise BadValue("How you read", "early look", "a stepped sheet is read when it is finished")
    for way, _ in WAYS:
        if way == text:
            return way
    raise BadValue("How you read", text, f"choose one of {', '.join(way for way, _ in WAYS)}")


def _reasons(post: Posted) -> tuple[Reason, ...]:
    given = post.many("because")
    known = get_args(Reason)
    for reason in given:
        if reason not in known:
            raise BadValue("Because of", reason, f"choose from {', '.join(known)}")
    return tuple(reason for reason in known if reason in given)


def _reader(post: Posted, by: ReadBy, paper: Paper) -> Callable[[str, str], RegionReading | None]:
    def by_strip(name: str, region: str) -> RegionReading | None:
        taps = tuple(tap for tap in post.many(f"s:{name}") if tap)
        return by_steps(taps, paper, region) if taps else None

    def by_word(name: str, _region: str) -> RegionReading | None:
        word = post.one(f"w:{name}")
        return validated(RegionReading, {"verdict": word}) if word else None

    def by_look(name: str, region: str) -> RegionReading | None:
        word = post.one(f"e:{name}")
        if not word:
            return None
        if word not in dict(EARLY_WORDS):
            known = ", ".join(known for known, _ in EARLY_WORDS)
            raise BadValue(region_name(region), word, f"choose {known}")
        return validated(RegionReading, {"verdict": word})

    def by_number(name: str, region: str) -> RegionReading | None:
        text = post.one(f"d:{name}")
        if not text:
            return None
        return validated(RegionReading, {"density": number(region_name(region), text)})

    ways = {"strip": by_strip, "words": by_word, "early_look": by_look}
    return ways.get(by, by_number)


def _check(
    sitting: Sitting, sheet: Sheet, paper: Paper, seen: Seen, pops: int | None, *, by: ReadBy
) -> None:
    reading = (
        Reading(by=by, regions=seen)
        if pops is None
        else Reading(strips=(StripReading(step=pops, regions=seen),))
    )
    check_reading(sitting, paper, sheet, reading, "this sheet")
