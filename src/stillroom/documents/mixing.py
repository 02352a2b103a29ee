"""Chemistry as it is exchanged: a bath that was mixed, its life, a mixing list, a label."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AwareDatetime, Field

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.wet import Status
from stillroom.wetline import StepId

PercentOf = Literal["w/w", "w/v", "v/v", "volumes"]
"""Of a percentage: grams in 100 g, grams in 100 ml, millilitres in 100 ml; and the litres of
oxygen that one litre of peroxide gives."""
VolumeMl = Annotated[float, Field(ge=10, le=200_000)]
Life = Literal["good", "last", "past"]
BathKind = Literal["developer", "bleach", "clear", "stop", "fixer", "wash_aid"]


class Stock(Strict):
    """A bottle as its label says: what, how strong, by what percentage."""

    substance: Name
    percent: Annotated[float, Field(gt=0, le=500)]
    basis: PercentOf = "w/w"
    density_g_ml: Annotated[float, Field(ge=0.7, le=2.5)] | None = None
    """As the label prints it; left out: by the table."""


class Timed(Strict):
    """How long the bath took to show its work: seconds to clear, or to the first black."""

    when: AwareDatetime
    seconds: Annotated[float, Field(gt=0, le=7200)]


class Mix(Strict):
    """A bath that was mixed, and what became of it."""

    id: Name
    recipe: Name
    name: Line = ""
    when: AwareDatetime
    volume_ml: VolumeMl
    steps: tuple[StepId, ...] = ()
    """Where it stands; left out: where its recipe says."""
    stock: Stock | None = None
    """The acid or peroxide that went in; left out: not said."""
    dilution: Line = ""
    """Parts of stock and water, such as ``1+9``, for what is diluted from a bottle."""
    bisulfate: bool = False
    """Bisulfate went in in the place of sulfuric acid."""
    forms: dict[Name, Name] = {}
    """Another form of a salt: ``sodium sulfite`` to ``sodium sulfite heptahydrate``."""
    used_before: Annotated[float, Field(ge=0, le=10_000)] = 0.0
    """8x10 sheets it had done already when it was written down."""
    timed: Annotated[tuple[Timed, ...], Field(max_length=500)] = ()
    thrown_out: AwareDatetime | None = None
    note: Text = ""


class Clock(Strict):
    """One of the clocks of a bath: how much of it has run."""

    of: Literal["sheets", "dilution", "hours", "time"]
    """Silver by sheets, water carried in, hours since mixed, time it takes."""
    used: float
    limit: float | None
    """Null: it has none."""
    unit: Line
    text: Text
    status: Status


class Bath(Strict):
    """A bath that stands in the line, and what its clocks say."""

    id: Name
    name: Line
    recipe: Name
    steps: tuple[StepId, ...]
    told: Text
    """Its life in one line."""
    sheets_used: float
    """8x10 sheets, or as much area [1]."""
    sheets_good: float | None
    """How many it is good for by the first of its clocks; null: nothing says."""
    good_until: AwareDatetime | None
    life: Life
    clocks: tuple[Clock, ...] = ()


class Baths(Strict):
    """Every bath that stands in the line."""

    stillroom: Literal["baths/1"] = "baths/1"
    baths: tuple[Bath, ...]


class Alternative(Strict):
    """The same amount of a pure substance, out of a bottle of another strength."""

    stock: Line
    amount: float
    unit: Literal["ml", "g"]


class MixLine(Strict):
    """One thing to weigh or measure, in the order in which it goes in."""

    substance: Name
    name: Line
    amount: float
    unit: Literal["g", "ml"]
    low: float | None = None
    """The range over which the recipe works."""
    high: float | None = None
    pure_g: float | None = None
    """Of a bottle: grams of the pure substance in it."""
    said: Line = ""
    """What the bottle is, such as ``37 % w/w, 1.277 g/ml``."""
    alternatives: tuple[Alternative, ...] = ()
    """Where the strength was not said: the same out of the usual bottles."""
    status: Status
    source: Line
    note: Text = ""


class MixPart(Strict):
    """One bottle or tray to make up."""

    name: Line
    volume_ml: float
    water_first_ml: float
    lines: tuple[MixLine, ...]
    water_text: Text


class Hazard(Strict):
    """What the labels of the substances that go in say."""

    signal: Literal["Danger", "Warning", ""]
    pictograms: tuple[Line, ...]
    """In words."""
    statements: tuple[Line, ...]
    wear: tuple[Line, ...]
    of: tuple[Line, ...]
    """The substances it was put together from."""


class MixingList(Strict):
    """What to put together for a volume of a bath, in order, with what to be careful of."""

    stillroom: Literal["mix/1"] = "mix/1"
    recipe: Name
    name: Line
    kind: BathKind
    volume_ml: float
    temperature_c: Line
    parts: tuple[MixPart, ...]
    steps: tuple[Text, ...]
    """What to do, in order."""
    keeps: Text
    capacity: Text
    from_silver: Text
    """Of a bleach: what its silver alone would allow, which practice never reaches."""
    tired: Text
    """How it looks when it is spent."""
    notes: tuple[Text, ...]
    """What differs from the recipe, and what that does."""
    never: tuple[Text, ...]
    cautions: tuple[Text, ...]
    hazard: Hazard
    not_checked: Text
    """What is no measured figure here."""


class Label(Strict):
    """What stands on the bottle or tray of a bath that was mixed."""

    stillroom: Literal["label/1"] = "label/1"
    mix: Name
    name: Line
    strength: tuple[Line, ...]
    """What is in it, thing by thing."""
    volume: Line
    mixed: AwareDatetime
    good_until: AwareDatetime | None
    stands_in: Line
    hazard: Hazard
    never: tuple[Text, ...]
    collect: Text
    supplier: Text


class Solution(Strict):
    """A percent solution of one substance."""

    stillroom: Literal["solution/1"] = "solution/1"
    name: Line
    volume: float
    unit: Literal["ml", "g"]
    """Of what is made: by volume, or by mass where the percentage is of the mass."""
    amount: float
    amount_unit: Literal["g", "ml"]
    out_of: Line = ""
    """The bottle it is taken from."""
    steps: tuple[Text, ...]
    cautions: tuple[Text, ...]
    hazard: Hazard
    not_checked: Text


class WashRow(Strict):
    """Changes of water for what a sheet carries."""

    carry_ml: float
    changes: int


class Wash(Strict):
    """How a sheet is washed by changes of water."""

    stillroom: Literal["wash/1"] = "wash/1"
    paper: Literal["rc", "fibre"]
    volume_ml: float
    """Of each change, for an 8x10."""
    left: float
    """Share of what it carried that may be left [1]."""
    rows: tuple[WashRow, ...]
    """For the least and the most that a sheet carries."""
    least_min: float
    """Fibre: time in water until its base has given up enough; 0 for resin-coated [min]."""
    longest_min: float
    sentence: Text
