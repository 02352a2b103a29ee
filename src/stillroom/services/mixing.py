"""The mixing list of a bath: any volume, another acid, another form of a salt, a dilution."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.documents.mixing import (
    Alternative,
    Hazard,
    MixingList,
    MixLine,
    MixPart,
)
from stillroom.documents.recipes import Ingredient, Recipe, RecipePart
from stillroom.errors import BadValue, NotPossible, in_range
from stillroom.services.cautions import COLLECT, NOT_CHECKED, WEAR
from stillroom.services.mixing_words import amount_text, count_text, part_steps
from stillroom.services.recipes import recipe_called
from stillroom.services.silver import from_silver
from stillroom.wetline import chemistry as chem
from stillroom.wetline.chemistry import Bottle

LEAST_ML, MOST_ML = 10.0, 200_000.0
_WATER_SHARE = 0.75
_FULL_SHARE = 0.98
"""What liquids may take of a part, so that the rest still dissolves in water."""
BISULFATE = "sodium bisulfate"
_ACIDS = frozenset({"sulfuric acid", "nitric acid", "hydrochloric acid", "acetic acid"})
_RESTRICTED = {"sulfuric acid": 15.0, "hydrogen peroxide": 12.0, "nitric acid": 3.0}
"""Above these strengths the European Union keeps them from the general public (regulation
2019/1148, seen in summaries) [% w/w]."""


@dataclass(frozen=True, slots=True)
class Asked:
    """How a bath is to be mixed, where it differs from its recipe.

    Attributes
    ----------
    stock : Bottle or None
        The acid or peroxide there is; None: not said, so usual bottles are listed.
    forms : mapping of str to str
        Another form of a salt: ``sodium sulfite`` to ``sodium sulfite heptahydrate``.
    bisulfate : bool
        Bisulfate in the place of sulfuric acid.
    dilution : str
        Parts of stock and water, such as ``1+9``.
    """

    stock: Bottle | None = None
    forms: Mapping[str, str] = field(default_factory=dict)
    bisulfate: bool = False
    dilution: str = ""


def mixing_list(recipe: str | Recipe, volume_ml: float, asked: Asked | None = None) -> MixingList:
    """What to put together for a volume of a bath.

    Parameters
    ----------
    recipe : str or Recipe
        Which.
    volume_ml : float
        How much of it, as it is used [ml].
    asked : Asked, optional
        What differs from the recipe.

    Returns
    -------
    MixingList

    Raises
    ------
    UnknownName
        If there is no such recipe or substance.
    OutOfRange
        If the volume is none: 10 ml to 200 L.
    BadValue
        If a bottle is too weak, or stands for another substance.
    NotPossible
        If things would meet that must not, or the recipe has no use for what was asked.

    Examples
    --------
    >>> made = mixing_list("dichromate-strong", 1000, Asked(stock=Bottle("sulfuric acid", 37)))
    >>> round(made.parts[0].lines[1].amount, 1)
    45.7
    """
    found = recipe_called(recipe) if isinstance(recipe, str) else recipe
    volume = in_range("volume", volume_ml, LEAST_ML, MOST_ML, "ml")
    wanted = asked or Asked()
    _check_asked(found, wanted)
    notes: list[str] = []
    parts: tuple[MixPart, ...]
    if found.ready_made is not None:
        parts = (_thinned(found, volume, wanted, notes),)
    else:
        parts = _parts(found, volume, wanted, notes)
    bottles = () if wanted.stock is None else (wanted.stock,)
    return MixingList(
        recipe=found.id,
        name=found.name,
        kind=found.kind,
        volume_ml=volume,
        temperature_c=found.use_c,
        parts=parts,
        steps=_steps(found, parts),
        keeps=found.keeps.text,
        capacity=_capacity(found, volume, wanted.dilution),
        from_silver=from_silver(found, parts, volume),
        tired=found.tired,
        notes=tuple(notes),
        never=_never(parts),
        cautions=_cautions(found, bottles),
        hazard=hazard_of(parts, bottles),
        not_checked=NOT_CHECKED,
    )


def hazard_of(parts: tuple[MixPart, ...], bottles: tuple[Bottle, ...] = ()) -> Hazard:
    """What the labels of everything that goes in say."""
    liquid = {bottle.name for bottle in bottles}
    names = tuple(
        dict.fromkeys(
            line.substance for part in parts for line in part.lines if line.substance not in liquid
        )
    )
    told = chem.together(names, bottles)
    return Hazard(
        signal=told.signal,
        pictograms=told.pictograms,
        statements=told.statements,
        wear=told.wear,
        of=tuple(chem.substance(name).name for name in told.of),
    )


def liquid_of(recipe: Recipe) -> Ingredient | None:
    """The acid or peroxide of a recipe, whose bottle must be asked about; None: it has none."""
    for part in recipe.parts:
        for each in part.ingredients:
            if each.is_liquid:
                return each
    return None


# ── What was asked ──────────────────────────────────────────────────────────────────────────


def _check_asked(recipe: Recipe, asked: Asked) -> None:
    liquid = liquid_of(recipe)
    if asked.stock is not None:
        chem.check_apart(*recipe.substances, asked.stock.name)
        if liquid is None:
            raise NotPossible(
                f"{recipe.name} takes no acid or peroxide out of a bottle: leave the strength out."
            )
        if asked.stock.name != liquid.substance:
            raise BadValue(
                "bottle",
                asked.stock.name,
                f"{recipe.id} takes {liquid.substance}; another does not stand in for it",
            )
    if asked.bisulfate:
        if liquid is None or liquid.substance != "sulfuric acid":
            raise NotPossible(
                f"{recipe.name} takes no sulfuric acid, so bisulfate stands in for nothing."
            )
        if asked.stock is not None:
            raise NotPossible("Say either a bottle of acid or bisulfate in its place, not both.")
    for written in asked.forms:
        known = chem.substance(written).id
        held = {BISULFATE, *recipe.substances} if asked.bisulfate else set(recipe.substances)
        if known not in held:
            raise NotPossible(f"{recipe.name} holds no {known}: leave its other form out.")
    if asked.dilution and recipe.ready_made is None and not recipe.stock_dilutions:
        raise NotPossible(f"{recipe.name} is used as it is mixed: leave the dilution out.")


# ── What goes in ────────────────────────────────────────────────────────────────────────────


def _parts(recipe: Recipe, volume: float, asked: Asked, notes: list[str]) -> tuple[MixPart, ...]:
    stock_ml = volume
    if asked.dilution:
        stock, water = chem.parse_parts(asked.dilution)
        stock_ml, water_ml = chem.parts_ml(volume, stock, water)
        notes.append(
            f"Of the stock {amount_text(stock_ml, 'ml')} with {amount_text(water_ml, 'ml')} of "
            f"water make {amount_text(volume, 'ml')} of the bath."
        )
    elif recipe.stock_dilutions:
        said = ", ".join(
            f"{text} for the {step.replace('_', ' ')}"
            for step, text in recipe.stock_dilutions.items()
        )
        notes.append(f"This is a stock: thinned {said}.")
    return tuple(_part(part, stock_ml, asked, notes) for part in recipe.parts)


def _part(part: RecipePart, bath_ml: float, asked: Asked, notes: list[str]) -> MixPart:
    volume = bath_ml * part.share
    lines = [
        _bisulfate(each, bath_ml, asked, notes)
        if asked.bisulfate and each.substance == "sulfuric acid"
        else _liquid(each, bath_ml, asked, notes)
        if each.is_liquid
        else _solid(each, bath_ml, asked, notes)
        for each in part.ingredients
    ]
    liquids_ml = sum(line.amount for line in lines if line.unit == "ml")
    if liquids_ml > _FULL_SHARE * volume:
        line = max((x for x in lines if x.unit == "ml"), key=lambda x: x.amount)
        raise BadValue(
            f"strength of {line.substance}",
            line.said.partition(",")[0],
            f"it would take {amount_text(line.amount, 'ml')} of it for "
            f"{amount_text(volume, 'ml')} of bath; use a stronger bottle",
        )
    water_ml = round(min(_WATER_SHARE * volume, 0.9 * (volume - liquids_ml)))
    of = f" of part {part.name}" if part.name else ""
    return MixPart(
        name=part.name,
        volume_ml=volume,
        water_first_ml=water_ml,
        lines=tuple(lines),
        water_text=f"Fill up with water to {amount_text(volume, 'ml')}{of}.",
    )


def _solid(each: Ingredient, bath_ml: float, asked: Asked, notes: list[str]) -> MixLine:
    written = each.substance
    bought = next(
        (form for name, form in asked.forms.items() if chem.substance(name).id == written), written
    )
    form = chem.substance(bought)
    scale = chem.in_form_g(bath_ml / 1000, written, form.id)
    if form.id != written:
        notes.append(
            f"{amount_text(scale * each.per_litre, 'g')} of {form.name} hold as much as "
            f"{amount_text(bath_ml / 1000 * each.per_litre, 'g')} of "
            f"{chem.substance(written).name}."
        )
    return MixLine(
        substance=form.id,
        name=form.name,
        amount=scale * each.per_litre,
        unit="g",
        low=None if each.low is None else scale * each.low,
        high=None if each.high is None else scale * each.high,
        status=each.status,
        source=each.source,
        note=each.note,
    )


def _liquid(each: Ingredient, bath_ml: float, asked: Asked, notes: list[str]) -> MixLine:
    litres = bath_ml / 1000
    written = (
        None
        if each.bottle is None
        else Bottle(each.substance, each.bottle.percent, each.bottle.basis)
    )
    per_unit_g = 1.0 if written is None else written.g_per_ml
    pure_g = litres * each.per_litre * per_unit_g
    low, high = (None if x is None else litres * x * per_unit_g for x in (each.low, each.high))
    name = chem.substance(each.substance).name
    if asked.stock is None:
        usual = [Bottle(each.substance, percent) for percent in chem.USUAL[each.substance]]
        note = (
            "How strong is your bottle? Its label says; the strength is never taken for granted."
        )
        return MixLine(
            substance=each.substance,
            name=f"pure {name}",
            amount=pure_g,
            unit="g",
            low=low,
            high=high,
            pure_g=pure_g,
            alternatives=tuple(
                Alternative(
                    stock=f"{b.percent:g} % w/w", amount=chem.bottle_for_ml(pure_g, b), unit="ml"
                )
                for b in usual
                if chem.bottle_for_ml(pure_g, b) <= _FULL_SHARE * bath_ml
            ),
            status=each.status,
            source=each.source,
            note=" ".join(text for text in (note, each.note) if text),
        )
    stock = asked.stock
    amount = chem.bottle_for_ml(pure_g, stock)
    _note_bottle(each, written, stock, bath_ml, notes)
    return MixLine(
        substance=each.substance,
        name=name,
        amount=amount,
        unit="ml",
        low=None if low is None else chem.bottle_for_ml(low, stock),
        high=None if high is None else chem.bottle_for_ml(high, stock),
        pure_g=pure_g,
        said=stock.text,
        status="computed",
        source=each.source,
        note=each.note,
    )


def _note_bottle(
    each: Ingredient, written: Bottle | None, stock: Bottle, bath_ml: float, notes: list[str]
) -> None:
    litres = bath_ml / 1000
    if written is not None:
        said_ml = litres * each.per_litre
        amount = chem.equal_by_mass_ml(said_ml, written, stock)
        if abs(amount - said_ml) > 0.005 * said_ml:
            wrong = chem.by_percentages_ml(said_ml, written, stock)
            more = "less" if amount > said_ml else "more"
            text = (
                f"By mass, {amount_text(amount, 'ml')} of {stock.percent_ww:g} % hold as much "
                f"acid as {amount_text(said_ml, 'ml')} of {written.percent:g} %; take "
                f"{amount_text(abs(amount - said_ml), 'ml')} {more} water."
            )
            if abs(wrong - amount) > 0.03 * amount:
                text += (
                    f" The percentages alone would say {amount_text(wrong, 'ml')}: wrong, for the "
                    "densities differ."
                )
            notes.append(text)
    if each.substance == "sulfuric acid":
        rise = chem.warming_c(chem.acid_mol(litres * each.per_litre, written or stock), bath_ml)
        notes.append(
            f"Concentrated acid warms the bath by about {rise:.0f} °C, weaker acid by less: let "
            "it come back before use."
        )


def _bisulfate(each: Ingredient, bath_ml: float, asked: Asked, notes: list[str]) -> MixLine:
    if each.bottle is None:  # a bottle goes with millilitres, which acids are given in
        raise NotPossible("This recipe does not say how strong its acid is.")
    bottle = Bottle(each.substance, each.bottle.percent, each.bottle.basis)
    moles = chem.acid_mol(bath_ml / 1000 * each.per_litre, bottle)
    form = chem.substance(asked.forms.get(BISULFATE, BISULFATE))
    grams = chem.in_form_g(chem.bisulfate_g(moles), BISULFATE, form.id)
    per_litre = moles / (bath_ml / 1000)
    acid = chem.ideal_ph(chem.free_acid_mol_l(per_litre))
    salt = chem.ideal_ph(chem.free_acid_mol_l(2 * per_litre, strong_mol_l=0))
    notes.append(
        f"Bisulfate holds as many hydrogen ions, but fewer are free: pH {salt:.1f} in the place "
        f"of {acid:.1f} (reckoned, ideal). It bleaches more slowly: go by eye."
    )
    return MixLine(
        substance=form.id,
        name=form.name,
        amount=grams,
        unit="g",
        status="computed",
        source=each.source,
        note="In the place of sulfuric acid.",
    )


def _thinned(recipe: Recipe, volume: float, asked: Asked, notes: list[str]) -> MixPart:
    ready = recipe.ready_made
    if ready is None:  # the caller looked
        raise NotPossible(f"{recipe.name} is mixed, not thinned.")
    dilution = asked.dilution or ready.dilution
    stock_ml, water_ml = chem.parts_ml(volume, *chem.parse_parts(dilution))
    if asked.forms:
        raise NotPossible(f"{recipe.name} is bought ready-made: it has no other form.")
    if not asked.dilution:
        notes.append(
            f"Thinned {dilution}, which is common practice: your maker's word goes first."
        )
    return MixPart(
        name="",
        volume_ml=volume,
        water_first_ml=round(water_ml, 1),
        lines=(
            MixLine(
                substance=ready.substance,
                name=chem.substance(ready.substance).name,
                amount=stock_ml,
                unit="ml",
                said=dilution,
                status="computed" if asked.dilution else ready.status,
                source=ready.source,
                note=ready.note,
            ),
        ),
        water_text=f"That makes {amount_text(volume, 'ml')}.",
    )


# ── What is said of it ──────────────────────────────────────────────────────────────────────


def _steps(recipe: Recipe, parts: tuple[MixPart, ...]) -> tuple[str, ...]:
    steps = [WEAR]
    for part in parts:
        steps += part_steps(part, recipe.mixing_c, is_acid=_ACIDS)
    steps += recipe.extra_steps
    steps.append("Label it: name, strength, date, hazard. " + COLLECT)
    return tuple(steps)


def _capacity(recipe: Recipe, volume: float, dilution: str) -> str:
    capacity = recipe.capacity
    if capacity.rc is None:
        return f"No count of sheets is known: {capacity.text}." if capacity.text else ""
    if recipe.stock_dilutions and not dilution:
        return f"Counted when it is thinned; {capacity.text}."
    passes = capacity.passes_a_sheet * len(recipe.steps)

    def sheets(a_litre: float | None) -> str:
        return "" if a_litre is None else count_text(a_litre / passes * volume / 1000)

    text = f"About {sheets(capacity.rc)} sheets of 8x10"
    if capacity.fibre is not None and capacity.fibre != capacity.rc:
        text += f" resin-coated, {sheets(capacity.fibre)} fibre"
    if capacity.low is not None and capacity.high is not None:
        text += f" ({sheets(capacity.low)} to {sheets(capacity.high)})"
    return f"{text}{'; ' if capacity.text else ''}{capacity.text}."


def _never(parts: tuple[MixPart, ...]) -> tuple[str, ...]:
    substances = [line.substance for part in parts for line in part.lines]
    return (*chem.told_of(*substances), *chem.ALWAYS[:1])


def _cautions(recipe: Recipe, bottles: tuple[Bottle, ...]) -> tuple[str, ...]:
    said = list(recipe.cautions)
    if recipe.warmest_c is not None:
        said.append(f"Not warmer than {recipe.warmest_c:g} °C.")
    for bottle in bottles:
        limit = _RESTRICTED.get(bottle.name)
        if limit is not None and bottle.percent_ww > limit:
            said.append(
                f"In the European Union {bottle.name} above {limit:g} % w/w is kept from the "
                "general public; other places have rules of their own."
            )
    return tuple(said)
