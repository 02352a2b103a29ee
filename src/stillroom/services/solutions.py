"""Percent solutions, of what is weighed and of what is bought as a liquid."""

from __future__ import annotations

import re

from stillroom.documents.mixing import Hazard, Solution
from stillroom.errors import BadValue, in_range
from stillroom.services.cautions import COLLECT, NOT_CHECKED, WEAR
from stillroom.services.mixing import LEAST_ML, MOST_ML
from stillroom.services.mixing_words import amount_text
from stillroom.wetline import chemistry as chem
from stillroom.wetline.chemistry import Bottle

_ASKED = re.compile(
    r"^\s*(?P<name>.+?)[,\s]+(?P<figure>\d+(?:[.,]\d+)?)\s*%?\s*"
    r"(?P<basis>w\s*/\s*w|w\s*/\s*v|v\s*/\s*v)?\s*$",
    re.IGNORECASE,
)


def percent_solution(asked: str, volume: float, stock: Bottle | None = None) -> Solution:
    """How a percent solution is made.

    Parameters
    ----------
    asked : str
        ``citric acid 10 %``, ``acetic acid 2 % w/v``: grams in 100 ml unless ``w/w`` (grams in
        100 g) or ``v/v`` (millilitres of the pure liquid in 100 ml) is said.
    volume : float
        How much of it [ml], or [g] where the percentage is of the mass.
    stock : Bottle, optional
        The bottle a liquid is taken from; needed for one.

    Raises
    ------
    BadValue
        If it says no strength, the bottle is too weak or missing, or a solid is asked for by
        volume.
    OutOfRange
        If the volume is none.
    UnknownName
        If there is no such substance.

    Examples
    --------
    >>> percent_solution("citric acid 10 %", 500).amount
    50.0
    """
    found = _ASKED.match(asked)
    if found is None:
        raise BadValue("solution", asked, "write it like citric acid 10 % or acetic acid 2 % w/v")
    name = chem.substance(found["name"]).id
    percent = float(found["figure"].replace(",", "."))
    basis = re.sub(r"\s", "", (found["basis"] or "w/v").lower())
    amount = in_range("volume", volume, LEAST_ML, MOST_ML, "ml")
    if name in chem.HIGHEST_PERCENT:
        return _of_liquid(name, percent, basis, amount, stock)
    if stock is not None:
        raise BadValue("bottle", stock.name, f"{name} is weighed; leave the bottle out")
    return _of_solid(name, percent, basis, amount)


def _of_solid(name: str, percent: float, basis: str, volume: float) -> Solution:
    in_range(f"percent of {name}", percent, 0.001, 60, "%")
    said = chem.substance(name).name
    if basis == "v/v":
        raise BadValue("solution", f"{percent:g} % v/v", f"{said} is weighed: say w/v or w/w")
    grams = volume * percent / 100
    if basis == "w/w":
        steps = [
            f"Weigh {amount_text(volume - grams, 'g')} of water.",
            f"Dissolve {amount_text(grams, 'g')} of {said} in it.",
        ]
    else:
        steps = [
            f"Put {amount_text(0.75 * volume, 'ml')} of water into plastic or glass.",
            f"Dissolve {amount_text(grams, 'g')} of {said}.",
            f"Fill up with water to {amount_text(volume, 'ml')}.",
        ]
    return Solution(
        name=f"{said}, {percent:g} % {basis}",
        volume=volume,
        unit="g" if basis == "w/w" else "ml",
        amount=grams,
        amount_unit="g",
        steps=(WEAR, *steps, _LABEL),
        cautions=(),
        hazard=_hazard((name,), ()),
        not_checked=NOT_CHECKED,
    )


def _of_liquid(
    name: str, percent: float, basis: str, volume: float, stock: Bottle | None
) -> Solution:
    if stock is None:
        raise BadValue(
            "bottle", "", f"how strong is your {name}? Say what its label says, such as 80 %"
        )
    if stock.name != name:
        raise BadValue("bottle", stock.name, f"the solution is of {name}")
    weak = Bottle(name, percent, "w/w" if basis == "w/w" else "v/v" if basis == "v/v" else "w/v")
    grams_ml = weak.g_per_ml
    # A percentage of the mass asks for so many grams of solution.
    made_ml = volume / weak.density if basis == "w/w" else volume
    if grams_ml > stock.g_per_ml * (1 + 1e-9):
        raise BadValue(f"strength of {name}", f"{percent:g} % {basis}", "the bottle is weaker")
    amount = made_ml * grams_ml / stock.g_per_ml
    said = chem.substance(name).name
    whole = amount_text(volume, "g" if basis == "w/w" else "ml")
    water_ml = min(0.75 * made_ml, 0.9 * (made_ml - amount))
    poured = f"{amount_text(amount, 'ml')} of {said}, {stock.text}"
    return Solution(
        name=f"{said}, {percent:g} % {basis}",
        volume=volume,
        unit="g" if basis == "w/w" else "ml",
        amount=amount,
        amount_unit="ml",
        out_of=stock.text,
        steps=(
            WEAR,
            f"Put {amount_text(water_ml, 'ml')} of water into plastic or glass.",
            f"Pour {poured}, slowly, stirring, into the water, never the other way.",
            f"Fill up with water to {whole}.",
            _LABEL,
        ),
        cautions=(*chem.ALWAYS[:1],),
        hazard=_hazard((), (stock,)),
        not_checked=NOT_CHECKED,
    )


_LABEL = f"Label it: name, strength, date, hazard. {COLLECT}"


def _hazard(names: tuple[str, ...], bottles: tuple[Bottle, ...]) -> Hazard:
    told = chem.together(names, bottles)
    return Hazard(
        signal=told.signal,
        pictograms=told.pictograms,
        statements=told.statements,
        wear=told.wear,
        of=tuple(chem.substance(name).name for name in told.of),
    )
