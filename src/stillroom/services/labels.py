"""The label of a bath: name, strength, date, hazard words, and that it is collected."""

from __future__ import annotations

from datetime import datetime, timedelta

from stillroom.documents.mixing import Label, Mix, MixLine
from stillroom.documents.read import validated
from stillroom.errors import NotPossible, shown
from stillroom.services.baths import name_of_mix, recipe_of, steps_of_mix
from stillroom.services.cautions import COLLECT
from stillroom.services.mixing import Asked, mixing_list
from stillroom.services.mixing_words import amount_text
from stillroom.wetline.chemistry import Bottle

_SUPPLIER = "Words of the labels of what went in; the suppliers' own data sheets go first."


def asked_of(mix: Mix) -> Asked:
    """How a bath differed from its recipe."""
    stock = mix.stock
    bottle = (
        None
        if stock is None
        else Bottle(stock.substance, stock.percent, stock.basis, stock.density_g_ml)
    )
    return Asked(stock=bottle, forms=mix.forms, bisulfate=mix.bisulfate, dilution=mix.dilution)


def said_of(asked: Asked) -> dict[str, object]:
    """The same as a bath keeps it: only what was said."""
    said: dict[str, object] = {}
    if asked.stock is not None:
        stock = {
            "substance": asked.stock.name,
            "percent": asked.stock.percent,
            "basis": asked.stock.basis,
        }
        if asked.stock.density_g_ml is not None:
            stock["density_g_ml"] = asked.stock.density_g_ml
        said["stock"] = stock
    more = {"dilution": asked.dilution, "bisulfate": asked.bisulfate, "forms": dict(asked.forms)}
    return said | {key: value for key, value in more.items() if value}


def label_of(mix: Mix) -> Label:
    """What to write on a bath.

    Raises
    ------
    NotPossible
        If the tool does not know its recipe.
    """
    recipe = recipe_of(mix)
    if recipe is None:
        raise NotPossible(f"No recipe called {shown(mix.recipe)} is known here: label it by hand.")
    made = mixing_list(recipe, mix.volume_ml, asked_of(mix))
    litres = mix.volume_ml / 1000
    strength = [_in_it(line, litres) for part in made.parts for line in part.lines]
    if mix.dilution:
        strength.append(f"thinned {mix.dilution}")
    hours = recipe.keeps.hours
    return Label(
        mix=mix.id,
        name=name_of_mix(mix),
        strength=tuple(strength),
        volume=amount_text(mix.volume_ml, "ml"),
        mixed=mix.when,
        good_until=None if hours is None else mix.when + timedelta(hours=hours),
        stands_in=", ".join(step.replace("_", " ") for step in steps_of_mix(mix)),
        hazard=made.hazard,
        never=made.never[:4],
        collect=COLLECT,
        supplier=_SUPPLIER,
    )


def _in_it(line: MixLine, litres: float) -> str:
    name = line.name.removeprefix("pure ")
    if line.pure_g is None:
        return f"{name} {amount_text(line.amount / litres, line.unit)} per litre"
    out_of = f", out of {line.said}" if line.said else ""
    return f"{name} {amount_text(line.pure_g / litres, 'g')} per litre{out_of}"


def planned_label(recipe: str, volume_ml: float, asked: Asked, now: datetime) -> Label:
    """The label of a bath as if it were mixed now; nothing is written.

    Raises
    ------
    UnknownName, OutOfRange, BadValue, NotPossible
        As of `mixing_list`.
    """
    mixing_list(recipe, volume_ml, asked)
    said = {"id": "planned", "recipe": recipe, "when": now, "volume_ml": volume_ml}
    return label_of(validated(Mix, said | said_of(asked)))
