"""Sheets made before any is seen, against every set tried in turn and against closed forms."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from stillroom.advice import (
    TIE,
    Policy,
    Table,
    Together,
    next_sheet,
    several_sheets,
    sheets_together,
)
from stillroom.advice.costs import SHEETS_A_ROUND
from stillroom.advice.rounds import READ_SD_STOPS, rounds_ahead
from stillroom.belief import Posterior, fold, opened
from stillroom.documents.bare_ledger import Begin
from stillroom.errors import OutOfRange
from stillroom.exposure import BareSettings
from tests.unit.engine_cases import (
    NAMES,
    SCATTER,
    all_known,
    dialogue,
    layout_of,
    opening,
    posterior_of,
    sheet,
)

TOL = 1 / 3
SPEED_SD = 0.5


def one_unknown(speed_sd: float = SPEED_SD) -> dict[str, Any]:
    """One aimed region, lit by one head; only the paper's speed is not known.

    No sheet is spoiled, so that everything is a normal law.
    """
    begin = all_known(opening())
    begin["kit"]["papers"][0]["speed_sd_stops"] = speed_sd
    begin["kit"]["spoiled_rate"] = 0.0
    for region, aim in begin["sitting"]["aims"].items():
        aim["tol_stops"] = TOL if region == "key" else None
    return begin


def planned(posterior: Posterior, most: int = 4, **policy: Any) -> tuple[Together, ...]:
    how = Policy(**policy)
    first = next_sheet(posterior, last=None, policy=how, stepped_allowed=False)
    return sheets_together(posterior, first, policy=how, most=most)


def after(name: str, sheets: int) -> Posterior:
    """What is believed in a dialogue after so many of its sheets."""
    said = dialogue(name)
    made = [sheet({k: v for k, v in m.items() if k != "op"}) for m in said if m["op"] == "record"]
    return posterior_of(said[0], made[:sheets])


def landing(posterior: Posterior, settings: BareSettings, place: int = 0) -> np.ndarray:
    """Odds of a sheet in each state, made so many sheets after the next one."""
    layout = posterior.layout
    table = Table(posterior.states(), layout.at_sheet(layout.nth + place))
    light, gains = table.light(settings), table.gains(settings)
    return np.asarray(table.landing_by_state(table.deviations(light, gains))[0])


def one_of(landed: np.ndarray) -> float:
    return float((1 - (1 - landed).prod(axis=0)).mean())


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("sheets", [0, 2])
def test_more_sheets_land_likelier_and_as_often_as_is_said(name: str, sheets: int) -> None:
    """Odds never fall with the number, and are the product over states of what each sheet does."""
    posterior = after(name, sheets)
    first = next_sheet(posterior, last=None, policy=Policy(), stepped_allowed=False)
    plans = sheets_together(posterior, first)
    assert [len(plan.settings) for plan in plans] == [1, 2, 3, 4]
    assert plans[0].settings == (first.best.settings,)
    assert plans[0].p_any == pytest.approx(first.best.p_keeper, abs=5e-3)
    for fewer, more in itertools.pairwise(plans):
        assert more.p_any >= fewer.p_any
        assert more.p_any >= more.p_alike - TIE
    for plan in plans:
        landed = np.array([landing(posterior, s, i) for i, s in enumerate(plan.settings)])
        assert plan.p_any == pytest.approx(one_of(landed), abs=1e-9)
        assert plan.landed == pytest.approx(float(landed.mean(axis=1).sum()), abs=1e-9)
        assert plan.p_any <= plan.landed + 1e-12  # Boole's inequality


@pytest.mark.parametrize(("name", "sheets"), [("A-scan.jsonl", 1), ("B-patch.jsonl", 0)])
@pytest.mark.parametrize("count", [2, 3])
def test_nearly_the_best_of_all_sets(name: str, sheets: int, count: int) -> None:
    """Few settings: every set of them is tried. Within a tie, never more."""
    said = dialogue(name)
    for head in said[0]["kit"]["heads"]:
        head.update(dial_min=-4.0, dial_step=0.5)
    made = []
    for message in [m for m in said if m["op"] == "record"][:sheets]:
        dials = message["settings"]["dial_stops"]
        message["settings"]["dial_stops"] = {r: round(d * 2) / 2 for r, d in dials.items()}
        made.append(sheet({k: v for k, v in message.items() if k != "op"}))
    posterior = posterior_of(said[0], made)
    locks = frozenset({"pops", "stop", "seconds", "rim"})
    first = next_sheet(posterior, last=None, policy=Policy(locks=locks), stepped_allowed=False)
    got = several_sheets(posterior, first, count, policy=Policy(locks=locks))
    base = first.best.settings
    near = [
        BareSettings(
            {**base.dial_stops, "key": key, "fill": fill}, base.f_number, base.pops, base.seconds
        )
        for key in np.arange(-4.0, 0.1, 0.5)
        for fill in np.arange(-4.0, 0.1, 0.5)
        if abs(key - base.dial_stops["key"]) <= 1.5 and abs(fill - base.dial_stops["fill"]) <= 1.5
    ]
    miss = 1 - np.array([[landing(posterior, s, i) for s in near] for i in range(count)])
    best = max(
        1 - float(miss[range(count), some].prod(axis=0).mean())
        for some in itertools.combinations_with_replacement(range(len(near)), count)
    )
    assert got.p_any >= best - TIE - 0.003


@pytest.mark.parametrize("sheets", [0, 1, 2])
@pytest.mark.parametrize("name", NAMES)
def test_the_quickest_knob_where_it_costs_no_more_than_a_tie(name: str, sheets: int) -> None:
    """Two sheets that differ by several knobs are better than by any one, by nearly a tie.

    The sets by one knob are found with everything else locked. What turns nothing is alike.
    """
    posterior = after(name, sheets)
    first = next_sheet(posterior, last=None, policy=Policy(), stepped_allowed=False)
    plan = several_sheets(posterior, first, 2)
    a, b = plan.settings
    knobs = {r for r in a.dial_stops if a.dial_stops[r] != b.dial_stops[r]}
    camera = {"stop": "f_number", "pops": "pops", "seconds": "seconds"}
    knobs |= {knob for knob, name in camera.items() if getattr(a, name) != getattr(b, name)}
    every = frozenset({*a.dial_stops, *camera})
    by_one = [
        several_sheets(posterior, first, 2, policy=Policy(locks=every - {knob})).p_any
        for knob in every
    ]
    assert plan.p_any >= max(by_one) - TIE
    if len(knobs) > 1:
        assert plan.p_any > max(by_one) + TIE / 2
    if not knobs:
        assert plan.p_any >= plan.p_alike - TIE


def test_a_normal_belief_and_one_region_by_quadrature() -> None:
    """Closed form: light known to 0.5 stop, one region, normal scatter, no spoiled sheets.

    The odds of two sheets, one so much lighter and one as much darker, are one integral. Best are
    0.3 stop either way, 0.70 against 0.60 for two alike; the cloud of 800 states is good to 0.02.
    """
    posterior = posterior_of(one_unknown())
    plan = planned(posterior, 2)[-1]

    def lands(off: float) -> float:
        return float(norm.cdf((TOL - off) / SCATTER) - norm.cdf((-TOL - off) / SCATTER))

    def p_any(offsets: list[float]) -> float:
        def none(x: float) -> float:
            return float(norm.pdf(x, scale=SPEED_SD)) * math.prod(
                1 - lands(x + o) for o in offsets
            )

        return 1 - quad(none, -4, 4, limit=200)[0]

    table = Table(posterior.states(), posterior.layout)
    off = [float(table.deviations(table.light(s), table.gains(s)).mean()) for s in plan.settings]
    assert plan.p_any == pytest.approx(p_any(off), abs=0.02)
    best = max(p_any([d, -d]) for d in np.arange(0, 1, 0.05))
    assert p_any(off) >= best - TIE - 0.01
    assert best == pytest.approx(0.7046, abs=1e-3)
    assert p_any([0.0, 0.0]) == pytest.approx(0.5996, abs=1e-3)
    assert p_any(off) > p_any([0.0, 0.0]) + 0.07


def test_known_light_wants_sheets_alike() -> None:
    """Nothing left to learn but the scatter: then a second sheet is one more throw, no more."""
    begin = one_unknown(0.0)
    plans = planned(posterior_of(begin))
    p = plans[0].p_any
    for count, plan in enumerate(plans, start=1):
        assert len(set(map(repr, plan.settings))) == 1
        assert plan.p_any == pytest.approx(1 - (1 - p) ** count, abs=1e-9)
        assert plan.p_any == plan.p_alike


TIRING_STOPS = 0.5


def tiring() -> Posterior:
    """All is known; each sheet finds the baths half a stop slower. Dials have room either way."""
    begin = one_unknown(0.0)
    begin["kit"]["papers"][0]["speed_log2"] += 2
    layout = layout_of(begin)
    kit = Begin.model_validate(begin).kit.bare()
    before = opened(fold(kit, []), layout).extended(layout.terms)
    before.mean[before.names.index(f"bath/{layout.bath}/fatigue")] = -TIRING_STOPS
    return Posterior(before, layout)


def lands_off(stops: float) -> float:
    """Odds of one region so far from its aim: a normal law (closed form)."""
    return float(norm.cdf((TOL - stops) / SCATTER) - norm.cdf((-TOL - stops) / SCATTER))


def any_of(offsets: list[float]) -> float:
    """Odds that one of several sheets lands where only their own scatter is left."""
    return 1 - math.prod(1 - lands_off(off) for off in offsets)


def deviation(posterior: Posterior, settings: BareSettings) -> float:
    """How far from its aim the region is, made as the next sheet [stops]."""
    table = Table(posterior.states(), posterior.layout)
    return float(table.deviations(table.light(settings), table.gains(settings)).mean())


@pytest.mark.parametrize("count", [2, 3])
def test_baths_known_to_tire_are_made_up_for(count: int) -> None:
    """All else known, each sheet gets the half stop more that the baths lose by it.

    By closed form the set is then as likely as so many throws at the middle of the bracket.
    """
    posterior = tiring()
    plan = planned(posterior, count)[-1]
    off = [deviation(posterior, s) for s in plan.settings]
    lost = [TIRING_STOPS * n for n in range(count)]
    left = [o - x for o, x in zip(off, lost, strict=True)]
    assert plan.p_any == pytest.approx(any_of(left), abs=1e-3)
    assert plan.p_any >= any_of([0.0] * count) - TIE
    if count == 2:
        assert off[1] - off[0] == pytest.approx(TIRING_STOPS, abs=TIRING_STOPS / 2)
        assert plan.p_any > plan.p_alike + TIE


def test_sheets_that_stay_alike_get_darker_as_the_baths_tire() -> None:
    """Nothing may be turned: the second sheet is half a stop off, the third a whole one."""
    posterior = tiring()
    locks = frozenset({*posterior.layout.dials, "pops", "stop", "seconds"})
    plans = planned(posterior, 3, locks=locks)
    off = deviation(posterior, plans[0].settings[0])
    for count, plan in enumerate(plans, start=1):
        alike = [off - TIRING_STOPS * n for n in range(count)]
        assert plan.settings == plans[0].settings * count
        assert plan.p_any == plan.p_alike == pytest.approx(any_of(alike), abs=1e-3)
        assert plan.landed == pytest.approx(sum(map(lands_off, alike)), abs=1e-3)


def test_what_is_locked_stays() -> None:
    posterior = after("A-scan.jsonl", 1)
    locks = frozenset({"key", "pops", "stop"})
    for plan in planned(posterior, locks=locks):
        assert len({s.dial_stops["key"] for s in plan.settings}) == 1
        assert len({(s.pops, s.f_number) for s in plan.settings}) == 1
    everything = frozenset({*posterior.layout.dials, "pops", "stop", "seconds"})
    for plan in planned(posterior, locks=everything):
        assert len(set(map(repr, plan.settings))) == 1


@pytest.mark.parametrize("name", NAMES)
def test_every_sheet_can_be_set(name: str) -> None:
    posterior = after(name, 1)
    layout = posterior.layout
    for made in planned(posterior)[-1].settings:
        assert made.f_number in layout.f_numbers
        assert 1 <= made.pops <= 8
        assert set(made.dial_stops) == set(layout.dials)
        for role, dial in made.dial_stops.items():
            assert np.abs(layout.dials[role].steps() - dial).min() < 1e-9


def test_the_same_again_is_the_same_answer() -> None:
    one, other = (planned(after("C-eye.jsonl", 1)) for _ in range(2))
    assert one == other


@pytest.mark.parametrize("count", [0, 5])
def test_one_to_four_sheets(count: int) -> None:
    posterior = posterior_of(one_unknown())
    first = next_sheet(posterior, last=None, policy=Policy())
    with pytest.raises(OutOfRange, match="sheets"):
        several_sheets(posterior, first, count)


# ---- rounds against sheets ------------------------------------------------------------------


def test_rounds_by_plain_counting() -> None:
    """A normal belief and one region: ten thousand sittings played by the conjugate rule.

    One plays on as `rounds_ahead` takes it: so many sheets a round as cost least, each aimed at
    the mean of what is believed. Beliefs narrow further in every round there, so the rounds
    are fewer by at most a tenth; the cloud adds 0.03.
    """
    posterior = posterior_of(one_unknown())
    first = next_sheet(posterior, last=None, policy=Policy(), stepped_allowed=False)
    plans = sheets_together(posterior, first)
    table = Table(posterior.states(), posterior.layout)
    rng = np.random.default_rng(7)
    for plan, said in zip(
        plans, rounds_ahead(posterior, first, plans, dear="paper", read_by="scan"), strict=True
    ):
        off = [
            float(table.deviations(table.light(s), table.gains(s)).mean()) for s in plan.settings
        ]
        rounds, sheets = played(np.array(off), rng)
        assert said.rounds == pytest.approx(rounds, abs=0.13)
        assert said.sheets == pytest.approx(sheets, abs=0.13)
        assert said.rounds >= rounds - 0.03


def played(first: np.ndarray, rng: np.random.Generator) -> tuple[float, float]:
    """Rounds and sheets until one lands, over 10 000 sittings; later rounds have one sheet."""
    read_sd = math.hypot(SCATTER, READ_SD_STOPS["scan"])
    n = 10_000
    x = SPEED_SD * rng.standard_normal(n)
    mean, precision = np.zeros(n), np.full(n, 1 / SPEED_SD**2)
    going, rounds, sheets = np.ones(n, dtype=bool), np.zeros(n), np.zeros(n)
    offsets = np.repeat(first[:, None], n, axis=1)
    while going.any() and rounds.max() < 200:
        rounds += going
        sheets += going * len(offsets)
        landed = np.zeros(n, dtype=bool)
        for offset in offsets:
            fell = x + offset + SCATTER * rng.standard_normal(n)
            landed |= np.abs(fell) < TOL
            seen = fell - offset + READ_SD_STOPS["scan"] * rng.standard_normal(n)
            mean = (mean * precision + seen / read_sd**2) / (precision + 1 / read_sd**2)
            precision = precision + 1 / read_sd**2
        going &= ~landed
        offsets = -mean[None]
    return float(rounds.mean()), float(sheets.mean())


@pytest.mark.parametrize("name", NAMES)
def test_dear_paper_wants_fewer_sheets_dear_time_fewer_rounds(name: str) -> None:
    posterior = after(name, 1)
    first = next_sheet(posterior, last=None, policy=Policy(), stepped_allowed=False)
    plans = sheets_together(posterior, first)
    cheapest = {}
    for dear in ("paper", "time"):
        told = rounds_ahead(posterior, first, plans, dear=dear, read_by="words")
        for fewer, more in itertools.pairwise(told):
            assert more.rounds < fewer.rounds
        for one in told:
            assert math.isfinite(one.cost)
            assert one.cost == pytest.approx(one.sheets + SHEETS_A_ROUND[dear] * one.rounds)
            assert one.rounds >= 1
            assert one.sheets >= len(one.together.settings)
        cheapest[dear] = min(range(4), key=lambda i: told[i].cost)
    assert cheapest["paper"] <= cheapest["time"]
    assert cheapest["paper"] == 0


def test_what_cannot_land_still_gives_finite_rounds() -> None:
    """An aim a dozen stops beyond the kit: odds of nothing, and no figure runs away."""
    begin = opening()
    begin["kit"]["papers"][0]["speed_log2"] -= 11
    posterior = posterior_of(begin)
    first = next_sheet(posterior, last=None, policy=Policy(), stepped_allowed=False)
    told = rounds_ahead(posterior, first, sheets_together(posterior, first), dear="time")
    assert all(math.isfinite(x) for r in told for x in (r.sheets, r.rounds, r.cost))
    assert told[0].together.p_any < 0.01
