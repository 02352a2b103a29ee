"""What the page on chemistry shows: baths that stand, recipes, one mixing list, one label."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from stillroom.documents.mixing import Bath, Mix
from stillroom.documents.recipes import Recipe
from stillroom.services.baths import name_of_mix
from stillroom.services.mixing import liquid_of
from stillroom.services.mixing_words import amount_text
from stillroom.services.recipes import recipes
from stillroom.services.wash import wash_of
from stillroom.telling.mixing_told import KIND_WORDS, bath_rows
from stillroom.telling.names import slug
from stillroom.web.forms import Field, Form
from stillroom.wetline import chemistry as chem

ROOT = "/bench/chemistry"


@dataclass(frozen=True, slots=True)
class BathLine:
    """One bath that stands."""

    id: str
    name: str
    told: str
    life: str
    clocks: tuple[tuple[str, str], ...]
    label: str
    """Address of its label."""
    takes: str
    """What is timed of it; empty: nothing."""


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """One recipe to choose."""

    name: str
    suits: str
    address: str


@dataclass(frozen=True, slots=True)
class Chemistry:
    """The page."""

    baths: tuple[BathLine, ...]
    recipes: tuple[tuple[str, tuple[RecipeLine, ...]], ...]
    gone: tuple[tuple[str, str, str], ...]
    """Baths that were thrown out: id, name and when."""
    never: tuple[str, ...]
    washing: tuple[str, ...]


def chemistry_view(baths: Sequence[Bath], mixes: Sequence[Mix], now: datetime) -> Chemistry:
    """The page, for one book."""
    return Chemistry(
        baths=tuple(_bath_line(bath) for bath in baths),
        recipes=tuple(
            (
                words,
                tuple(
                    RecipeLine(recipe.name, recipe.suits, address_of(recipe))
                    for recipe in recipes()
                    if recipe.kind == kind
                ),
            )
            for kind, words in KIND_WORDS.items()
        ),
        gone=tuple(
            (mix.id, name_of_mix(mix), _from_to(mix, mix.thrown_out, now))
            for mix in mixes
            if mix.thrown_out is not None
        )[:40],
        never=(*(chem.sentence_of(pair) for pair in chem.NEVER), *chem.ALWAYS),
        washing=tuple(
            wash_of(paper, water_ml).sentence
            for paper in ("rc", "fibre")
            for water_ml in (500.0, 1000.0)
        ),
    )


def address_of(recipe: Recipe) -> str:
    """Where a recipe is mixed."""
    return f"{ROOT}/mix/{slug(recipe.id)}"


def _bath_line(bath: Bath) -> BathLine:
    stands = set(bath.steps)
    takes = ""
    if "bleach" in stands or "clear" in stands:
        takes = "to clear a sheet"
    elif stands & {"first_development", "second_development"}:
        takes = "to the first black"
    return BathLine(
        id=bath.id,
        name=bath.name,
        told=bath.told,
        life=bath.life,
        clocks=bath_rows(bath),
        label=f"{ROOT}/label/{slug(bath.id)}",
        takes=takes,
    )


def _from_to(mix: Mix, out: datetime, now: datetime) -> str:
    began, ended = (moment.astimezone(now.tzinfo) for moment in (mix.when, out))
    return (
        f"{amount_text(mix.volume_ml, 'ml')}, mixed {began:%Y-%m-%d %H:%M}, thrown out "
        f"{ended:%Y-%m-%d %H:%M}"
    )


# ── What is asked of a recipe ───────────────────────────────────────────────────────────────


def fields_of(recipe: Recipe) -> tuple[Field, ...]:
    """What can differ from the recipe."""
    fields = [
        Field("volume", "How much?", required=True, start="1 L", hint="such as 800 ml or 1.5 L")
    ]
    liquid = liquid_of(recipe)
    if liquid is not None:
        usual = chem.USUAL[liquid.substance]
        fields += [
            Field(
                "bottle",
                f"Your {chem.substance(liquid.substance).name}, as its label says",
                hint="by mass unless it says w/v"
                if liquid.substance != "hydrogen peroxide"
                else "by mass unless it says w/v; or 20 volumes",
                suggestions=tuple(f"{percent:g} %" for percent in usual),
            ),
            Field(
                "density", "Its density, if the label says it", "number", unit="g/ml",
                low=0.7, high=2.5,
            ),
        ]  # fmt: skip
        if liquid.substance == "sulfuric acid":
            fields.append(Field("bisulfate", "Bisulfate in the place of the acid", "tick"))
    if recipe.ready_made is not None:
        fields.append(
            Field(
                "dilution", "Parts of it and of water", start=recipe.ready_made.dilution,
                hint=recipe.ready_made.note,
            )
        )  # fmt: skip
    elif recipe.stock_dilutions:
        said = "; ".join(
            f"{d} for the {words(step)}" for step, d in recipe.stock_dilutions.items()
        )
        fields.append(
            Field("dilution", "Thinned", hint=f"left empty it is the stock; thinned {said}")
        )
    for name in dict.fromkeys(recipe.substances):
        forms = chem.forms_of(name)
        if len(forms) > 1:
            fields.append(
                Field(
                    form_field(name),
                    f"Which {chem.substance(name).group} do you have?",
                    "choice",
                    choices=tuple((form, chem.substance(form).name) for form in forms),
                    start=name,
                )
            )
    return tuple(fields)


FAULTY = (("density", "density"), ("strength", "bottle"), ("bottle", "bottle"),
          ("acid", "bottle"), ("dilution", "dilution"), ("volume", "volume"))  # fmt: skip
"""How what was refused begins, and the field that it was typed into."""


def field_of(form: Form, name: str) -> str:
    """The field that what was refused was typed into; empty where it is none of them."""
    there = {question.name for question in form.fields}
    return next((f for begins, f in FAULTY if name.startswith(begins) and f in there), "")


def form_field(name: str) -> str:
    """The field that asks for the form of a salt."""
    return f"form {name}"


def steps_of(recipe: Recipe) -> tuple[tuple[str, str], ...]:
    """Where it may stand: value and words, both trays first where there are two."""
    if len(recipe.steps) == 1:
        return ((recipe.steps[0], words(recipe.steps[0])),)
    both = (",".join(recipe.steps), " and ".join(words(step) for step in recipe.steps))
    return (*((step, words(step)) for step in recipe.steps), both)


def words(step: str) -> str:
    """A step's name as it is read."""
    return step.replace("_", " ")


def given_in(recipe: Recipe, form: Form, answers: dict[str, Any]) -> dict[str, Any]:
    """What `asked_for` is to be given, from the answers of the form."""
    forms = {
        name: answers[form_field(name)]
        for name in dict.fromkeys(recipe.substances)
        if answers.get(form_field(name), name) != name
    }
    return {
        "bottle": answers.get("bottle", ""),
        "density_g_ml": answers.get("density"),
        "forms": forms,
        "dilution": _dilution(recipe, form, answers),
        "bisulfate": bool(answers.get("bisulfate", False)),
    }


def _dilution(recipe: Recipe, form: Form, answers: dict[str, Any]) -> str:
    said = str(answers.get("dilution", ""))
    usual = recipe.ready_made.dilution if recipe.ready_made is not None else ""
    return "" if said == usual and form.ok else said
