"""What a hand turns from one setting to another, each turn with its reason."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from stillroom.advice import Policy
from stillroom.documents import answers
from stillroom.documents import book as doc
from stillroom.exposure import BareSettings
from stillroom.services.worktable import Worktable

SAME = 1e-6
SAME_MARK = 1e-9


class Why(Protocol):
    """Says why a knob is turned."""

    def dial(self, role: str) -> str:
        """Why a light is turned."""
        ...

    def camera(self, kind: str, stops: float) -> str:
        """Why the stop, the pops or the open time change."""
        ...


@dataclass(frozen=True, slots=True)
class Set:
    """Settings as the hand sees them, and as the engine does."""

    shown: doc.Settings
    bare: BareSettings


def changes_between(
    table: Worktable, policy: Policy, before: Set, after: Set, why: Why
) -> tuple[answers.Change, ...]:
    """Everything to turn, the largest first.

    Parameters
    ----------
    table : Worktable
        The sitting.
    policy : Policy
        What a change costs.
    before, after : Set
        From what, to what.
    why : Why
        Says the reasons.

    Returns
    -------
    tuple of Change
    """
    changes = []
    for role, dial in after.bare.dial_stops.items():
        stops = dial - before.bare.dial_stops.get(role, 0.0)
        if abs(stops) > SAME:
            changes.append(
                answers.Change(
                    knob=f"{role} dial",
                    role=role,
                    from_value=_dial_shown(table, before.shown, role),
                    to_value=_dial_shown(table, after.shown, role),
                    stops=stops,
                    why=why.dial(role),
                    effort=policy.effort("dial"),
                )
            )
    was, now = before.bare, after.bare
    opened = -2 * math.log2(now.f_number / was.f_number)
    popped, longer = math.log2(now.pops / was.pops), math.log2(now.seconds / was.seconds)
    camera = (
        ("f-number", "stop", before.shown.f_number, after.shown.f_number, opened),
        ("pops", "pops", before.shown.pops, after.shown.pops, popped),
        ("open time", "seconds", before.shown.open_s, after.shown.open_s, longer),
    )
    for knob, kind, from_value, to_value, stops in camera:
        if abs(from_value - to_value) > SAME_MARK:
            changes.append(
                answers.Change(
                    knob=knob,
                    role=None,
                    from_value=from_value,
                    to_value=to_value,
                    stops=stops,
                    why=why.camera(kind, stops),
                    effort=policy.effort(kind),
                )
            )
    return tuple(sorted(changes, key=lambda c: -abs(c.stops)))


def _dial_shown(table: Worktable, settings: doc.Settings, role: str) -> float:
    """What its dial shows; one that was never said stands at full."""
    shown = settings.lights.get(role, doc.LightSetting()).dial
    head = table.heads[table.lights[role].kit_id or ""]
    return head.dial.max if shown is None else shown
