"""Sittings in which one sheet went wrong: an invented studio, its hidden truth, and the slips.

The open side is a book; what it says of lights and paper is compiled once and handed to
``benchmarks.world``, which draws what all of it is really like and reckons every sheet anew. What
a slip does is written here a second time, with sizes of its own; all figures are invented.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Any, Literal, cast

import numpy as np

from benchmarks.world.curve import WORDS, Curve, FloatArray, word_cuts, word_probabilities
from benchmarks.world.physics import KitFacts, Ledger, ledger
from benchmarks.world.public import REGIONS, Kit, Sitting
from benchmarks.world.sheets import Luck, draw_luck
from benchmarks.world.truth import Rules, draw_kit, draw_sitting
from stillroom.documents import book as doc
from stillroom.documents.read import validated
from stillroom.exposure import Layout
from stillroom.light import reading_for_stops
from stillroom.services.worktable import Worktable

Reading = Literal["scan", "strip", "words"]
Draw = np.random.Generator
SITTING = "one"
CLOSED, OPEN = "curtains closed", "curtains open"
AIMS = {"key": (0.75, 1 / 3, 0.15), "shadow": (1.35, 0.5, 0.22), "rim": (0.35, 1.0, 0.2),
        "bg": (1.6, None, 0.22)}  # fmt: skip
"""Density wanted, tolerance in stops, and what the eye lets pass."""
OWN, OTHER = "own", "other"
F_NUMBER, POPS, OPEN_S = 5.6, 4, 1.0
FAINT_LX, BRIGHT_LX = 120.0, 500.0
"""What a meter says of the room: in the bright one steady light carries part of the picture."""
WRONG_BY_STOPS = (0.6, 0.35, 0.2, 0.2, 0.2)
"""How far a dial of each sheet is off what would be best, at random."""
_STEP_SD, _STRIP_STEP, _STRIP_SD = 0.08, 0.15, 0.04
_WHEN = datetime(2026, 3, 7, 10, tzinfo=UTC)
_FLARE_SD = 0.7
_KIT, _OTHER_KIT, _SITTING, _DIALS, _SLIP, _LUCK = range(6)


def book_of(
    paper: str = OWN, sheets: tuple[doc.Sheet, ...] = (), *, bright: bool = False
) -> doc.Book:
    """The invented studio, with these sheets of its one sitting; in a bright room if asked."""
    stops = {"kind": "stops", "min": -6.0, "max": 0.0, "step": 0.1}
    heads = {"A": 1200.0, "B": 600.0, "C": 600.0}
    hung = (("box", 2.5, 0.5), ("strip", 1.5, 0.5), ("grid", 0.75, 0.4), ("cloth", 1.2, 0.4),
            ("card", 2.5, 0.5))  # fmt: skip
    kinds = {"box": "softbox", "strip": "softbox", "grid": "fabric_grid", "card": "card"}
    lights: list[dict[str, Any]] = [
        {"role": "key", "kind": "head", "kit_id": "A", "modifiers": ["box", "cloth"],
         "distance_m": 0.9},
        {"role": "fill", "kind": "head", "kit_id": "B", "modifiers": ["card"], "distance_m": 1.2},
        {"role": "rim", "kind": "head", "kit_id": "C", "modifiers": ["strip", "grid"],
         "distance_m": 0.8, "facing_deg": 35.0},
        {"role": "room", "kind": "room", "metered_lx": BRIGHT_LX if bright else FAINT_LX,
         "metered_sd_stops": 0.5},
    ]  # fmt: skip
    said: dict[str, Any] = {
        "kit": {
            "cameras": [{"id": "field", "name": "a field camera", "format_mm": [130.0, 180.0]}],
            "lenses": [{"id": "lens", "name": "300 mm", "focal_mm": 300.0,
                        "f_numbers": [4.5, 5.6, 8.0, 11.0, 16.0]}],
            "heads": [{"id": i, "name": i, "energy_ws": e, "dial": stops}
                      for i, e in heads.items()],
            "modifiers": [
                {"id": i, "name": i, "kind": kinds.get(i, "other"), "loss_stops": loss,
                 "loss_sd_stops": sd}
                for i, loss, sd in hung
            ],
            "rooms": [{"id": "room", "name": "room", "states": [CLOSED, OPEN]}],
        },
        "papers": [
            {"id": OWN, "name": "Paper", "batch": "2", "ei": 5.0, "ei_sd_stops": 1.0},
            {"id": OTHER, "name": "Paper", "batch": "1", "ei": 2.5, "ei_sd_stops": 0.5},
        ],
        "sitters": [{"id": "S", "initials": "S"}],
        "sittings": [{
            "id": SITTING, "when": _WHEN.isoformat(), "paper": paper, "camera": "field",
            "lens": "lens", "sitters": ["S"], "room_state": CLOSED,
            "framing": {"magnification": 0.3}, "lights": lights,
            "aims": {r: {"density": d, "tol_stops": t, "eye_tol_density": e}
                     for r, (d, t, e) in AIMS.items()},
            "sheets": [],
        }],
    }  # fmt: skip
    made = validated(doc.Book, said)
    sitting = made.sittings[0].model_copy(update={"sheets": sheets})
    return made.model_copy(update={"sittings": (sitting,)})


# ---- slips --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Wrong:
    """What a slip does to one sheet.

    Parameters
    ----------
    gains : dict
        Stops more by role; a figure, or one for each region.
    everywhere_stops, contrast, thinner, added : float
        Stops on every region; factor of contrast; density that black lacks; light beside the
        sitter's, as a share of the mid-tone's.
    other_paper : bool
        Whether it was the other batch.
    """

    gains: dict[str, float | FloatArray] = field(default_factory=dict)
    everywhere_stops: float = 0.0
    contrast: float = 1.0
    thinner: float = 0.0
    added: FloatArray | float = 0.0
    other_paper: bool = False


def _dial(role: str) -> Callable[[World, Draw], Wrong]:
    def slip(_: World, rng: Draw) -> Wrong:
        return Wrong({role: float(rng.choice([-1.0, 1.0]) * rng.uniform(0.7, 2.5))})

    return slip


def _dead(role: str) -> Callable[[World, Draw], Wrong]:
    return lambda _, __: Wrong({role: -40.0})


def _uncharged(_: World, rng: Draw) -> Wrong:
    return Wrong({"key": -float(rng.uniform(0.7, 2.0))})


def _off(world: World, _: Draw) -> Wrong:
    return Wrong({"key": world.kit_facts.loss_stops["box"]})


def _left_on(world: World, _: Draw) -> Wrong:
    return Wrong({"key": -world.cloth_stops})


def _stop(world: World, rng: Draw) -> Wrong:
    other = 4.5 if rng.random() < 0.5 else 8.0
    return world.all_lights(2.0 * math.log2(F_NUMBER / other))


def _pops(world: World, rng: Draw) -> Wrong:
    """Pops of an open lens: steady light is as it was."""
    more = world.truth.flash_stops(float(rng.choice([2, 3, 5, 8]))) - world.truth.flash_stops(POPS)
    return Wrong(dict.fromkeys(("key", "fill", "rim"), more))


def _twice(world: World, rng: Draw) -> Wrong:
    """The same again on the same sheet, the sitter not quite where he was."""
    moved = 0.1 * rng.standard_normal(len(REGIONS))
    flash = (1.0 - world.truth.pop_loss) + moved
    gains: dict[str, float | FloatArray] = dict.fromkeys(("key", "fill", "rim"), flash)
    return Wrong({**gains, "room": 1.0 + moved})


def _cap(world: World, rng: Draw) -> Wrong:
    late = float(rng.uniform(2.0, 6.0))
    gain = world.truth.steady_stops(OPEN_S * late) - world.truth.steady_stops(OPEN_S)
    return Wrong({"room": gain})


def _room(_: World, rng: Draw) -> Wrong:
    return Wrong({"room": float(rng.normal(2.6, 1.0))})


def _knocked(_: World, rng: Draw) -> Wrong:
    return Wrong({"key": rng.normal(-1.0, 0.7) + 0.6 * rng.standard_normal(len(REGIONS))})


def _batch(_: World, __: Draw) -> Wrong:
    return Wrong(other_paper=True)


def _wrong_side(_: World, rng: Draw) -> Wrong:
    return Wrong(everywhere_stops=-rng.uniform(2.0, 4.0), contrast=rng.uniform(0.55, 0.85))


def _thin(_: World, rng: Draw) -> Wrong:
    return Wrong(thinner=rng.uniform(0.2, 0.6))


def _tired(_: World, rng: Draw) -> Wrong:
    return Wrong(everywhere_stops=-rng.uniform(0.4, 1.2), contrast=rng.uniform(0.9, 1.0))


def _leak(_: World, rng: Draw) -> Wrong:
    uneven = 0.3 * rng.standard_normal(len(REGIONS))
    return Wrong(added=2.0 ** (rng.uniform(-3.0, 0.5) + uneven))


@dataclass(frozen=True, slots=True)
class Kind:
    """One row of the table.

    Parameters
    ----------
    title : str
        As it is printed.
    ids : tuple of str
        What the tool calls the true slip; an id that ends in ``-`` stands for all that begin so.
    slip : callable
        What it does, given the world and a source of chance.
    number : int
        The sheet it happens on: the last of four, or the first.
    bright : bool
        Whether the room is a bright one.
    """

    title: str
    ids: tuple[str, ...]
    slip: Callable[[World, Draw], Wrong]
    number: int = 4
    bright: bool = False

    def is_named(self, slip_id: str) -> bool:
        """Whether an answer's id is the true slip."""
        return any(slip_id == i or (i.endswith("-") and slip_id.startswith(i)) for i in self.ids)


KINDS: dict[str, Kind] = {
    "dial_key": Kind("dial of the key", ("dial-key",), _dial("key")),
    "dial_fill": Kind("dial of the fill", ("dial-fill",), _dial("fill")),
    "modifier_off": Kind("box off the key", ("modifier_off-key-box",), _off),
    "modifier_on": Kind("cloth left on the key", ("modifier_on-key-cloth",), _left_on),
    "stop": Kind("stop", ("stop",), _stop),
    "pops": Kind("pops", ("pops",), _pops),
    "dead_key": Kind("key did not fire", ("not_fired-key",), _dead("key")),
    "dead_rim": Kind("rim did not fire", ("not_fired-rim",), _dead("rim")),
    "dead_fill": Kind("fill did not fire", ("not_fired-fill",), _dead("fill")),
    "uncharged": Kind("key not charged", ("not_charged-key",), _uncharged),
    "room": Kind("room in another state", ("room-",), _room),
    "room_first": Kind("room in another state, sheet 1", ("room-",), _room, 1),
    "room_bright": Kind("room in another state, bright", ("room-",), _room, bright=True),
    "knocked": Kind("key knocked", ("knocked-key",), _knocked),
    "cap": Kind("cap late", ("time",), _cap),
    "cap_bright": Kind("cap late, bright room", ("time",), _cap, bright=True),
    "twice": Kind("exposed twice", ("twice",), _twice),
    "batch": Kind("another batch", ("paper-other",), _batch),
    "batch_first": Kind("another batch, sheet 1", ("paper-other",), _batch, 1),
    "wrong_side": Kind("wrong side out", ("wrong_side",), _wrong_side),
    "thin": Kind("re-exposure or second developer short", ("thin_blacks",), _thin),
    "tired": Kind("tired developer", ("tired",), _tired),
    "leak": Kind("leak or fog", ("veil",), _leak),
}


# ---- the hidden side ----------------------------------------------------------------------------


class World:
    """One seed: what paper, kit and sitting are really like.

    Parameters
    ----------
    rules : Rules
        How the world differs from what is said openly.
    seed : int
        Same seed, same truth and same luck of every sheet, whatever slip and way of reading.
    bright : bool
        Whether the room is a bright one.
    """

    def __init__(self, rules: Rules, seed: int, *, bright: bool = False) -> None:
        self.rules, self.seed, self.bright = rules, seed, bright
        self.table = Worktable(self.book(), SITTING)
        self.layout = self.table.layout(self.settings({}))
        self.kit, self.sitting = open_side(self.layout)
        actinic = self.sitting["sources"][0]["actinic_sd_stops"]
        self.kit_facts = draw_kit(rules, self._rng(_KIT), self.kit, self.sitting, actinic)
        self.cloth_stops = 1.2 + rules.modifier_bias_stops
        self.cloth_stops += rules.wander(self._rng(_KIT, 1), 0.4)
        rng = self._rng(_SITTING)
        shared = {s.name: s.mean_stops + rules.wander(rng, s.sd_stops)
                  for s in self.layout.sitting.shared}  # fmt: skip
        self.facts = draw_sitting(rules, rng, self.kit, self.sitting, shared)
        self.truth: Ledger = ledger(self.kit, self.sitting, self.kit_facts, self.facts)
        flare = self.layout.sitting.veil_stops
        self.flare = 0.0 if flare is None else 2.0 ** (flare + _FLARE_SD * rng.standard_normal())
        self.reader_bias = rules.wander(rng, rules.reader_bias_sd_density)
        self.scanner_bias = rules.wander(rng, rules.scanner_bias_sd_density)

    def _rng(self, *key: int) -> Draw:
        return np.random.default_rng([self.seed, *key])

    def book(self, sheets: tuple[doc.Sheet, ...] = ()) -> doc.Book:
        """The book of this sitting with these sheets."""
        return book_of(sheets=sheets, bright=self.bright)

    @cached_property
    def other(self) -> KitFacts:
        """Kit and the other batch: nothing of the camera or lights differs."""
        table = Worktable(book_of(OTHER), SITTING)
        kit, sitting = open_side(table.layout(self.settings({})))
        drawn = draw_kit(self.rules, self._rng(_OTHER_KIT), kit, sitting, 0.0)
        return replace(self.kit_facts, speed_log2=drawn.speed_log2, curve=drawn.curve)

    def all_lights(self, stops: float) -> Wrong:
        """The same for every light."""
        return Wrong(dict.fromkeys(self.truth.roles, stops))

    # ---- what is set ----------------------------------------------------------------------

    def settings(self, dials: dict[str, float]) -> doc.Settings:
        """Settings of a document; a dial that is not named stands at 2 below full."""
        lights = {}
        for role in ("key", "fill", "rim"):
            head = self.table.heads[self.table.lights[role].kit_id or ""]
            shown = reading_for_stops(head.dial, dials.get(role, -2.0), head.energy_ws)
            hung = ("box",) if role == "key" else None  # the cloth was on when it was set up
            lights[role] = doc.LightSetting(dial=round(shown, 1), modifiers=hung)
        return doc.Settings(lights=lights, f_number=F_NUMBER, pops=POPS, open_s=OPEN_S,
                            opening="held_open")  # fmt: skip

    @cached_property
    def best(self) -> dict[str, float]:
        """Dials that bring each light's own region to its aim, as near as they go."""
        dials = dict.fromkeys(("key", "fill", "rim"), -2.0)
        aim = {r: self.truth.curve.stops(AIMS[r][0]) for r in ("key", "shadow", "rim")}
        for _ in range(40):
            placed = self.placements(dials)
            for role, region in (("key", "key"), ("fill", "shadow"), ("rim", "rim")):
                off = float(placed[REGIONS.index(region)]) - aim[region]
                dials[role] = min(max(dials[role] - 0.5 * off, -6.0), 0.0)
        return dials

    def dials_of(self, number: int) -> dict[str, float]:
        """What is set for a sheet: nearer to the best from sheet to sheet."""
        off = WRONG_BY_STOPS[number - 1] * self._rng(_DIALS, number).standard_normal(3)
        moved = zip(self.best.items(), off, strict=True)
        return {role: round(min(max(d + x, -6.0), 0.0), 1) for (role, d), x in moved}

    # ---- what comes of it -----------------------------------------------------------------

    def placements(
        self, dials: dict[str, float], wrong: Wrong | None = None, number: int = 1
    ) -> FloatArray:
        """Stops above the mid-tone by region, before any scatter."""
        wrong = wrong or Wrong()
        truth = self.truth
        if wrong.other_paper:
            truth = ledger(self.kit, self.sitting, self.other, self.facts)
        made = np.array([dials.get(role, 0.0) for role in truth.roles])
        given = np.where(
            truth.is_flash,
            truth.dial_slope * made + truth.flash_stops(POPS),
            truth.steady_stops(OPEN_S),
        )
        stops = truth.base_stops + given - 2.0 * math.log2(F_NUMBER)
        for role, gain in wrong.gains.items():
            stops[:, truth.roles.index(role)] += gain
        light = np.sum(2.0**stops, axis=1) + wrong.added
        light = light + self.flare * light.mean()
        tired = truth.fatigue_stops * (number - 1)
        return np.asarray(np.log2(light) + tired + wrong.everywhere_stops, dtype=np.float64)

    def slip(self, kind: Kind) -> Wrong:
        """What the slip does to the sheet of this seed."""
        return kind.slip(self, self._rng(_SLIP))

    def densities(self, number: int, wrong: Wrong | None = None) -> FloatArray:
        """The tones of one sheet."""
        wrong = wrong or Wrong()
        luck = self._luck(number)
        sheet = self.layout.kit.process_scatter_sd_stops * luck.process
        sheet += self.layout.kit.setting_scatter_sd_stops * luck.setting
        placed = self.placements(self.dials_of(number), wrong, number) + sheet
        placed = placed + self.layout.kit.region_scatter_sd_stops * luck.region
        curve: Curve = self.other.curve if wrong.other_paper else self.truth.curve
        tones = replace(curve, kappa=curve.kappa * wrong.contrast).density(placed)
        return tones - wrong.thinner * ((tones - curve.dmin) / (curve.dmax - curve.dmin)) ** 2

    def _luck(self, number: int) -> Luck:
        return draw_luck(self.rules, self._rng(_LUCK, number), spoiled_rate=0.0)

    def sheet(self, number: int, how: Reading, wrong: Wrong | None = None) -> doc.Sheet:
        """One sheet of the book, as set and as read."""
        luck, tones = self._luck(number), self.densities(number, wrong)
        regions = {
            region: self._read(region, float(tones[i]), luck, i, how)
            for i, region in enumerate(REGIONS)
        }
        when = _WHEN + timedelta(minutes=30 * number)
        by = doc.Reading(when=when, state="dry", by=how, regions=regions)
        return doc.Sheet(number=number, when=when, settings=self.settings(self.dials_of(number)),
                         readings=(by,))  # fmt: skip

    def _read(
        self, region: str, density: float, luck: Luck, at: int, how: Reading
    ) -> doc.RegionReading:
        noise = float(luck.read[0, at])
        if how == "scan":
            read = density + self.scanner_bias + self.kit["scan_sd_density"] * noise
            return doc.RegionReading(density=round(max(read, 0.0), 3))
        if how == "strip":
            read = (density + self.reader_bias + _STRIP_SD * noise) / _STRIP_STEP
            return doc.RegionReading(
                density=round(max(round(read), 0) * _STRIP_STEP, 2), density_sd=_STEP_SD
            )
        curve, (wanted, _, tolerance) = self.truth.curve, AIMS[region]
        chances = word_probabilities(
            density + self.reader_bias,
            word_cuts(wanted, tolerance, curve.dmin, curve.dmax),
            self.kit["eye_sd_density"],
        )
        said = int(np.searchsorted(np.cumsum(chances), luck.word[0, at], side="right"))
        return doc.RegionReading(verdict=WORDS[min(said, len(WORDS) - 1)])


def open_side(layout: Layout) -> tuple[Kit, Sitting]:
    """What a layout says openly, in the shapes of ``benchmarks.world``."""
    kit, sitting = asdict(layout.kit), asdict(layout.sitting)
    return cast("Kit", kit), cast("Sitting", sitting)
