"""Recipes of baths as data: what goes in, in order, and how each figure is known."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.mixing import BathKind, PercentOf
from stillroom.documents.wet import Status
from stillroom.wetline import StepId

Family = Literal["dichromate", "permanganate", "peroxide", ""]


class Told(Strict):
    """How a figure is known."""

    status: Status
    source: Line = ""
    """Title of what it was taken from; empty where there is none."""


class RecipeBottle(Strict):
    """The strength a recipe's millilitres are of."""

    percent: Annotated[float, Field(gt=0, le=100)]
    basis: PercentOf = "w/w"


class Ingredient(Told):
    """One thing that goes in."""

    substance: Name
    per_litre: Annotated[float, Field(gt=0, le=1000)]
    """In a litre of the bath as it is used, whatever bottle it stands in before [g] or [ml]."""
    unit: Literal["g", "ml"] = "g"
    low: Annotated[float, Field(gt=0, le=1000)] | None = None
    high: Annotated[float, Field(gt=0, le=1000)] | None = None
    is_liquid: bool = False
    """Bought as a liquid of some strength."""
    bottle: RecipeBottle | None = None
    """Of millilitres: how strong the recipe's bottle is."""
    note: Text = ""

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.unit == "ml") != (self.bottle is not None):
            msg = f"{self.substance!r} in ml needs its bottle, in g none"
            raise ValueError(msg)
        if not (self.low or self.per_litre) <= self.per_litre <= (self.high or self.per_litre):
            msg = f"{self.substance!r} must lie from its least to its most"
            raise ValueError(msg)
        return self


class RecipePart(Strict):
    """One bottle of a recipe; most have one."""

    name: Line = ""
    share: Annotated[float, Field(gt=0, le=1)] = 1.0
    """Of the bath's volume."""
    ingredients: Annotated[tuple[Ingredient, ...], Field(min_length=1)]


class ReadyMade(Told):
    """A maker's bottle that is only thinned."""

    substance: Name
    dilution: Line
    note: Text = ""


class Keeping(Told):
    """How long it keeps."""

    text: Text
    hours: Annotated[float, Field(gt=0, le=10_000)] | None = None
    """Mixed and in use; null: no hours count [h]."""


class Capacity(Told):
    """8x10 sheets that a litre is good for."""

    rc: Annotated[float, Field(gt=0, le=1000)] | None = None
    fibre: Annotated[float, Field(gt=0, le=1000)] | None = None
    low: Annotated[float, Field(gt=0, le=1000)] | None = None
    high: Annotated[float, Field(gt=0, le=1000)] | None = None
    passes_a_sheet: Annotated[float, Field(gt=0, le=10)] = 1.0
    """What one sheet counts for in each step the bath stands in."""
    text: Text = ""


class Recipe(Strict):
    """A bath: what it is for, what goes in, what it bears."""

    id: Name
    name: Line
    kind: BathKind
    family: Family = ""
    steps: Annotated[tuple[StepId, ...], Field(min_length=1)]
    """Where it stands in the line."""
    parts: tuple[RecipePart, ...] = ()
    ready_made: ReadyMade | None = None
    stock_dilutions: dict[StepId, Line] = {}
    """Of a stock: how it is thinned for a step."""
    mixing_c: Line = "18 to 22"
    """Temperature of the water it is mixed in [degrees C]."""
    use_c: Line = "18 to 22"
    warmest_c: float | None = None
    extra_steps: tuple[Text, ...] = ()
    """What is done after the list."""
    keeps: Keeping
    capacity: Capacity
    tired: Text = ""
    """How it looks when it is spent."""
    suits: Text = ""
    cautions: tuple[Text, ...] = ()

    @model_validator(mode="after")
    def _one(self) -> Self:
        if bool(self.parts) == (self.ready_made is not None):
            msg = f"recipe {self.id!r} takes either parts or a ready-made bottle"
            raise ValueError(msg)
        shares = sum(part.share for part in self.parts)
        if self.parts and abs(shares - 1) > 1e-9:
            msg = f"the parts of recipe {self.id!r} make {shares:g} of it"
            raise ValueError(msg)
        return self

    @property
    def substances(self) -> tuple[str, ...]:
        """Everything that goes in, by id."""
        if self.ready_made is not None:
            return (self.ready_made.substance,)
        return tuple(each.substance for part in self.parts for each in part.ingredients)


class Recipes(Strict):
    """All built-in recipes."""

    stillroom: Literal["recipes/1"] = "recipes/1"
    recipes: tuple[Recipe, ...]
