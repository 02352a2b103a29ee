"""Dark tests of a sitting: how the next is made, and what those that were made show."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stillroom.documents.book import Paper, RegionReading, Sheet, Sitting
from stillroom.documents.ghost import DarkTest, DarkTestRead
from stillroom.services.chair import card_reflectance
from stillroom.services.dark_test import (
    CARD_RANGE,
    CARD_REFLECTANCE,
    LONGEST_S,
    TIMES,
    TIMES_RANGE,
    region_of,
)
from stillroom.services.strip_reading import steps_of
from stillroom.telling.figures import listed
from stillroom.telling.ghost_told import (
    DarkTestReadTold,
    DarkTestTold,
    dark_read_told,
    dark_told,
)
from stillroom.telling.sheets_view import (
    VERDICTS,
    counting,
    dark_test_href,
    mark_of,
    read_href,
    sheet_href,
)
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.tones import Curve
from stillroom.telling.words import clock, day, figure
from stillroom.web.forms import Field
from stillroom.web.views.read_view import MOST_ABREAST, StepButton, step_buttons

SHORTEST_S = 0.001
PLANNED: tuple[Field, ...] = (
    Field("open_s", "Open about the pop", "number", "s", low=SHORTEST_S, high=LONGEST_S,
          hint="left out: as advised"),
    Field("times", "The test is open", "number", "times as long", low=TIMES_RANGE[0],
          high=TIMES_RANGE[1], hint=f"left out: {figure(TIMES)}"),
    Field("card", "The card sends back", "number", low=CARD_RANGE[0], high=CARD_RANGE[1],
          hint=f"of the light the paper sees; left out: {figure(CARD_REFLECTANCE)}, a white one"),
)  # fmt: skip
"""What may be said of a test before it is made."""
STEPS, DENSITY, STATE = "s", "d", "state"
"""What is sent of a card: steps of the strip, its density, whether it is wet."""


@dataclass(frozen=True, slots=True)
class MadeTest:
    """A dark test among the sheets."""

    number: int
    mark: str
    when: str
    note: str
    href: str
    full_href: str
    """Where it is read as any other sheet, and a reading is taken back."""
    post_href: str
    seen: str
    """What the card looked like; empty where nobody said."""
    read: DarkTestReadTold | None
    state: str


@dataclass(frozen=True, slots=True)
class DarkTestView:
    """What the template shows."""

    href: str
    back: str
    line: str
    plan: DarkTestTold | None
    tests: tuple[MadeTest, ...]
    """Newest first."""
    waits: bool
    """Whether the newest one is not read yet."""
    buttons: tuple[StepButton, ...]
    columns: int
    """How many steps stand side by side on a phone."""
    is_own: bool
    density_range: str


def has_dark_test(sitting: Sitting) -> bool:
    """Whether a sitting has one already."""
    return any(card_reflectance(sheet) is not None for sheet in sitting.sheets)


def dark_test_view(
    sitting: Sitting,
    paper: Paper,
    curve: Curve,
    plan: DarkTest | None,
    says: Callable[[int], DarkTestRead],
) -> DarkTestView:
    """Put the page together.

    Parameters
    ----------
    sitting, paper : Sitting, Paper
        Whose tests they are.
    curve : sequence of CurvePoint
        Tone curve of the paper as believed.
    plan : DarkTest or None
        The next test; None where it cannot be planned.
    says : callable
        What a test that was read proves, by its number.
    """
    tests = tuple(
        _made(sitting, sheet, says)
        for sheet in sorted(sitting.sheets, key=lambda s: -s.number)
        if card_reflectance(sheet) is not None
    )
    steps = len(steps_of(paper))
    return DarkTestView(
        href=dark_test_href(sitting),
        back=sitting_href(sitting.id),
        line="How dark is the room? A white card, no pop, and the lens open long.",
        plan=None if plan is None else dark_told(plan),
        tests=tests,
        waits=bool(tests) and not tests[0].seen,
        buttons=step_buttons(paper, curve),
        columns=steps if steps <= MOST_ABREAST else (steps + 1) // 2,
        is_own=bool(paper.comparison_strip),
        density_range=f"{figure(paper.dmin)} to {figure(paper.dmax)}",
    )


def _seen(card: RegionReading) -> str:
    """What a card looked like.

    Examples
    --------
    >>> _seen(RegionReading(density=0.7, steps=(4, 5))), _seen(RegionReading(verdict="black"))
    ('steps 4 and 5, density 0.7', 'black')
    """
    if card.verdict is not None:
        return VERDICTS[card.verdict]
    density = f"density {figure(card.density or 0.0)}"
    if not card.steps:
        return density
    word = "step" if len(card.steps) == 1 else "steps"
    return f"{word} {listed([str(step) for step in card.steps])}, {density}"


def _made(sitting: Sitting, sheet: Sheet, says: Callable[[int], DarkTestRead]) -> MadeTest:
    region = region_of(sitting)
    readings = [reading for reading in sheet.readings if region in reading.regions]
    at = sheet.when or sitting.when
    return MadeTest(
        number=sheet.number,
        mark=mark_of(sheet),
        when=f"{day(at)}, {clock(at)}" if sheet.when else day(at),
        note=sheet.note,
        href=sheet_href(sitting, sheet.number),
        full_href=read_href(sitting, sheet.number),
        post_href=f"{dark_test_href(sitting)}/{sheet.number}",
        seen=_seen(readings[-1].regions[region]) if readings else "",
        read=dark_read_told(says(sheet.number)) if readings else None,
        state="dry" if counting(sheet) is not None else "wet",
    )
