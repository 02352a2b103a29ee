"""Explanations of an odd sheet, compared.

Chances are held against integrals worked out here by quadrature from the stated model (Student's t
of four degrees of freedom for a density, a normal shift for each sheet), and against the ratio of
two normal densities where reading errors are small beside the scatter. All scenes are invented.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from stillroom.belief import (
    RATES,
    Case,
    Comparison,
    Explanation,
    LaidSheet,
    Slip,
    Weighed,
    alike,
    compare,
    least_chance,
)
from stillroom.belief.explanations import explanations, shared_out
from stillroom.exposure import BareReading, BareRegionReading, BareSheet, Layout
from stillroom.paper import density, density_slope, placement

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1]))
from engine_cases import all_known, layout_of, opening, posterior_of, settings  # type: ignore[import-not-found]
from odd_cases import Scene, odd_sheet, scene  # type: ignore[import-not-found]

SEEN_SD = 0.04


# ---- closed form -----------------------------------------------------------------------------


def one_known_region(sheet_sd: float) -> dict[str, Any]:
    """One head on one region, everything known but how sheets scatter."""
    begin: dict[str, Any] = all_known(opening("A-scan.jsonl"))
    begin["kit"] |= {
        "process_scatter_sd_stops": sheet_sd,
        "setting_scatter_sd_stops": 0.0,
        "region_scatter_sd_stops": 0.07,
    }
    key = begin["sitting"]["sources"][0]
    key["region_stops"], key["region_sd_stops"] = {"key": 0.0}, {"key": 0.0}
    begin["sitting"] |= {"sources": [key], "aims": {"key": begin["sitting"]["aims"]["key"]}}
    return begin


def read(layout: Layout, tones: dict[str, float], dials: dict[str, float]) -> LaidSheet:
    seen = {r: BareRegionReading(density=d, density_sd=SEEN_SD) for r, d in tones.items()}
    return LaidSheet(layout, BareSheet(settings(dials), BareReading(seen)))


def compared(begin: dict[str, Any], tone: float, stops: float) -> tuple[Comparison, Weighed]:
    """A sheet of one tone, and how it stands with one more explanation: so much more light."""
    posterior = posterior_of(begin)
    more = Explanation(Slip.KNOCKED, "by hand", 0.01, (Case(1.0, stops, {"key": stops}),))
    found = compare(posterior, read(layout_of(begin), {"key": tone}, {"key": -1.0}), [more])
    assert found is not None
    return found, next(w for w in found.weighed if w.explanation is more)


def chance(tone: float, expected: float, sheet_sd: float) -> float:
    """The chance of a density, the sheet's shift integrated out, from the model as stated."""
    curve = (1.1, 1.0, 0.1, 1.9)
    slope = float(density_slope(placement(tone, *curve), *curve))
    sd = math.hypot(SEEN_SD, 0.07 * slope)

    def at(shift: float) -> float:
        r = (tone - float(density(expected + shift, *curve))) / sd
        normal = math.exp(-0.5 * (shift / sheet_sd) ** 2) / (sheet_sd * math.sqrt(2 * math.pi))
        return float(normal * (1 + r * r / 4) ** -2.5)

    whole = 8 * sheet_sd
    return float(quad(at, -whole, whole, limit=400, epsabs=1e-12)[0])


def by_kind(found: Comparison, kind: Slip) -> Weighed:
    return next(w for w in found.weighed if w.explanation.kind is kind)


@pytest.mark.parametrize("tone", [0.4, 0.9, 1.3, 1.7])
@pytest.mark.parametrize("stops", [-2.0, -1.0, 0.5, 1.5])
def test_the_chance_of_a_tone_is_the_integral_over_the_sheets_own_shift(
    tone: float, stops: float
) -> None:
    found, by_hand = compared(one_known_region(0.18), tone, stops)
    expected = found.spots[0].expected_stops
    for weighed, at in ((by_kind(found, Slip.SCATTER), 0.0), (by_hand, stops)):
        stated = chance(tone, expected + at, 0.18)
        assert math.exp(weighed.log_likelihood) == pytest.approx(stated, rel=0.03)


def test_two_shifts_stand_to_each_other_as_two_normal_densities() -> None:
    """A reading that is sharp beside the scatter leaves the ratio of the shift's densities."""
    sheet_sd = 1.5
    for stops in (-1.0, 1.0):
        found, by_hand = compared(one_known_region(sheet_sd), 0.9, stops)
        off = float(placement(0.9, 1.1, 1.0, 0.1, 1.9)) - found.spots[0].expected_stops
        stated = (off**2 - (off - stops) ** 2) / (2 * sheet_sd**2)
        told = by_hand.log_likelihood - by_kind(found, Slip.SCATTER).log_likelihood
        assert told == pytest.approx(stated, abs=0.03)


def test_odds_are_rates_times_chances_and_sum_to_one() -> None:
    found, _ = compared(one_known_region(0.18), 1.3, -1.0)
    assert sum(w.share for w in found.weighed) == pytest.approx(1.0)
    first, *others = found.weighed
    for other in others:
        ratio = (other.explanation.rate / first.explanation.rate) * math.exp(
            other.log_likelihood - first.log_likelihood
        )
        assert other.share == pytest.approx(first.share * ratio, rel=1e-9)


def test_a_size_is_averaged_over_with_its_weights() -> None:
    begin = one_known_region(0.18)
    laid = read(layout_of(begin), {"key": 1.2}, {"key": -1.0})
    sizes = (-2.0, -1.0, 0.5)
    alone = [Explanation(Slip.DIAL, f"only {s}", 0.01, (Case(1.0, s, {"key": s}),)) for s in sizes]
    mixed = Explanation(
        Slip.DIAL, "mixed", 0.01, shared_out([Case(w, s, {"key": s}) for w, s in
                                              zip((1.0, 2.0, 1.0), sizes, strict=True)])
    )  # fmt: skip
    found = compare(posterior_of(begin), laid, [*alone, mixed])
    assert found is not None
    chances = {w.explanation.subject: math.exp(w.log_likelihood) for w in found.weighed}
    average = sum(w * chances[f"only {s}"] for w, s in zip((0.25, 0.5, 0.25), sizes, strict=True))
    assert chances["mixed"] == pytest.approx(average, rel=1e-9)


# ---- what each slip does ------------------------------------------------------------------------


@pytest.fixture(scope="module")
def of() -> Scene:
    return scene()


@pytest.fixture(scope="module")
def plain(of: Scene) -> Comparison:
    """A sheet just as expected: what each slip would do can be read off it."""
    rng = np.random.Generator(np.random.PCG64(3))
    found = compare(of.posterior, odd_sheet(of, Slip.SCATTER, "", rng))
    assert found is not None
    return found


def change(found: Comparison, kind: Slip, subject: str = "") -> dict[str, float]:
    """What a slip would do to each region [stops], at the size that fits best."""
    weighed = next(
        w for w in found.weighed if w.explanation.kind is kind and w.explanation.subject == subject
    )
    return {s.region: c for s, c in zip(found.spots, weighed.change_stops, strict=True)}


def test_a_head_that_did_not_fire_darkens_what_it_lights(plain: Comparison) -> None:
    key, rim = (change(plain, Slip.NOT_FIRED, role) for role in ("key", "rim"))
    assert key["key"] < -2
    assert abs(key["rim"]) < 0.1
    assert rim["rim"] < -2
    assert abs(rim["key"]) < 0.1


def test_a_stop_moves_all_regions_alike(plain: Comparison) -> None:
    moved = list(change(plain, Slip.STOP).values())
    assert max(moved) - min(moved) < 1e-6
    assert abs(moved[0]) > 0.5


def test_a_leak_lifts_the_darkest_most(plain: Comparison) -> None:
    lifted = change(plain, Slip.VEIL)
    assert lifted["bg"] > lifted["shadow"] > lifted["key"] > lifted["rim"] > 0


def test_thin_blacks_touch_the_dark_tones_only(plain: Comparison) -> None:
    thin = by_kind(plain, Slip.THIN_BLACKS)
    lost = {s.region: s.expected_density - d
            for s, d in zip(plain.spots, thin.density, strict=True)}  # fmt: skip
    assert lost["bg"] > lost["shadow"] > 4 * lost["key"] > 0
    assert lost["rim"] < 0.01
    assert set(thin.change_stops) == {0.0}


# ---- the camera --------------------------------------------------------------------------------


def gains(
    of: Scene, kind: Slip, seconds: float, *, held_open: bool
) -> dict[float, dict[str, float]]:
    """What each size of a slip of the camera does to each light [stops], four pops."""
    made = replace(of.settings, pops=4, seconds=seconds)
    losses = {m.id: np.zeros(1) for m in of.layout.kit.modifiers}
    found = explanations(of.layout, made, 1, losses, held_open=held_open)
    cases = next(e.cases for e in found if e.kind is kind)
    return {c.value: {r: float(g) for r, g in c.gains.items()} for c in cases}


def test_pops_of_an_open_lens_leave_steady_light_alone(of: Scene) -> None:
    """Twice the pops: a stop less the loss by pops that the kit states, 0.05 a doubling."""
    held = gains(of, Slip.POPS, 0.25, held_open=True)
    each = gains(of, Slip.POPS, 0.25, held_open=False)
    assert set(held) == set(each) == {3, 5, 8}
    assert held[8]["key"] == pytest.approx(0.95)
    assert held[8]["room"] == 0
    # From 1 s to 2 s in all: a stop less what reciprocity takes, 0.1 for each doubling past 1 s.
    assert each[8]["room"] == pytest.approx(0.9)


def test_a_cap_is_late_by_seconds_and_a_shutter_by_marks(of: Scene) -> None:
    """Four pops through one opening of 2 s: late by a second is 3 s, log2(3/2) less a tenth."""
    cap = gains(of, Slip.TIME, 0.5, held_open=True)
    assert [t for t in cap if t > 2] == pytest.approx([2.5, 3.0, 4.0, 6.0])
    assert cap[3.0] == pytest.approx({"room": 0.9 * math.log2(1.5)})
    shutter = gains(of, Slip.TIME, 0.125, held_open=False)
    assert max(shutter) == pytest.approx(0.25)
    assert shutter[0.25]["room"] == pytest.approx(1.0)  # half a second in all, then a second


def test_exposed_twice_adds_up_everything(of: Scene) -> None:
    (again,) = gains(of, Slip.TWICE, 0.25, held_open=True).values()
    assert again == pytest.approx({"key": 0.95, "fill": 0.95, "rim": 0.95, "room": 1.0})


def test_what_gives_the_same_sheet_is_said_to() -> None:
    """With one head alone a stop, its dial and its charge are one and the same light."""
    begin = one_known_region(0.18)
    found, _ = compared(begin, 1.69, -1.0)
    stop, dial, charge = (by_kind(found, k) for k in (Slip.STOP, Slip.DIAL, Slip.NOT_CHARGED))
    assert alike(stop, dial)
    assert alike(dial, charge)


def test_light_is_compared_by_light_and_another_paper_by_its_curve_too(of: Scene) -> None:
    """A curtain lifts as a late cap does; a paper a stop slower darkens as a stop does."""

    def one(kind: Slip, stops: float, *tones: float, laid_otherwise: bool = False) -> Weighed:
        case = Case(1.0, layout=of.layout if laid_otherwise else None)
        return Weighed(Explanation(kind), 0.1, -1.0, case, (stops, stops), tones)

    cap = one(Slip.TIME, 1.0, 0.8, 1.3)
    assert alike(cap, one(Slip.ROOM, 1.6, 0.6, 1.1, laid_otherwise=True))
    assert not alike(cap, one(Slip.ROOM, -1.6, 1.4, 1.8, laid_otherwise=True))
    assert not alike(cap, one(Slip.STOP, 1.6, 0.6, 1.1))
    stop = one(Slip.STOP, -1.0, 0.9, 1.5)
    assert alike(stop, one(Slip.PAPER, -1.1, 0.95, 1.55, laid_otherwise=True))
    assert not alike(stop, one(Slip.PAPER, -1.1, 0.8, 1.3, laid_otherwise=True))


def test_what_gives_another_sheet_is_not(plain: Comparison) -> None:
    veil, thin, stop = (by_kind(plain, k) for k in (Slip.VEIL, Slip.THIN_BLACKS, Slip.STOP))
    assert not alike(veil, stop)
    assert not alike(veil, thin)
    assert not alike(stop, thin)


def test_what_changes_nothing_is_not_an_explanation(of: Scene) -> None:
    """Pops carry this picture: how long the lens was open in a dark room cannot be told."""
    rng = np.random.Generator(np.random.PCG64(4))
    found = compare(of.posterior, odd_sheet(of, Slip.SCATTER, "", rng))
    assert found is not None
    assert Slip.TIME not in {w.explanation.kind for w in found.weighed}


def test_a_sheet_that_says_nothing_is_not_compared(of: Scene) -> None:
    bare = LaidSheet(of.layout, BareSheet(of.settings))
    unsure = BareReading({"key": BareRegionReading(verdict="cant_tell")})
    assert compare(of.posterior, bare) is None
    assert compare(of.posterior, LaidSheet(of.layout, BareSheet(of.settings, unsure))) is None


def test_words_are_compared_too(of: Scene) -> None:
    said = {"key": "black", "shadow": "black", "rim": "as_wanted", "bg": "black"}
    reading = BareReading({r: BareRegionReading(verdict=v) for r, v in said.items()})  # type: ignore[arg-type]
    found = compare(of.posterior, LaidSheet(of.layout, BareSheet(of.settings, reading)))
    assert found is not None
    first = found.slips()[0].explanation
    assert (first.kind, first.subject) == (Slip.NOT_FIRED, "key")
    assert found.share(Slip.SCATTER) > 0.1  # three words said wrongly are no rarity


def test_strips_of_a_stepped_sheet_are_compared(of: Scene) -> None:
    """All strips too dark alike: the stop; that speaks against scatter, which is one a sheet."""
    stepped = replace(of.settings, steps_pops=(1, 2, 4), pops=1)
    plain = BareReading(strips=((1, {"key": BareRegionReading(density=1.0)}),))
    probe = compare(of.posterior, LaidSheet(of.layout, BareSheet(stepped, plain)))
    assert probe is not None
    curve = of.posterior.states().curves
    shape = [float(x.mean()) for x in (curve.contrast, curve.asymmetry, curve.dmin, curve.dmax)]
    base = probe.spots[0].expected_stops - 2.0
    strips = tuple(
        (n, {"key": BareRegionReading(density=float(density(base + k * 0.95, *shape)))})
        for k, n in enumerate((1, 2, 4))
    )
    found = compare(
        of.posterior, LaidSheet(of.layout, BareSheet(stepped, BareReading(strips=strips)))
    )
    assert found is not None
    assert len(found.spots) == 3
    assert found.share(Slip.SCATTER) < 0.01
    assert Slip.POPS not in {w.explanation.kind for w in found.weighed}


def test_the_same_sheet_gets_the_same_answer(of: Scene) -> None:
    laid = odd_sheet(of, Slip.VEIL, "", np.random.Generator(np.random.PCG64(5)))
    told = [compare(of.posterior, laid) for _ in range(2)]
    assert told[0] is not None
    assert told[1] is not None
    assert [w.share for w in told[0].weighed] == [w.share for w in told[1].weighed]


def test_a_sheet_that_is_as_expected_has_no_unlikely_tone() -> None:
    begin = one_known_region(0.18)
    layout = layout_of(begin)
    expected = compared(begin, 0.9, 1.0)[0].spots[0].expected_density
    near, far = (read(layout, {"key": d}, {"key": -1.0}) for d in (expected, expected + 0.6))
    plain = posterior_of(begin, [replace(near.sheet, reading=None)])
    assert least_chance(plain, near, 0) > 0.5
    assert least_chance(plain, far, 0) < 0.05


def test_rates_leave_most_sheets_to_scatter() -> None:
    assert 0.9 < 1 - sum(RATES.values()) < 0.97
