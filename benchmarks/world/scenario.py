"""A whole scenario from one seed: open side, hidden side and the sittings before."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from benchmarks.world.by_hand import HandMethod
from benchmarks.world.classes import aims, open_side, whole_kit
from benchmarks.world.physics import KitFacts, SittingFacts, ledger
from benchmarks.world.public import (
    Aim,
    ClassName,
    Mode,
    Past,
    PastSheet,
    Sitting,
)
from benchmarks.world.sheets import Studio
from benchmarks.world.truth import Rules, Skin, draw_kit, draw_sitting, draw_skin

CAP = 20
MOST_SITTERS = 8
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
    kit_facts : KitFacts
        Hidden: what paper and kit are really like.
    facts : list of SittingFacts
        Hidden: what each sitting adds, today's last.
    """

    studio: Studio
    past: list[Past]
    kit_facts: KitFacts
    facts: list[SittingFacts]

    @property
    def sitters(self) -> int:
        """Sittings so far, today's included."""
        return len(self.facts)

    @property
    def paper_speed_log2(self) -> float:
        """Hidden: the paper's speed today, its drift included and the bath left out [stops]."""
        return self.kit_facts.speed_log2 + self.facts[-1].paper_stops

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


def sitters_of(cls: ClassName, seed: int, sitters: int | None = None) -> int:
    """Give how many sittings a seed holds, today's included.

    Parameters
    ----------
    cls : {"A", "B", "C", "D"}
        Class of sitting.
    seed : int
        In D today's sitter is the second to the eighth, by turns.
    sitters : int, optional
        For D: this many, 2 to 8, whatever the seed.
    """
    if cls == "D":
        return 2 + seed % (MOST_SITTERS - 1) if sitters is None else sitters
    return 1 if cls == "A" else 2


def build(
    cls: ClassName,
    seed: int,
    mode: Mode,
    rules: Rules,
    *,
    say_kept: bool = False,
    sitters: int | None = None,
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
    sitters : int, optional
        For D, see :func:`sitters_of`.

    Returns
    -------
    Scenario
        In B and C with a class A sitting a week before it; in D with one to seven sitters before
        in the same set and bath, an hour apart. All of these are run by the hand method, each
        knowing those before.
    """

    def stream(*key: int) -> np.random.Generator:
        return np.random.default_rng([seed, *key])

    kit = whole_kit()
    count = sitters_of(cls, seed, sitters)
    sittings, skins = _open_sides(cls, count, stream(_OPEN), stream(_SKIN), rules)
    first = sittings[-1]["sources"][0]
    kit_facts = draw_kit(rules, stream(_KIT), kit, sittings[-1], first["actinic_sd_stops"])
    sds = rules.reader_bias_sd_density, rules.scanner_bias_sd_density, rules.scatter_log_sd
    reader, scanner, log_scatter = (
        rules.wander(stream(_READER, index), sd) for index, sd in enumerate(sds)
    )
    scatter = math.exp(log_scatter)
    past: list[Past] = []
    facts: list[SittingFacts] = []

    def opened(number: int) -> Studio:
        sitting, today = sittings[number], number == count - 1
        turn = (number,) if number else ()  # the first has no number of its own
        facts.append(
            draw_sitting(
                rules,
                stream(_TODAY) if today else stream(_EARLIER, *turn),
                kit,
                sitting,
                _true_skin(sitting, skins),
                after=facts[-1] if facts else None,
                days_since=_DAYS_LATER[cls] if number else 0.0,
                same_bath_sheets=len(past[-1]["sheets"]) if cls == "D" and past else None,
            )
        )
        luck = (seed, _SHEETS) if today else (seed, _EARLIER_SHEETS, *turn)
        truth = ledger(kit, sitting, kit_facts, facts[-1])
        return Studio(rules, kit, sitting, mode, truth, reader, scanner, scatter, luck)

    for number in range(count - 1):
        past.append(_by_hand(opened(number), past, say_kept=say_kept))
    return Scenario(opened(count - 1), past, kit_facts, facts)


def _open_sides(
    cls: ClassName,
    count: int,
    rng: np.random.Generator,
    skin_rng: np.random.Generator,
    rules: Rules,
) -> tuple[list[Sitting], dict[str, Skin]]:
    def wanted() -> dict[str, Aim]:
        return aims(
            round(float(rng.uniform(0.48, 0.70)), 2), round(float(rng.uniform(1.02, 1.28)), 2)
        )

    sittings = [
        open_side(
            cls if number == count - 1 else "A",
            f"S{number}",
            number * _DAYS_LATER[cls] if number else 0,
            wanted(),
        )
        for number in range(count)
    ]
    if cls != "D":
        return sittings, {}
    skins = {f"skin S{number}": draw_skin(rules, skin_rng) for number in range(count)}
    return [
        _with_skin(sitting, skins[name], name, "set 1")
        for sitting, name in zip(sittings, skins, strict=True)
    ], skins


def _true_skin(sitting: Sitting, skins: dict[str, Skin]) -> dict[str, float]:
    return {
        shared["name"]: skins[shared["name"]].true_stops - skins[shared["name"]].guess_stops
        for shared in sitting.get("shared", [])
    }


def _by_hand(studio: Studio, past: list[Past], *, say_kept: bool) -> Past:
    hand = HandMethod(studio.kit, studio.sitting, past)
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
