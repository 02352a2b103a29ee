"""The Read form: taps, words and typed densities made into one reading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, get_args

from stillroom.documents.book import (
    Paper,
    ReadBy,
    Reading,
    Reason,
    RegionReading,
    Sheet,
    Sitting,
    StripReading,
    Verdict,
)
from stillroom.documents.checks import check_reading
from stillroom.documents.read import validated
from stillroom.errors import BadValue, StillroomError
from stillroom.reading import MATCH_SD_OWN, MATCH_SD_PRINTED, matched
from stillroom.sitter import region_name
from stillroom.web.forms import Posted, number
from stillroom.web.views.read_view import BARE, BLACK, WAYS
from stillroom.web.views.tones import steps_of

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
    by = _way(post.one("by", "strip"))
    read_one = _reader(post, by, paper)
    faults: dict[str, str] = {}
    regions: Seen = {}
    strips: list[StripReading] = []
    for pops in sheet.settings.steps_pops or (None,):
        found: Seen = {}
        for region in sitting.aims:
            name = region if pops is None else f"{pops}:{region}"
            try:
                seen = read_one(name, region)
                if seen is not None:
                    _check(sitting, sheet, paper, {region: seen}, pops)
            except StillroomError as error:
                faults[name] = str(error)
            else:
                if seen is not None:
                    found[region] = seen
        if pops is None:
            regions = found
        elif found:
            strips.append(StripReading(step=pops, regions=found))
    state: Literal["wet", "dry"] = "dry" if post.one("state") == "dry" else "wet"
    reading = Reading(state=state, by=by, regions=regions, strips=tuple(strips))
    kept = {"yes": True, "no": False}.get(post.one("box"))
    because = _reasons(post) if kept is False else ()
    return Read(reading, kept, because, post.many("moved"), faults)


def _way(text: str) -> ReadBy:
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

    def by_number(name: str, region: str) -> RegionReading | None:
        text = post.one(f"d:{name}")
        if not text:
            return None
        return validated(RegionReading, {"density": number(region_name(region), text)})

    return {"strip": by_strip, "words": by_word}.get(by, by_number)


def by_steps(taps: tuple[str, ...], paper: Paper, region: str) -> RegionReading:
    """One region read against the strip.

    Parameters
    ----------
    taps : tuple of str
        The step that vanished or two neighbours; ``black`` and ``bare`` are the ends.
    paper : Paper
        Whose strip it is.
    region : str
        For the message.

    Raises
    ------
    BadValue
        If the taps are no step or no neighbours.

    Examples
    --------
    >>> paper = Paper(
    ...     id="x",
    ...     ei=6,
    ...     comparison_strip=[{"step": 1, "density": 1.2}, {"step": 2, "density": 0.6}],
    ... )
    >>> by_steps(("bare",), paper, "rim").verdict, by_steps(("1", "2"), paper, "key").density
    ('bare_paper', 0.9)
    """
    ends: dict[tuple[str, ...], Verdict] = {(BLACK,): "black", (BARE,): "bare_paper"}
    if taps in ends:
        return RegionReading(verdict=ends[taps])
    steps = steps_of(paper)
    order = {BLACK: 0, BARE: len(steps) + 1} | {str(s.step): n for n, s in enumerate(steps, 1)}
    if any(tap not in order for tap in taps):
        raise BadValue(region_name(region), ", ".join(taps), "tap the steps of this strip")
    densities = [paper.dmax, *(s.density for s in steps), paper.dmin]
    own = bool(paper.comparison_strip)
    try:
        match = matched(
            densities,
            [order[tap] for tap in taps],
            match_sd=MATCH_SD_OWN if own else MATCH_SD_PRINTED,
        )
    except BadValue:
        raise BadValue(
            region_name(region),
            f"steps {' and '.join(taps)}",
            "tap the one step that vanishes, or two side by side",
        ) from None
    return RegionReading(
        density=round(match.density, 3),
        density_sd=round(match.density_sd, 3),
        steps=tuple(sorted(int(tap) for tap in taps if tap.isdecimal())),
    )


def _check(sitting: Sitting, sheet: Sheet, paper: Paper, seen: Seen, pops: int | None) -> None:
    reading = (
        Reading(regions=seen)
        if pops is None
        else Reading(strips=(StripReading(step=pops, regions=seen),))
    )
    check_reading(sitting, paper, sheet, reading, "this sheet")
