"""The chain of one source on one region: its lines, and the terms they name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

from stillroom.errors import UnknownName
from stillroom.exposure.bare import BareDaylight, BareSource
from stillroom.exposure.terms import Life, Line, Stage, Term

T = TypeVar("T")


class Chain:
    """Gathers the lines of one chain and registers its terms."""

    def __init__(self, terms: dict[str, Term]) -> None:
        self._terms = terms
        self.lines: list[Line] = []

    def fixed(self, stage: Stage, label: str, stops: float, known_from: str) -> None:
        """Add a fixed factor."""
        self.lines.append(Line(stage, label, known_from, stops))

    def term(self, stage: Stage, term: Term, coefficient: float = 1.0) -> None:
        """Add a term, known already or not."""
        self._terms.setdefault(term.name, term)
        self.lines.append(Line(stage, term.label, term.known_from, 0.0, term.name, coefficient))


def steady_level(
    chain: Chain, source: BareSource, sitting_id: str, name_of: Callable[[str, str], str]
) -> None:
    """Add a level as given, and how far it may be off.

    A lamp's error is its own everywhere; that of sun and sky stays with the seat and the kind of
    sky; that of any other level is the sitting's.
    """
    if source.daylight is not None:
        _daylight_level(chain, source, source.daylight, sitting_id, name_of)
        return
    state = f"{source.state}/" if source.state else ""
    name = f"level/{sitting_id}/{state}{source.role}"
    life, known = Life.SITTING, "meter or guess"
    if source.head is not None:
        name, life, known = f"lamp/{source.head}/output", Life.KIT, "lamp"
    label = f"level of {name_of('light', source.role)}"
    chain.fixed(Stage.LIGHT, label, source.log2_lx or 0.0, known)
    off = Term(name, f"how far that {label} is off", 0.0, source.sd_stops, life, known)
    chain.term(Stage.LIGHT, off)


def _daylight_level(
    chain: Chain,
    source: BareSource,
    there: BareDaylight,
    sitting_id: str,
    name_of: Callable[[str, str], str],
) -> None:
    known, called = "sun and sky", name_of("seat", there.seat)
    chain.fixed(Stage.LIGHT, f"{known}, {called}", source.log2_lx or 0.0, "clock and compass")
    state = f"{source.state}/" if source.state else ""
    name = f"{seat_terms(there.seat)}/{state}light"
    label = f"{called}, against tape and compass"
    seat = Term(name, label, 0.0, there.seat_sd_stops, Life.KIT, "tape and compass")
    chain.term(Stage.LIGHT, seat)
    # Of unit spread: how well the same sky is known hangs on the hour.
    label = f"sky like it ({there.sky}), against the model"
    sky = Term(f"sky/{without_slash(there.sky)}/light", label, 0.0, 1.0, Life.KIT, known)
    chain.term(Stage.LIGHT, sky, there.sky_sd_stops)
    name = f"level/{sitting_id}/{state}{there.sky}/{source.role}"
    day = Term(name, "that day's sky, against the model", 0.0, 1.0, Life.SITTING, known)
    chain.term(Stage.LIGHT, day, there.day_sd_stops)


def seat_terms(seat: str) -> str:
    """What the names of all terms of a seat begin with."""
    return f"seat/{without_slash(seat)}"


def without_slash(name: str) -> str:
    """A name as it stands in the names of terms, where a slash ends it."""
    return name.replace("/", "|")


def named(kind: str, name: str, known: Mapping[str, T]) -> T:
    """The thing of that name.

    Raises
    ------
    UnknownName
        If there is none.
    """
    if name not in known:
        raise UnknownName(kind, name, known)
    return known[name]
