"""Mixing lists, baths and labels as both doors print them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from stillroom.documents.mixing import Bath, Hazard, Label, MixingList, MixLine
from stillroom.documents.recipes import Recipe
from stillroom.services.mixing_words import amount_text, line_text

KNOWN_WORDS = {
    "published_seen": "published, seen",
    "published_memory": "published, from memory",
    "common_practice": "common practice, no source",
    "computed": "computed here",
}
"""How a figure is known, in words."""
KIND_WORDS = {
    "bleach": "Bleaches",
    "clear": "Clears",
    "developer": "Developers",
    "stop": "Stop",
    "fixer": "Fixer",
    "wash_aid": "Wash aid",
}


@dataclass(frozen=True, slots=True)
class LineTold:
    """One thing to weigh or measure."""

    amount: str
    what: str
    """With the range, where there is one."""
    known: str
    """How its figure is known."""
    out_of: tuple[tuple[str, str], ...]
    """Where the strength was not said: bottle and amount out of it."""
    note: str


@dataclass(frozen=True, slots=True)
class PartTold:
    """One bottle or tray."""

    name: str
    volume: str
    water: str
    lines: tuple[LineTold, ...]
    fill: str


@dataclass(frozen=True, slots=True)
class MixTold:
    """A mixing list, to be read."""

    title: str
    volume: str
    parts: tuple[PartTold, ...]
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    hazard: tuple[tuple[str, str], ...]
    keeps: tuple[tuple[str, str], ...]
    never: tuple[str, ...]
    foot: str


def mix_told(made: MixingList) -> MixTold:
    """A mixing list in words."""
    return MixTold(
        title=made.name,
        volume=amount_text(made.volume_ml, "ml"),
        parts=tuple(
            PartTold(
                name=f"Part {part.name}" if part.name else "",
                volume=amount_text(part.volume_ml, "ml"),
                water=f"{amount_text(part.water_first_ml, 'ml')} water first",
                lines=tuple(line_told(line) for line in part.lines),
                fill=part.water_text,
            )
            for part in made.parts
        ),
        steps=made.steps,
        notes=made.notes,
        cautions=made.cautions,
        hazard=hazard_told(made.hazard),
        keeps=tuple(
            (what, text)
            for what, text in (
                ("used at", f"{made.temperature_c} °C"),
                ("keeps", made.keeps),
                ("good for", made.capacity),
                ("by its silver", made.from_silver),
                ("spent when", made.tired),
            )
            if text
        ),
        never=made.never,
        foot=made.not_checked,
    )


def line_told(line: MixLine) -> LineTold:
    """One thing to weigh or measure, in words."""
    amount = amount_text(line.amount, line.unit)
    known = KNOWN_WORDS[line.status]
    if line.source and line.status != "computed":
        known += f": {line.source}"
    return LineTold(
        amount=amount,
        what=line_text(line).removeprefix(f"{amount} "),
        known=known,
        out_of=tuple(
            (each.stock, amount_text(each.amount, each.unit)) for each in line.alternatives
        ),
        note=line.note,
    )


def hazard_told(hazard: Hazard) -> tuple[tuple[str, str], ...]:
    """What labels of what goes in say, row by row."""
    if not hazard.of and not hazard.wear:
        return ()
    rows = (
        ("signal word", hazard.signal),
        ("signs", ", ".join(hazard.pictograms)),
        ("says", "; ".join(hazard.statements)),
        ("wear", "; ".join(hazard.wear)),
        ("from the labels of", ", ".join(hazard.of)),
    )
    return tuple((what, text) for what, text in rows if text)


def recipe_rows(
    recipes: tuple[Recipe, ...],
) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """Recipes by kind: id and what it is, with what it suits."""
    return tuple(
        (
            words,
            tuple(
                (recipe.id, f"{recipe.name}. {recipe.suits}".strip())
                for recipe in recipes
                if recipe.kind == kind
            ),
        )
        for kind, words in KIND_WORDS.items()
    )


@dataclass(frozen=True, slots=True)
class LabelTold:
    """A label, to be printed."""

    name: str
    signal: str
    rows: tuple[tuple[str, str], ...]
    statements: tuple[str, ...]
    never: tuple[str, ...]
    collect: str
    supplier: str


def label_told(label: Label, now: datetime) -> LabelTold:
    """A label in words, its times in the reader's zone."""
    mixed = label.mixed.astimezone(now.tzinfo)
    rows = [
        ("strength", "; ".join(label.strength)),
        ("volume", label.volume),
        ("mixed", f"{mixed:%Y-%m-%d %H:%M}"),
    ]
    if label.good_until is not None:
        until = label.good_until.astimezone(now.tzinfo)
        rows.append(("good until", f"{until:%Y-%m-%d %H:%M}"))
    rows.append(("stands in", label.stands_in))
    if label.hazard.pictograms:
        rows.append(("signs", ", ".join(label.hazard.pictograms)))
    if label.hazard.wear:
        rows.append(("wear", "; ".join(label.hazard.wear)))
    return LabelTold(
        name=label.name,
        signal=label.hazard.signal,
        rows=tuple(rows),
        statements=label.hazard.statements,
        never=label.never,
        collect=label.collect,
        supplier=label.supplier,
    )


LIFE_WORDS = {"good": "good", "last": "on its last", "past": "past its life"}


def bath_rows(bath: Bath) -> tuple[tuple[str, str], ...]:
    """The clocks of a bath, row by row, with how each limit is known."""
    names = {"sheets": "sheets", "dilution": "water", "hours": "hours", "time": "time to work"}
    return tuple(
        (names[clock.of], f"{clock.text} ({KNOWN_WORDS.get(clock.status, clock.status)})")
        for clock in bath.clocks
    )
