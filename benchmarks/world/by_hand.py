"""People without the tool: the hand method and point correction.

Both start alike. The first sheet is planned at the means of what is said openly, exactly as the
tool is told it. Where there is an earlier sitting, key and shadow are each moved by the median
difference between what its sheets showed and what the same arithmetic had foreseen for them; a
light that has other modifiers now is moved by the mean of the two, as half of what was
learnt of it may have gone with the modifier.
"""

from __future__ import annotations

import math
from statistics import fmean, median
from typing import Protocol

from benchmarks.world.curve import word_cuts, word_of
from benchmarks.world.oracle import all_dials, best_settings
from benchmarks.world.physics import Ledger, as_believed_ledger
from benchmarks.world.public import (
    POPS,
    REGIONS,
    Aim,
    Head,
    Kit,
    Past,
    Reading,
    Settings,
    Sitting,
    Tone,
    Word,
    heads_by_role,
    lens_of,
)

_LEAST_STEP_STOPS = 0.25
_ENDS_DENSITY = 0.05  # nearer to an end than this the curve says nothing
_LIGHT_OF = {"key": "key", "shadow": "fill"}
_DIRECTION = {"black": 1, "too_dark": 1, "as_wanted": 0, "too_light": -1, "bare_paper": -1}


class Photographer(Protocol):
    """Anybody who decides settings and looks at sheets."""

    def plan(self) -> Settings:
        """Give the settings of the next sheet."""
        ...

    def look(self, settings: Settings, reading: Reading) -> None:
        """Take in what a sheet shows."""
        ...


def read_word(tone: Tone, aim: Aim, ledger: Ledger) -> Word:
    """Give the word of a reading: as said, or what its density would be called."""
    if "verdict" in tone:
        return tone["verdict"]
    curve = ledger.curve
    cuts = word_cuts(aim["density"], aim["eye_tol_density"], curve.dmin, curve.dmax)
    return word_of(tone["density"], cuts)


def read_density(tone: Tone, aim: Aim, ledger: Ledger) -> float:
    """Give the density of a reading, or the middle of what its word spans."""
    curve = ledger.curve
    if "density" in tone:
        return tone["density"]
    black, dark, light, bare = word_cuts(
        aim["density"], aim["eye_tol_density"], curve.dmin, curve.dmax
    )
    middles = {
        "black": curve.dmax,
        "too_dark": (black + dark) / 2,
        "as_wanted": aim["density"],
        "too_light": (light + bare) / 2,
        "bare_paper": curve.dmin,
    }
    return middles[tone["verdict"]]


def read_stops(density: float, ledger: Ledger) -> float:
    """Give the stops of a density on the curve as believed, held off its two ends."""
    curve = ledger.curve
    low, high = curve.dmin + _ENDS_DENSITY, curve.dmax - _ENDS_DENSITY
    return curve.stops(min(max(density, low), high))


def lesson(kit: Kit, sitting: Sitting, past: list[Past]) -> dict[str, float]:
    """Give what earlier sheets showed beyond what had been foreseen, by region [stops]."""
    found: dict[str, list[float]] = {region: [] for region in _LIGHT_OF}
    changed: set[str] = set()
    for earlier in past:
        ledger = as_believed_ledger(kit, earlier["sitting"])
        before, now = _modifiers(earlier["sitting"]), _modifiers(sitting)
        changed |= {region for region, role in _LIGHT_OF.items() if before[role] != now[role]}
        for sheet in earlier["sheets"]:
            foreseen = ledger.placements(Settings.from_json(sheet["settings"]))
            for region, seen in found.items():
                tone = sheet["reading"].get("regions", {}).get(region)
                if tone is None:
                    continue
                density = read_density(tone, earlier["sitting"]["aims"][region], ledger)
                stops = read_stops(density, ledger)
                seen.append(stops - float(foreseen[REGIONS.index(region)]))
    own = {region: median(seen) if seen else 0.0 for region, seen in found.items()}
    both = fmean(own.values())
    return {region: both if region in changed else stops for region, stops in own.items()}


def _modifiers(sitting: Sitting) -> dict[str, list[str]]:
    return {source["role"]: source["modifiers"] for source in sitting["sources"]}


def settle(
    kit: Kit, sitting: Sitting, now: Settings, key_stops: float, fill_stops: float
) -> Settings:
    """Turn key and fill to these dials; move pops, then the f-number, when a dial runs out.

    Parameters
    ----------
    kit, sitting : Kit, Sitting
        Open side.
    now : Settings
        As set before.
    key_stops, fill_stops : float
        Dials wanted at the present pops and f-number [stops].

    Returns
    -------
    Settings
        Of all pops and f-numbers that bring both dials into range the ones nearest to the present;
        if none does, those that leave the least missing.
    """
    heads = heads_by_role(kit, sitting)
    loss = kit["pop_loss_per_doubling_stops"]
    found = []
    for f_number in lens_of(kit, sitting)["f_numbers"]:
        for pops in POPS:
            f_stops = 2.0 * math.log2(now.f_number / f_number)
            pop_stops = math.log2(pops / now.pops)
            gain = f_stops + (1.0 - loss) * pop_stops
            missing = _missing(heads["key"], key_stops - gain)
            missing += _missing(heads["fill"], fill_stops - gain)
            found.append((missing, abs(f_stops), abs(pop_stops), f_number, pops, gain))
    *_, f_number, pops, gain = min(found)
    dials = all_dials(kit, sitting, key_stops - gain, fill_stops - gain)
    return Settings(dials, f_number, pops, now.seconds)


def _missing(head: Head, dial_stops: float) -> float:
    half = head["dial_step"] / 2
    over = max(dial_stops - head["dial_max"] - half, head["dial_min"] - half - dial_stops, 0.0)
    return round(over, 6)


class _ByHand:
    """What both share: the arithmetic as believed and the first sheet."""

    def __init__(self, kit: Kit, sitting: Sitting, past: list[Past]) -> None:
        self.kit = kit
        self.sitting = sitting
        self.ledger = as_believed_ledger(kit, sitting)
        self.aims_stops = {
            region: self.ledger.curve.stops(aim["density"])
            for region, aim in sitting["aims"].items()
            if aim["tol_stops"] is not None
        }
        self.shift_stops = lesson(kit, sitting, past)
        self.next = self.foreseen_best()

    def foreseen_best(self) -> Settings:
        """Give the best settings by the arithmetic as believed, moved by ``shift_stops``."""
        return best_settings(
            self.kit,
            self.sitting,
            self.ledger,
            self.aims_stops,
            shift_stops=self.shift_stops,
            easy=True,
        ).settings

    def plan(self) -> Settings:
        """Give the settings of the next sheet."""
        return self.next


class _Steps:
    """Steps by word for one region: whole at first, halved when the word turns round."""

    def __init__(self) -> None:
        self.last_stops = 0.0

    def after(self, word: Word, first_stops: float) -> float:
        """Give the step after a word [stops]; ``first_stops`` is the size before any turn."""
        direction = _DIRECTION[word]
        if direction == 0:
            return 0.0
        size = first_stops
        if self.last_stops:
            size = abs(self.last_stops)
            if direction * self.last_stops < 0:
                size = max(size / 2, _LEAST_STEP_STOPS)
        self.last_stops = direction * size
        return self.last_stops


class HandMethod(_ByHand):
    """Somebody with an eye and five words, and no arithmetic after the first sheet.

    Every reading is taken as a word. A key cheek that is too dark gets one stop more, one too
    light a stop less, two stops when it is black or bare paper; the whole sheet is moved by this,
    fill and all. The shadow cheek does the same for the fill alone. When a region's word turns
    round, its step is halved, down to a quarter stop; when a region is not read, it goes
    with the other. When both are as wanted, or neither is read, the same is done again.
    Stops are taken from the dials; pops and then the f-number move when a dial runs out.
    """

    def __init__(self, kit: Kit, sitting: Sitting, past: list[Past]) -> None:
        super().__init__(kit, sitting, past)
        self.steps = {region: _Steps() for region in self.aims_stops}

    def look(self, settings: Settings, reading: Reading) -> None:
        """Take in what a sheet shows."""
        moves: dict[str, float] = {}
        for region, steps in self.steps.items():
            tone = reading.get("regions", {}).get(region)
            if tone is None:
                continue
            word = read_word(tone, self.sitting["aims"][region], self.ledger)
            moves[region] = steps.after(word, 2.0 if word in {"black", "bare_paper"} else 1.0)
        key = moves.get("key", 0.0)
        fill = moves.get("shadow", key)
        dials = settings.dial_stops
        self.next = settle(
            self.kit, self.sitting, settings, dials["key"] + key, dials["fill"] + fill
        )


class PointCorrection(_ByHand):
    """Somebody who turns each reading into stops and each light by exactly as much.

    The densities of key and shadow cheek are put through the curve as believed; the key's dial
    is turned by the key's error and the fill's by the shadow's, rounded to the dial's step; pops
    and then the f-number move when a dial runs out. A region that is not read leaves
    its light alone. A word counts as the middle of what it spans, and its step is
    halved when the word turns round.
    """

    def __init__(self, kit: Kit, sitting: Sitting, past: list[Past]) -> None:
        super().__init__(kit, sitting, past)
        self.steps = {region: _Steps() for region in self.aims_stops}

    def look(self, settings: Settings, reading: Reading) -> None:
        """Take in what a sheet shows."""
        errors: dict[str, float] = {}
        for region, steps in self.steps.items():
            tone = reading.get("regions", {}).get(region)
            if tone is None:
                continue
            aim = self.sitting["aims"][region]
            read = read_stops(read_density(tone, aim, self.ledger), self.ledger)
            error = self.aims_stops[region] - read
            if "verdict" in tone:
                error = steps.after(tone["verdict"], abs(error))
            errors[region] = error
        dials = settings.dial_stops
        self.next = settle(
            self.kit,
            self.sitting,
            settings,
            dials["key"] + errors.get("key", 0.0),
            dials["fill"] + errors.get("shadow", 0.0),
        )
