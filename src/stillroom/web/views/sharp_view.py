"""Focus, stillness, second edges and how it fires, as the Sitting page shows them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from stillroom.documents.book import Settings, Sitting
from stillroom.errors import StillroomError
from stillroom.services.desk import Desk
from stillroom.telling import firing_told, focus_told, ghost_told, stillness_told
from stillroom.telling.firing_told import FiringTold
from stillroom.telling.focus_told import FocusTold
from stillroom.telling.ghost_told import GhostTold
from stillroom.telling.set_rows import Row
from stillroom.telling.stillness_told import StillnessTold

Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class SharpView:
    """What the section shows; a part that cannot be worked out says why instead."""

    focus: FocusTold | None
    stillness: StillnessTold | None
    ghost: GhostTold | None
    firing: FiringTold | None
    lines: tuple[str, ...]
    """One line each, for the odds."""
    problems: tuple[str, ...]


def chair_of(desk: Desk, sitting: Sitting, f_number: float, lengths: str) -> Row | None:
    """The chair's place on the set list; why it cannot be told stands in the section."""
    try:
        return focus_told.chair_row(desk.focus(sitting.id, f_number=f_number), lengths)
    except StillroomError:
        return None


def sharp_view(desk: Desk, sitting: Sitting, settings: Settings, lengths: str) -> SharpView:
    """Ask the desk of a sitting as the page has it set.

    Parameters
    ----------
    desk : Desk
        The desk.
    sitting : Sitting
        Which sitting.
    settings : Settings
        As the set list shows them.
    lengths : str
        The reader's units.
    """
    problems: list[str] = []

    def asked(ask: Callable[[], Answer]) -> Answer | None:
        try:
            return ask()
        except StillroomError as error:
            problems.append(str(error))
            return None

    by_flash = any(light.kind == "head" for light in sitting.lights)
    focus = asked(
        lambda: focus_told.told(desk.focus(sitting.id, f_number=settings.f_number), lengths)
    )
    still = asked(lambda: stillness_told.told(desk.stillness(sitting.id)))
    ghost = firing = None
    if by_flash:
        ghost = asked(lambda: ghost_told.told(desk.ghost(sitting.id)))
        firing = asked(lambda: firing_told.told(desk.firing(sitting.id)))
    told = (focus, still, ghost)
    lines = tuple(one.line for one in told if one is not None)
    return SharpView(focus, still, ghost, firing, lines, tuple(dict.fromkeys(problems)))
