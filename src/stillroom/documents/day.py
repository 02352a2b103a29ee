"""What the tool answers about a day: sheets and sitters, what holds it up, what to pack."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AwareDatetime, Field

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.wet import Status, Vessel

HeldUpBy = Literal[
    "tank", "tray", "hands", "holders", "chair", "sitters", "bath", "paper", "the way itself"
]
"""What keeps more sheets from being through: the way itself where one sheet's own time counts."""
Count = Annotated[int, Field(ge=0)]


class MomentRange(Strict):
    """A moment; `q05` to `q95` is nine in ten."""

    q05: AwareDatetime
    q50: AwareDatetime
    q95: AwareDatetime


class Assumed(Strict):
    """A figure the day was reckoned with, and how it is known."""

    name: Line
    low: float
    high: float
    """Nine in ten."""
    unit: Line
    status: Status


class SheetPlanned(Strict):
    """One sheet of the day as it is planned."""

    sitter: int | None
    """Which sitter of the day, counted from 1; null: it was exposed before."""
    sheet: int
    """Which of their sheets, or of all."""
    exposed_from: AwareDatetime | None
    """When the sitter sits down for it."""
    into_line: AwareDatetime
    readable: AwareDatetime
    """When it can be read wet."""
    washed: AwareDatetime


class SitterPlanned(Strict):
    """When one sitter comes and has a sheet, the middle of many days lived."""

    sitter: int
    comes: AwareDatetime
    """To be asked for, to five minutes."""
    done: MomentRange
    """When their last sheet is through the line."""
    stays_min: float
    """From coming to the last sheet's reading [min]."""


class HeldUp(Strict):
    """What holds the day up."""

    kind: HeldUpBy
    name: Line
    text: Text


class OneMore(Strict):
    """What one more of a thing buys."""

    what: Line
    saves_min: float
    """How much earlier the planned day is through [min]."""
    text: Text


class BathNeeded(Strict):
    """One bath of the day."""

    recipe: Name
    name: Line
    litres: float
    """What the day's sheets take, and at least what covers a sheet in its tray [L]."""
    sheets_a_litre: float | None
    """Sheets of this size that a litre is good for; null: nothing counts them [1/L]."""
    given_litres: float | None
    """What was said to be there [L]."""
    good_for: int | None
    """Sheets that the given litres do [1]."""
    mixes: Count
    """How often it is mixed: its hours may end before its sheets."""
    text: Text


class DayBag(Strict):
    """What to pack."""

    sheets: Count
    """Paper to load or carry, spares among it."""
    spares: Count
    """Of them beyond one a sitter."""
    holder_sides: Count
    holder_sides_there: int | None
    """Sides of the kit that fit; null where nothing is known of holders."""
    baths: tuple[BathNeeded, ...]
    waste_litres: float
    """Used baths that are carried home or to a collection point [L]."""
    load_a: float | None
    """What heads and lamps draw at once [A]; null where it is not known."""
    circuits: int | None
    """Circuits that takes; null where a circuit's limit is not known."""
    items: tuple[tuple[Line, Text], ...]
    """Everything else, each with what it is for."""


class OtherPlan(Strict):
    """The same day otherwise: two sheets in hand, or two sitters by turns."""

    what: Literal["pairs", "one_by_one", "by_turns"]
    finish: AwareDatetime
    sheets: float
    """Paper used on average [sheets]."""
    saves_min: float
    stays_min: float
    """How long a sitter stays, on average [min]."""
    text: Text


class Day(Strict):
    """How many sheets and sitters a day holds, and when it is through."""

    stillroom: Literal["day/1"] = "day/1"
    sitting: Name | None
    """The sitting whose odds, camera and lights were taken; null where there is none."""
    process: Name
    process_name: Line
    vessel: Vessel
    tanks: int
    """Tanks or drums; 1 where trays are used."""
    developer_trays: int
    hands: int
    sitters: int
    """0: sheets that were exposed before."""
    together: int
    """Sheets exposed before the first of them is read."""
    by_turns: int
    """Sitters in the studio at once."""
    p_lands: float
    """Chance that one sheet lands."""
    p_lands_from: Text
    sheets_each: int
    """Carried for each sitter; so many land at least one 9 in 10, or as was said."""
    sheets_used: float
    """Used on average by all [sheets]."""
    landed: float
    """Sitters who have a sheet that lands, on average; of exposed sheets those that land."""
    begins: AwareDatetime
    ends: AwareDatetime | None
    """By when it has to be through; null: open."""
    set_up: AwareDatetime
    """When mixing begins."""
    finish: MomentRange
    if_all_used: AwareDatetime
    """If every spare is used, at the middle of everything else."""
    cleared: AwareDatetime
    """Cleared up after the middle finish."""
    p_by_end: float | None
    """Chance that it is through by `ends`."""
    fits: int | None
    """Sitters (or exposed sheets) that are through by `ends` in one day of two."""
    flow_min: float
    """One sheet through the line, never waiting [min]."""
    per_hour: float
    """Sheets an hour that the line alone bears, never stopping [1/h]."""
    per_hour_by: Line
    minutes_per_landed: float
    paper_per_landed: float
    is_best: bool
    """Whether no order of the planned sheets ends earlier."""
    least_finish: AwareDatetime
    """No order of them ends before this."""
    planned: tuple[SheetPlanned, ...]
    asked_for: tuple[SitterPlanned, ...]
    held_up: HeldUp
    one_more: tuple[OneMore, ...]
    otherwise: tuple[OtherPlan, ...]
    bag: DayBag
    assumed: tuple[Assumed, ...]
    notes: tuple[Text, ...]
    cautions: tuple[Text, ...]
    sentence: Text
