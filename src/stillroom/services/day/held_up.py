"""What holds a day up, and what one more of anything buys."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.documents.day import BathNeeded, HeldUp, HeldUpBy, OneMore
from stillroom.services.day.line import CHAIR, HOLDERS, TANK
from stillroom.services.day.words import held_up_text, minutes_text, more_text, plural, what_more
from stillroom.wetline.day import HANDS, Gain, Line, bottleneck

KINDS: dict[str, HeldUpBy] = {
    TANK: "tank",
    HANDS: "hands",
    HOLDERS: "holders",
    CHAIR: "chair",
    "sitters": "sitters",
    "": "the way itself",
}
"""Stations by their kind; every other is a tray."""
WORTH_MIN = 1.0


def short_of(
    baths: Sequence[BathNeeded], paper: int | None, used: float, carried: int
) -> HeldUp | None:
    """What runs out before the day is over; None where nothing does.

    Parameters
    ----------
    baths : sequence of BathNeeded
        The baths, with what is there of them.
    paper : int or None
        Sheets of paper at hand [1].
    used : float
        Sheets the day uses on average [1].
    carried : int
        Sheets the day may use at the most [1].
    """
    if paper is not None and paper < used:
        return HeldUp(
            kind="paper",
            name="paper",
            text=f"Paper runs out: {plural(paper, 'sheet')} at hand, about {used:.0f} are used, "
            f"{carried} with all spares.",
        )
    counted = [bath for bath in baths if bath.good_for is not None and bath.good_for < used]
    if not counted:
        return None
    first = min(counted, key=lambda bath: bath.good_for or 0)
    return HeldUp(
        kind="bath",
        name=first.name,
        text=f"Bath life ends the day first: {first.given_litres:g} L of {first.name} are good "
        f"for {plural(first.good_for or 0, 'sheet')}, about {used:.0f} are used.",
    )


def held_up(
    found: Sequence[Gain],
    line: Line,
    sitters_save_s: int,
    *,
    apart_min: float | None,
    with_sitters: bool,
) -> HeldUp:
    """What holds the planned day up.

    Parameters
    ----------
    found : sequence of Gain
        What one more of each thing saves.
    line : Line
        The line.
    sitters_save_s : int
        What it would save if no sitter waited for another [s].
    apart_min : float or None
        Sitters are asked for so far apart, where that alone makes the day longer [min].
    with_sitters : bool
        Whether there are any.
    """
    if apart_min is not None:
        return HeldUp(
            kind="sitters",
            name="sitters",
            text=f"Sitters hold the day up: they come {minutes_text(apart_min)} apart, and the "
            "line waits for them.",
        )
    name = bottleneck(found, line)
    most = max((gain.most_s for gain in found), default=0)
    if sitters_save_s >= max(60 * WORTH_MIN, most):
        name = "sitters"
    key = name or "the way itself"
    return HeldUp(
        kind=KINDS.get(name, "tray"),
        name=key,
        text=held_up_text(key, line.hands, _holds(line, name), with_sitters=with_sitters),
    )


def _holds(line: Line, name: str) -> int:
    return next((station.holds for station in line.stations if station.name == name), 1)


def more_of(found: Sequence[Gain]) -> tuple[OneMore, ...]:
    """What one more of each thing buys, the most first; what buys nothing in one line less.

    Parameters
    ----------
    found : sequence of Gain
        By `gains`.
    """
    by_saving = sorted(found, key=lambda gain: -gain.saves_s)
    return tuple(
        OneMore(
            what=what_more(gain.name),
            saves_min=gain.saves_s / 60,
            text=more_text(what_more(gain.name), gain.saves_s / 60),
        )
        for gain in by_saving
    )
