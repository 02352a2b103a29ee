"""What to pack for a day: paper, holders, baths, containers, and the small things."""

from __future__ import annotations

import math
from datetime import timedelta

from stillroom.documents.book import Book, Settings
from stillroom.documents.day import BathNeeded, DayBag
from stillroom.documents.recipes import Recipe
from stillroom.errors import NotPossible
from stillroom.services.day.asked import Ground
from stillroom.services.day.words import bath_text
from stillroom.services.firing import firing
from stillroom.services.mixing_words import count_text
from stillroom.services.recipes import recipes, sheets_per_litre
from stillroom.wetline.chemistry import sheet_equivalents

COVER_LITRES = {"trays": 1.0, "one_tank": 0.5, "drum": 0.25}
"""What covers an 8x10 sheet, by the vessel: common practice, no source [L]."""
LEAST_LITRES = 0.25
HALF = 0.5
_KINDS = ("first_development", "second_development", "bleach", "clear", "fix", "wash_aid")


def baths_of(
    ground: Ground, sheets: float, lasts: timedelta, *, developer_is_one: bool
) -> tuple[BathNeeded, ...]:
    """Each bath of the process: litres, and how often it is mixed.

    Parameters
    ----------
    ground : Ground
        What the day is planned on.
    sheets : float
        Sheets that go through [1].
    lasts : timedelta
        How long baths stand ready.
    developer_is_one : bool
        Whether both developments are in one bath.
    """
    size = sheet_equivalents(*ground.format_mm)
    found = []
    for recipe, steps in _recipes(ground, one=developer_is_one):
        each = sheets_per_litre(recipe, ground.process.paper, steps)
        of_size = None if each is None else each / size
        hours = recipe.keeps.hours
        mixes = 1 if hours is None else max(1, math.ceil(lasts.total_seconds() / 3600 / hours))
        cover = max(LEAST_LITRES, COVER_LITRES[ground.process.vessel] * size)
        take = cover if of_size is None else max(cover * mixes, sheets / of_size)
        litres = HALF * math.ceil(take / HALF - 1e-9)
        given = ground.asked.litres
        found.append(
            BathNeeded(
                recipe=recipe.id,
                name=recipe.name,
                litres=litres,
                sheets_a_litre=of_size,
                given_litres=given,
                good_for=None if given is None or of_size is None else int(given * of_size + 1e-9),
                mixes=mixes,
                text=bath_text(recipe, litres, of_size, mixes, hours),
            )
        )
    return tuple(found)


def bag_of(
    book: Book,
    ground: Ground,
    settings: Settings | None,
    baths: tuple[BathNeeded, ...],
    *,
    sheets: int,
    ones: int,
) -> DayBag:
    """Everything to pack.

    Parameters
    ----------
    book : Book
        The whole book.
    ground : Ground
        What the day is planned on.
    settings : Settings or None
        How the next sheet is set, for heads and plugs.
    baths : tuple of BathNeeded
        The baths.
    sheets, ones : int
        Sheets carried, and how many of them one a sitter makes.
    """
    load_a = circuits = None
    if ground.sitting is not None and settings is not None:
        try:
            mains = firing(book, ground.sitting.id, settings).mains
        except NotPossible:
            mains = None
        if mains is not None:
            load_a, circuits = mains.all_a, mains.circuits_needed
    waste = sum(bath.litres for bath in baths)
    return DayBag(
        sheets=sheets,
        spares=max(0, sheets - ones),
        holder_sides=ground.sides,
        holder_sides_there=ground.sides_there,
        baths=baths,
        waste_litres=waste,
        load_a=load_a,
        circuits=circuits,
        items=_items(ground, waste),
    )


def _recipes(ground: Ground, *, one: bool) -> list[tuple[Recipe, int]]:
    """The recipes that stand in the line, and in how many steps each."""
    family = ground.process.bleach
    steps = [step.id for step in ground.process.steps if not step.is_left_out]
    found: list[tuple[Recipe, int]] = []
    for step in _KINDS:
        if step not in steps or (one and step == "second_development"):
            continue
        kinds = [r for r in recipes() if step in r.steps]
        fit = [r for r in kinds if r.family == family] or [r for r in kinds if not r.family]
        if fit:
            twice = one and step == "first_development" and "second_development" in steps
            found.append((fit[0], 2 if twice else 1))
    return found


def _items(ground: Ground, waste_litres: float) -> tuple[tuple[str, str], ...]:
    containers = max(2, math.ceil(waste_litres / 5))
    vessel = {
        "trays": "Trays, a jug and tongs for each bath",
        "one_tank": "Tank, jugs, funnel",
        "drum": "Drum, jugs, funnel",
    }[ground.process.vessel]
    return (
        ("Light meter", "one pop or one look before any paper; a spare battery"),
        ("Stepped sheet or grey strip", "to read sheets by, wet"),
        ("Tape measure", "cloth to cheek, lens to eye, the head rest"),
        (
            "Black tape and cloth",
            "for gaps of door, window and holders; look in the dark",
        ),
        ("Safelight", "red or deep amber, tested with this paper for ten minutes"),
        ("Pencil and corner clips", "a mark on the back of each sheet before it is exposed"),
        (vessel, "one for each bath, marked"),
        ("Thermometer and clock", "baths at the line’s temperature before the first sheet"),
        ("Water", "about 10 litres for washes where there is no tap, and clean water for eyes"),
        (
            f"Waste containers, {containers} with lids that vent",
            f"about {count_text(waste_litres)} litres of used baths, bleach apart: collect them",
        ),
        ("Gloves, eye shield, apron, towels", "two towels: one for wet hands, one for dry"),
        ("Data sheets of every chemical", "with the number of the poison centre"),
        ("Bulb for the lights step", "and its cable, out of reach of splashes"),
        ("Sandbags and cable tape", "for stands and for the way to the trays"),
    )
