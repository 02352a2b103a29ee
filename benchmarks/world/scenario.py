"""A whole scenario from one seed: open side, hidden side and the sitting before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from benchmarks.world.by_hand import HandMethod
from benchmarks.world.classes import aims, open_side, whole_kit
from benchmarks.world.physics import SittingFacts, ledger
from benchmarks.world.public import (
    ClassName,
    Mode,
    Past,
    PastSheet,
    Sitting,
)
from benchmarks.world.sheets import Studio
from benchmarks.world.truth import Rules, Skin, draw_kit, draw_sitting, draw_skin

CAP = 20
_OPEN, _KIT, _SKIN, _TODAY, _EARLIER, _READER, _SHEETS, _EARLIER_SHEETS = range(8)
_DAYS_LATER = {"B": 7.0, "C": 7.0, "D": 1 / 24}


@dataclass(frozen=True, slots=True)
class Scenario:
    """One seed of one class, read one way.

    Parameters
    ----------
    studio : Studio
        Today's sitting in the world.
    past : list
        Earlier sittings, as told to the tool.
    """

    studio: Studio
    past: list[Past]

    def begin(self) -> dict[str, Any]:
        """Give the line that opens the sitting."""
        return {
            "op": "begin",
            "kit": self.studio.kit,
            "sitting": self.studio.sitting,
            "mode": self.studio.mode,
            "past": self.past,
        }


def _with_skin(sitting: Sitting, skin: Skin, name: str, set_name: str) -> Sitting:
    for source in sitting["sources"]:
        for region in ("key", "shadow"):
            source["region_stops"][region] += skin.guess_stops
    roles = [source["role"] for source in sitting["sources"]]
    sitting["set"] = set_name
    sitting["shared"] = [
        {"name": name, "sd_stops": skin.sd_stops, "regions": ["key", "shadow"], "sources": roles}
    ]
    return sitting


def build(
    cls: ClassName, seed: int, mode: Mode, rules: Rules, *, say_kept: bool = False
) -> Scenario:
    """Draw a scenario.

    Parameters
    ----------
    cls : {"A", "B", "C", "D"}
        Class of sitting.
    seed : int
        Same seed, same world: truth and sheets' luck depend on nothing else, the way of reading
        and the strategy included.
    mode : {"scan", "patch", "eye"}
        How sheets are read, earlier ones too.
    rules : Rules
        The world.
    say_kept : bool
        Tell of earlier sheets whether they were kept.

    Returns
    -------
    Scenario
        In B, C and D with a class A sitting before it that was run by the hand method: a week
        before, or in D an hour before with another sitter in the same set.
    """

    def stream(*key: int) -> np.random.Generator:
        return np.random.default_rng([seed, *key])

    kit = whole_kit()
    sittings, skins = _open_sides(cls, stream(_OPEN), stream(_SKIN), rules)
    earlier, today = sittings
    kit_facts = draw_kit(rules, stream(_KIT), kit, today, today["sources"][0]["actinic_sd_stops"])
    reader, scanner = (
        rules.wander(stream(_READER, index), sd)
        for index, sd in enumerate((rules.reader_bias_sd_density, rules.scanner_bias_sd_density))
    )

    def studio(sitting: Sitting, facts: SittingFacts, sheets: int) -> Studio:
        truth = ledger(kit, sitting, kit_facts, facts)
        return Studio(rules, kit, sitting, mode, truth, reader, scanner, (seed, sheets))

    if earlier is None:
        facts = draw_sitting(rules, stream(_TODAY), kit, today, {})
        return Scenario(studio(today, facts, _SHEETS), [])
    before = draw_sitting(rules, stream(_EARLIER), kit, earlier, _true_skin(earlier, skins))
    facts = draw_sitting(
        rules,
        stream(_TODAY),
        kit,
        today,
        _true_skin(today, skins),
        days_since=_DAYS_LATER[cls],
        same_set_as=before if cls == "D" else None,
    )
    past = _by_hand(studio(earlier, before, _EARLIER_SHEETS), say_kept=say_kept)
    return Scenario(studio(today, facts, _SHEETS), [past])


def _open_sides(
    cls: ClassName, rng: np.random.Generator, skin_rng: np.random.Generator, rules: Rules
) -> tuple[tuple[Sitting | None, Sitting], dict[str, Skin]]:
    def wanted() -> dict[str, Any]:
        return dict(
            aims(
                round(float(rng.uniform(0.48, 0.70)), 2), round(float(rng.uniform(1.02, 1.28)), 2)
            )
        )

    if cls == "A":
        return (None, open_side("A", "S0", 0, wanted())), {}
    earlier = open_side("A", "S0", 0, wanted())
    today = open_side(cls, "S1", _DAYS_LATER[cls], wanted())
    if cls != "D":
        return (earlier, today), {}
    skins = {"skin S0": draw_skin(rules, skin_rng), "skin S1": draw_skin(rules, skin_rng)}
    return (
        _with_skin(earlier, skins["skin S0"], "skin S0", "set 1"),
        _with_skin(today, skins["skin S1"], "skin S1", "set 1"),
    ), skins


def _true_skin(sitting: Sitting, skins: dict[str, Skin]) -> dict[str, float]:
    return {
        shared["name"]: skins[shared["name"]].true_stops - skins[shared["name"]].guess_stops
        for shared in sitting.get("shared", [])
    }


def _by_hand(studio: Studio, *, say_kept: bool) -> Past:
    hand = HandMethod(studio.kit, studio.sitting, [])
    sheets: list[PastSheet] = []
    for number in range(1, CAP + 1):
        settings = hand.plan()
        sheet = studio.expose(settings, number)
        told: PastSheet = {"settings": settings.as_json(), "reading": sheet.reading}
        if say_kept:
            told["kept"] = sheet.kept_said
        sheets.append(told)
        if sheet.keeper:
            break
        hand.look(settings, sheet.reading)
    return {"sitting": studio.sitting, "sheets": sheets}
