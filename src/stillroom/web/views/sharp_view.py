"""Focus, stillness, second edges and how it fires, as the Sitting page shows them."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.book import Settings, Sitting
from stillroom.errors import StillroomError
from stillroom.services.desk import Desk
from stillroom.telling import focus_told, stillness_told
from stillroom.telling.focus_told import FocusTold
from stillroom.telling.stillness_told import StillnessTold


@dataclass(frozen=True, slots=True)
class SharpView:
    """What the section shows; a part that cannot be worked out says why instead."""

    focus: FocusTold | None
    chair: str
    stillness: StillnessTold | None
    lines: tuple[str, ...]
    """One line each, for the odds."""
    problems: tuple[str, ...]


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
    problems, lines = [], []
    focus, chair, still = None, "", None
    try:
        found = desk.focus(sitting.id, f_number=settings.f_number)
        focus, chair = focus_told.told(found, lengths), focus_told.chair_row(found, lengths)
        lines.append(focus.line)
    except StillroomError as error:
        problems.append(str(error))
    try:
        still = stillness_told.told(desk.stillness(sitting.id))
        lines.append(still.line)
    except StillroomError as error:
        problems.append(str(error))
    return SharpView(focus, chair, still, tuple(lines), tuple(problems))
