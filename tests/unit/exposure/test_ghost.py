"""Second edges against pictures rendered opening by opening, and against heads moved by dice."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.exposure import (
    ManyTones,
    chance_ghost_shows,
    chance_shines_through,
    chance_step_seen,
    edge_steps,
    open_s_for_share,
    share_beyond,
    steady_share,
    visible_step,
)
from stillroom.paper import LOSS_PER_DOUBLING_STOPS, ToneCurve, density, reciprocity_stops
from stillroom.quantity import FloatArray
from stillroom.sitter import Motion, smear_mm, usual_motion
from tests.unit.sitter_paths import walks

CURVE = ToneCurve(1.6, 1.0, 0.08, 1.9)
HARD = ToneCurve(2.4, 0.5, 0.06, 2.1)
PIXEL_MM = 0.005


def rendered(
    edge_mm: FloatArray,
    share: float,
    here: float,
    there: float,
    *,
    beside_share: float,
    curve: ToneCurve,
) -> tuple[FloatArray, FloatArray]:
    """Densities along a line across an edge, the sitter left of it at the flash.

    `edge_mm` is where the edge stood at each moment of the opening; the flash found it at 0. Every
    moment is exposed by itself, light is added up, and the sum goes through the curve.
    """
    x = np.arange(-3.0, 3.0, PIXEL_MM) + PIXEL_MM / 2
    sitter, ground = 2.0**here, 2.0**there
    flash = np.where(x < 0, sitter * (1 - share), ground * (1 - beside_share))
    steady = np.zeros_like(x)
    for at in edge_mm:
        steady += np.where(x < at, sitter * share, ground * beside_share) / len(edge_mm)
    shape = (curve.contrast_per_stop, curve.asymmetry, curve.dmin, curve.dmax)
    return x, density(np.log2(flash + steady), *shape)


@pytest.mark.parametrize("curve", [CURVE, HARD])
@pytest.mark.parametrize("share", [0.02, 0.1, 0.4, 0.9])
@pytest.mark.parametrize(("here", "there"), [(0.7, -2.5), (-1.5, 1.0), (0.2, 0.0)])
def test_steps_are_those_of_a_rendered_picture(
    curve: ToneCurve, share: float, here: float, there: float
) -> None:
    """A head that stands 1 mm to the right for a third of the time, to the left for a fifth."""
    beside_share = share / 2
    edge = np.repeat([1.0, 0.0, -1.0], [40, 56, 24])
    x, tone = rendered(edge, share, here, there, beside_share=beside_share, curve=curve)
    ground, sitter = tone[x > 2].mean(), tone[x < -2].mean()
    beside = edge_steps(share, here, there, curve, beside_share=beside_share, away=40 / 120)
    inside = edge_steps(share, here, there, curve, beside_share=beside_share, away=24 / 120)
    in_strip = tone[(x > 0.1) & (x < 0.9)].mean()
    in_sitter = tone[(x > -0.9) & (x < -0.1)].mean()
    assert float(beside.beside) == pytest.approx(ground - in_strip, abs=1e-9)
    assert float(inside.inside) == pytest.approx(sitter - in_sitter, abs=1e-9)
    assert float(beside.beside_density) == pytest.approx(ground, abs=1e-9)


@pytest.mark.parametrize("pop_at", [0.1, 0.5, 0.8])
def test_a_head_that_passes_evenly_is_told_at_the_width_that_is_seen(pop_at: float) -> None:
    """At 0.2 mm off the edge a picture of an even pass has the density of the closed form."""
    streak, width, share = 1.5, 0.2, 0.3
    edge = streak * ((np.arange(3000) + 0.5) / 3000 - pop_at)
    x, tone = rendered(edge, share, 0.7, -2.5, beside_share=share, curve=CURVE)
    side = 1.0 if pop_at < 0.5 else -1.0
    there = tone[np.argmin(abs(x - side * width))]
    ground = tone[x > 2].mean() if side > 0 else tone[x < -2].mean()
    gone = float(share_beyond(streak, width, pop_at))
    steps = edge_steps(share, 0.7, -2.5, CURVE, away=gone)
    step = steps.beside if side > 0 else steps.inside
    assert float(step) == pytest.approx(ground - there, abs=0.004)
    assert gone > 0


def chance_by_dice(
    motion: Motion, open_s: float, share: float, visible_mm: float, magnification: float
) -> float:
    """Heads that move step by step; the pop finds them at any moment; the worst side is seen."""
    rng, paths, steps = np.random.default_rng(11), 1500, 200
    known = math.hypot(motion.sitter_log_sd, motion.trial_log_sd)
    times = np.exp(known * rng.standard_normal(paths))
    at = magnification * times[:, None, None] * walks(rng, motion, open_s, paths, steps)
    pop = rng.integers(0, steps + 1, paths)
    off = at - at[np.arange(paths), :, pop][:, :, None]
    beyond = np.zeros(paths)
    for turn in np.linspace(0, 2 * np.pi, 24, endpoint=False):
        along = np.cos(turn) * off[:, 0] + np.sin(turn) * off[:, 1]
        beyond = np.maximum(beyond, (along > visible_mm).mean(axis=1))
    found = edge_steps(share, 0.5, -2.5, CURVE, away=beyond)
    seen = np.maximum(
        chance_step_seen(found.beside, found.beside_density),
        chance_step_seen(found.inside, found.inside_density),
    )
    return float(seen.mean())


@pytest.mark.parametrize("support", ["standing", "seated", "head_rest"])
@pytest.mark.parametrize("open_s", [0.25, 1.0, 3.0, 8.0])
@pytest.mark.parametrize("share", [0.01, 0.03, 0.1, 0.4])
def test_the_chance_is_that_of_heads_moved_by_dice(
    support: str, open_s: float, share: float
) -> None:
    """Within 0.13, where long openings catch a head that turns about; 0.06 up to a second."""
    motion = usual_motion(support)
    moved, log_sd = smear_mm(open_s, 0.3, motion)
    closed = chance_ghost_shows(
        share,
        0.5,
        -2.5,
        CURVE,
        displacement_mm=moved,
        displacement_log_sd=log_sd,
        visible_mm=0.2,
    )
    found = chance_by_dice(motion, open_s, share, 0.2, 0.3)
    assert float(closed) == pytest.approx(found, abs=0.06 if open_s <= 1 else 0.13)


def test_what_moves_less_than_is_allowed_makes_no_second_edge() -> None:
    moved = {"displacement_log_sd": 0.0, "visible_mm": 0.2}
    for off, shows in ((0.05, 0.0), (0.19, 0.0), (2.0, 1.0)):
        chance = chance_ghost_shows(0.4, 0.7, -2.5, CURVE, displacement_mm=off, **moved)
        assert float(chance) == pytest.approx(shows, abs=0.02)


def test_a_second_pop_lies_where_the_head_went() -> None:
    """Half the light of two pops, all of it displaced: nothing is left to the moment of a pop."""
    moved = {"displacement_mm": 0.5, "displacement_log_sd": 0.3, "visible_mm": 0.2}
    both = chance_ghost_shows(0.5, 0.7, -2.5, CURVE, away=1.0, **moved)
    drift = chance_ghost_shows(0.5, 0.7, -2.5, CURVE, **moved)
    assert float(both) >= float(drift) > 0.5


@given(
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
    st.floats(-4.0, 3.0),
    st.floats(-4.0, 3.0),
    st.floats(0.0, 5.0),
)
def test_chances_are_chances_and_darkness_shows_nothing(
    share: float, other: float, here: float, there: float, off: float
) -> None:
    moved = {"displacement_mm": off, "displacement_log_sd": 0.5, "visible_mm": 0.1}
    chance = float(chance_ghost_shows(share, here, there, CURVE, beside_share=other, **moved))
    none = float(chance_ghost_shows(0.0, here, there, CURVE, **moved))
    assert 0 <= chance <= 1
    assert none < 1e-6
    assert float(chance_ghost_shows(share, here, here, CURVE, **moved)) < 1e-6


@given(st.floats(0.001, 0.3), st.floats(1.05, 3.0))
def test_more_steady_light_and_more_movement_show_no_less(share: float, more: float) -> None:
    def shows(of: float, off: float) -> float:
        return float(
            chance_ghost_shows(
                of,
                0.3,
                -3.0,
                CURVE,
                displacement_mm=off,
                displacement_log_sd=0.5,
                visible_mm=0.1,
            )
        )

    assert shows(share * more, 0.4) >= shows(share, 0.4) - 1e-12
    assert shows(share, 0.4 * more) >= shows(share, 0.4) - 1e-12


def test_many_states_at_once_are_each_by_itself() -> None:
    shares, contrast = np.array([0.02, 0.1, 0.3]), np.array([1.2, 1.6, 2.0])
    many = ManyTones(contrast, np.ones(3), np.full(3, 0.08), np.full(3, 1.9))
    moved = {"displacement_mm": 0.6, "displacement_log_sd": 0.4, "visible_mm": 0.1}
    together = chance_ghost_shows(shares, 0.5, -2.0, many, **moved)
    apart = [
        float(chance_ghost_shows(s, 0.5, -2.0, ToneCurve(c, 1.0, 0.08, 1.9), **moved))
        for s, c in zip(shares, contrast, strict=True)
    ]
    assert together.tolist() == pytest.approx(apart, abs=1e-12)


def test_just_visible_is_seen_every_second_time_and_a_little_more_in_shadows() -> None:
    for ground in (0.1, 0.9, 1.5, 1.9):
        just = visible_step(ground)
        assert float(chance_step_seen(just, ground)) == pytest.approx(0.5)
        assert float(chance_step_seen(-just, ground)) == pytest.approx(0.5)
    assert 0.01 <= float(visible_step(0.6)) <= 0.02
    assert 0.03 <= float(visible_step(1.9)) <= 0.05


def test_who_was_away_all_the_time_lets_all_of_it_through() -> None:
    """Nobody there, and flash none: the ground itself; in place, nothing of it."""
    steps = edge_steps(1.0, 0.5, -1.0, CURVE, away=1.0)
    assert float(steps.inside_density - steps.inside) == pytest.approx(CURVE.density(-1.0))
    assert float(chance_shines_through(0.3, 0.5, -1.0, CURVE, away=0.0)) < 1e-6
    longer = chance_shines_through(0.3, 0.5, -1.0, CURVE, away=np.array([0.05, 0.3, 0.8]))
    assert bool((np.diff(longer) > 0).all())


@given(st.floats(0.01, 0.99), st.floats(0.01, 300.0), st.floats(0.01, 0.99))
def test_the_time_for_a_share_gives_that_share(share: float, open_s: float, wanted: float) -> None:
    found = open_s_for_share(share, open_s, wanted, LOSS_PER_DOUBLING_STOPS)

    def counted(t: float) -> float:
        loss = LOSS_PER_DOUBLING_STOPS * max(math.log2(t), 0.0)
        return float(2.0 ** (math.log2(t) - loss))

    if 0.02 < found < 10_000:
        assert counted(found) == pytest.approx(found * 2.0 ** reciprocity_stops(found))
    steady = share * counted(found) / counted(open_s)
    assert steady / (steady + 1 - share) == pytest.approx(wanted)


@pytest.mark.parametrize(("steady", "flash"), [(0.0, 0.0), (-1.0, 2.0), (1.0, math.nan)])
def test_no_light_has_no_shares(steady: float, flash: float) -> None:
    with pytest.raises(OutOfRange):
        steady_share(steady, flash)


def test_shares_add_up() -> None:
    parts = steady_share(np.array([0.0, 1.0, 3.0]), np.array([2.0, 1.0, 1.0]))
    assert parts.tolist() == [0.0, 0.5, 0.75]


@pytest.mark.parametrize(
    "wrong",
    [
        {"steady_share": 1.2},
        {"steady_share": -0.1},
        {"placement_stops": 60.0},
        {"displacement_mm": -1.0},
        {"displacement_log_sd": 9.0},
        {"visible_mm": 0.0},
        {"away": 1.5},
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    right = {
        "steady_share": 0.1,
        "placement_stops": 0.5,
        "beside_stops": -2.0,
        "displacement_mm": 0.5,
        "displacement_log_sd": 0.3,
        "visible_mm": 0.1,
    }
    with pytest.raises(OutOfRange):
        chance_ghost_shows(curve=CURVE, **(right | wrong))


@pytest.mark.parametrize("away", [None, 0.4])
def test_one_movement_for_all_is_as_each_with_the_same(away: float | None) -> None:
    """Two roads to one sum: streaks counted together, and streak by streak."""
    rng = np.random.default_rng(5)
    share, here, there = rng.uniform(0, 0.5, 40), rng.normal(0, 1, 40), rng.normal(-3, 1, 40)
    curves = ManyTones(
        rng.uniform(1.2, 2.0, 40), rng.uniform(0.7, 1.4, 40), np.full(40, 0.08), np.full(40, 1.9)
    )

    def shows(moved_mm: float | FloatArray) -> FloatArray:
        return chance_ghost_shows(
            share,
            here,
            there,
            curves,
            displacement_mm=moved_mm,
            displacement_log_sd=0.4,
            visible_mm=0.1,
            beside_share=2 * share,
            away=away,
        )

    for moved in (0.0, 0.05, 0.3, 20.0):
        assert shows(moved).shape == (40,)
        assert shows(moved) == pytest.approx(shows(np.full(40, moved)), abs=1e-12)
    single = chance_ghost_shows(
        0.2, 1.0, -2.0, CURVE, displacement_mm=0.3, displacement_log_sd=0.4, visible_mm=0.1
    )
    assert single.shape == ()
