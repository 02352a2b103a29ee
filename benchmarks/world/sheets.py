"""One sheet exposed and read: all its chance is drawn before the settings are looked at.

So the same sheet of the same seed has the same luck whatever was set, and strategies are compared
on common random numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from benchmarks.world.curve import WORDS, FloatArray, word_cuts, word_probabilities
from benchmarks.world.physics import Ledger
from benchmarks.world.public import (
    REGIONS,
    STEPS_POPS,
    Aim,
    Kit,
    Mode,
    Reading,
    Settings,
    Sitting,
    Tone,
    heads_by_role,
)
from benchmarks.world.truth import Rules

_STRIP_SCATTER_STOPS = 0.12  # each strip crosses another piece of skin
_SPOILED_SD_STOPS = 1.5
_PATCH_STEP_DENSITY = 0.15
_PATCH_SD_DENSITY = 0.08
_KEPT_ERROR = 0.03
_TAIL_DF = 5


@dataclass(frozen=True, slots=True)
class Luck:
    """All chance of one sheet; arrays are [strip, region] or by region.

    Parameters
    ----------
    process, setting : float
        Unit draws of the sheet's two shifts.
    spoiled : bool
        Fogged, stained or forgotten in a bath.
    spoiled_stops : float
        The shift if it is spoiled [stops].
    region, strip, read : ndarray
        Unit draws of region scatter, of strip scatter and of reading noise.
    unseen, word : ndarray
        Even draws: whether a region is read, and which word is said.
    misset : bool
        One dial set wrong.
    misset_role : float
        Even draw: which dial.
    misset_stops : float
        How far [stops].
    kept_slip : bool
        The box is filled wrongly.
    """

    process: float
    setting: float
    spoiled: bool
    spoiled_stops: float
    region: FloatArray
    strip: FloatArray
    read: FloatArray
    unseen: FloatArray
    word: FloatArray
    misset: bool
    misset_role: float
    misset_stops: float
    kept_slip: bool


def draw_luck(rules: Rules, rng: np.random.Generator, spoiled_rate: float) -> Luck:
    """Draw the luck of one sheet, always in the same order."""

    def unit(*shape: int) -> FloatArray:
        if rules.heavy_tails:
            sd = np.sqrt(_TAIL_DF / (_TAIL_DF - 2))
            return np.asarray(rng.standard_t(_TAIL_DF, shape) / sd, dtype=np.float64)
        return np.asarray(rng.standard_normal(shape), dtype=np.float64)

    strips, regions = len(STEPS_POPS), len(REGIONS)
    process, setting = unit(2)
    spoiled = bool(rng.random() < spoiled_rate)
    spoiled_stops = _SPOILED_SD_STOPS * float(rng.standard_normal())
    if rules.heavy_tails:  # mostly fog, which is lighter in a direct positive
        lighter = 1.0 if rng.random() < 2 / 3 else -1.0
        spoiled_stops = lighter * (0.5 + float(rng.exponential(1.0)))
    return Luck(
        process=float(process),
        setting=float(setting),
        spoiled=spoiled,
        spoiled_stops=spoiled_stops,
        region=unit(regions),
        strip=unit(strips, regions),
        read=unit(strips, regions),
        unseen=rng.random((strips, regions)),
        word=rng.random((strips, regions)),
        misset=bool(rng.random() < rules.misset_rate),
        misset_role=float(rng.random()),
        misset_stops=float(rng.choice([-1.0, 1.0]) * rng.uniform(0.5, 1.5)),
        kept_slip=bool(rng.random() < _KEPT_ERROR),
    )


@dataclass(frozen=True, slots=True)
class Sheet:
    """What came of one sheet.

    Parameters
    ----------
    reading : Reading
        Open: what is read of it.
    off_stops : dict
        Hidden: exposure minus aim by aimed region [stops]; empty for a stepped sheet.
    keeper : bool
        Hidden: every aimed region within its tolerance; never a stepped sheet.
    kept_said : bool
        What is said of it, wrong three times in a hundred.
    spoiled, misset : bool
        Hidden: what went wrong.
    """

    reading: Reading
    off_stops: dict[str, float]
    keeper: bool
    kept_said: bool
    spoiled: bool
    misset: bool


@dataclass(frozen=True, slots=True)
class Studio:
    """One sitting in the world, ready to expose sheets.

    Parameters
    ----------
    rules : Rules
        The world.
    kit, sitting : Kit, Sitting
        Open side.
    mode : {"scan", "patch", "eye"}
        How sheets are read.
    truth : Ledger
        Hidden side.
    reader_bias_density, scanner_bias_density : float
        Through the whole sitting [density].
    scatter : float
        The scatter from sheet to sheet over the stated one.
    seed : tuple of int
        Names the stream of sheets.
    """

    rules: Rules
    kit: Kit
    sitting: Sitting
    mode: Mode
    truth: Ledger
    reader_bias_density: float
    scanner_bias_density: float
    scatter: float
    seed: tuple[int, ...]

    def aims_stops(self) -> dict[str, float]:
        """Give where the aimed regions should fall on the true curve [stops]."""
        return {
            region: self.truth.curve.stops(aim["density"])
            for region, aim in self.sitting["aims"].items()
            if aim["tol_stops"] is not None
        }

    def expose(self, settings: Settings, number: int) -> Sheet:
        """Expose, process and read one sheet.

        Parameters
        ----------
        settings : Settings
            As set; a dial set wrong is not noticed.
        number : int
            Sheet of the sitting, from 1.

        Returns
        -------
        Sheet
            Open reading and hidden result.
        """
        luck = self._luck(number)
        made = self._made(settings, luck)
        shift = self._sheet_shift(luck, number)
        scatter = self.kit["region_scatter_sd_stops"] * luck.region
        if made.steps_pops is not None:
            strips = [
                self.truth.placements(made, step)
                + shift
                + scatter
                + _STRIP_SCATTER_STOPS * luck.strip[index]
                for index, step in enumerate(made.steps_pops)
            ]
            read: Reading = {
                "strips": [
                    {"step": step, "regions": self._read(strips[index], luck, index)}
                    for index, step in enumerate(made.steps_pops)
                ]
            }
            return Sheet(
                read, {}, keeper=False, kept_said=False, spoiled=luck.spoiled, misset=luck.misset
            )
        placed = self.truth.placements(made) + shift + scatter
        off = {
            region: float(placed[REGIONS.index(region)]) - aim
            for region, aim in self.aims_stops().items()
        }
        keeper = all(
            abs(stops) <= (self.sitting["aims"][region]["tol_stops"] or 0.0)
            for region, stops in off.items()
        )
        return Sheet(
            {"regions": self._read(placed, luck, 0)},
            off,
            keeper=keeper,
            kept_said=keeper != luck.kept_slip,
            spoiled=luck.spoiled,
            misset=luck.misset,
        )

    def own_stops(self, number: int) -> FloatArray | None:
        """What a sheet and its regions get by chance [stops]; None where something went wrong."""
        luck = self._luck(number)
        if luck.spoiled or luck.misset:
            return None
        region = self.kit["region_scatter_sd_stops"] * luck.region
        return self._sheet_shift(luck, number) + region

    def _luck(self, number: int) -> Luck:
        rng = np.random.default_rng([*self.seed, number])
        return draw_luck(self.rules, rng, self.kit["spoiled_rate"])

    def _made(self, settings: Settings, luck: Luck) -> Settings:
        if not luck.misset:
            return settings
        heads = heads_by_role(self.kit, self.sitting)
        role = list(heads)[int(luck.misset_role * len(heads))]
        wrong = settings.dial_stops[role] + luck.misset_stops
        head = heads[role]
        return settings.with_dial(role, min(max(wrong, head["dial_min"]), head["dial_max"]))

    def _sheet_shift(self, luck: Luck, number: int) -> float:
        tired = self.truth.fatigue_stops * (number - 1)
        if luck.spoiled:
            return tired + luck.spoiled_stops
        process = self.kit["process_scatter_sd_stops"] * luck.process
        setting = self.kit["setting_scatter_sd_stops"] * luck.setting
        return tired + self.scatter * (process + setting)

    def _read(self, placed: FloatArray, luck: Luck, strip: int) -> dict[str, Tone]:
        densities = self.truth.curve.density(placed)
        return {
            region: self._tone(
                float(densities[index]),
                self.sitting["aims"][region],
                float(luck.read[strip, index]),
                float(luck.word[strip, index]),
            )
            for index, region in enumerate(REGIONS)
            if luck.unseen[strip, index] >= self.rules.unseen_rate
        }

    def _tone(self, density: float, aim: Aim, noise: float, word: float) -> Tone:
        if self.mode == "scan":
            read = density + self.scanner_bias_density + self.kit["scan_sd_density"] * noise
            return {"density": round(max(read, 0.0), 3)}
        if self.mode == "patch":
            # the stated sd holds the step of the tablet too
            own = np.sqrt(_PATCH_SD_DENSITY**2 - _PATCH_STEP_DENSITY**2 / 12)
            read = density + self.reader_bias_density + own * noise
            steps = max(round(float(read) / _PATCH_STEP_DENSITY), 0)
            return {
                "density": round(steps * _PATCH_STEP_DENSITY, 2),
                "density_sd": _PATCH_SD_DENSITY,
            }
        curve = self.truth.curve
        chances = word_probabilities(
            density + self.reader_bias_density,
            word_cuts(aim["density"], aim["eye_tol_density"], curve.dmin, curve.dmax),
            self.kit["eye_sd_density"],
        )
        said = int(np.searchsorted(np.cumsum(chances), word, side="right"))
        return {"verdict": WORDS[min(said, len(WORDS) - 1)]}
