"""The same day worked otherwise: pairs of sheets, or sitters by turns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stillroom.documents.day import OtherPlan
from stillroom.services.day.asked import Ground
from stillroom.services.day.lived import OTHER_DAYS, Lived, Sitters, lived
from stillroom.services.day.moments import moment
from stillroom.services.day.words import minutes_text


def otherwise(ground: Ground, sitters: Sitters) -> tuple[OtherPlan, ...]:
    """The same sitters worked with otherwise, over the same days.

    Parameters
    ----------
    ground : Ground
        What the day is planned on.
    sitters : Sitters
        Who comes, and how they are worked with as asked.
    """
    now = lived(ground, sitters, OTHER_DAYS)
    finish_s = float(np.median(now.finish_s(sitters.count)))
    found = []
    if sitters.each > 1:
        other = replace(sitters, together=3 - sitters.together)
        what = "pairs" if other.together == 2 else "one_by_one"
        found.append((what, other))
    if sitters.by_turns == 1 and sitters.count > 1:
        found.append(("by_turns", replace(sitters, by_turns=2)))
    return tuple(_other(ground, what, other, now, finish_s) for what, other in found)


_TITLES = {
    "pairs": "Two sheets in hand, exposed one after the other and read together",
    "one_by_one": "One sheet at a time, each read before the next",
    "by_turns": "Two sitters in the studio by turns",
}


def _other(ground: Ground, what: str, other: Sitters, now: Lived, finish_s: float) -> OtherPlan:
    days = lived(ground, other, OTHER_DAYS)
    other_s = float(np.median(days.finish_s(other.count)))
    saves_min = (finish_s - other_s) / 60
    stays, stayed = (float(x.stayed_s.mean()) / 60 for x in (days, now))
    change = (
        f"through {minutes_text(abs(saves_min))} {'earlier' if saves_min > 0 else 'later'}"
        if abs(saves_min) >= 1
        else "through at the same time"
    )
    paper = days.sheets - now.sheets
    sheets = (
        f"about {abs(paper):.0f} sheets {'more' if paper > 0 else 'fewer'}"
        if abs(paper) >= 0.5
        else "the same paper"
    )
    return OtherPlan.model_validate(
        {
            "what": what,
            "finish": moment(ground, other_s),
            "sheets": days.sheets,
            "saves_min": saves_min,
            "stays_min": stays,
            "text": f"{_TITLES[what]}: {change}, {sheets}; a sitter stays "
            f"{minutes_text(stays)} rather than {minutes_text(stayed)}.",
        }
    )
