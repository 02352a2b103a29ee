"""Trials on another camera's table of light. Everything here is invented."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.advice import Table
from stillroom.advice.other_camera import Knobs, Rig, cost_of
from stillroom.exposure import BareSettings
from stillroom.quantity import FloatArray
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders

F_NUMBERS = (5.657, 8.0, 11.314, 16.0)


@pytest.fixture(scope="module")
def rig() -> Rig:
    """Two heads in the key's box, a fill, a little room light."""
    found: dict[str, Any] = head_and_shoulders()
    key = found["sittings"][0]["lights"][0]
    found["sittings"][0]["lights"].append(key | {"role": "key2", "kit_id": "E", "geo": "key"})
    table = Worktable(book_of(found), "S1")
    posterior = table.posterior()
    return Rig(Table(posterior.states(), posterior.layout), {}, [("key", "key2")])


def knobs(rig: Rig, f: FloatArray, pops: FloatArray, moved: Mapping[str, float]) -> Knobs:
    rows = np.array([moved.get(role, 0.0) for role in rig.roles])
    return Knobs(f, pops, np.full(len(f), 0.125), np.tile(rows, (len(f), 1)))


def test_heads_in_one_modifier_share_a_dial_each_on_its_own_steps(rig: Rig) -> None:
    tried = rig.tried(knobs(rig, np.array(F_NUMBERS), np.ones(4), {}))
    a, b = (tried.dials[:, rig.roles.index(role)] for role in ("key", "key2"))
    assert a == pytest.approx(b, abs=0.06)
    for role, found in (("key", a), ("key2", b)):
        steps = rig.layout.dials[role].steps()
        assert all(np.abs(steps - x).min() < 1e-9 for x in found)


@given(st.sampled_from(F_NUMBERS), st.integers(1, 8), st.floats(-2, 2), st.sampled_from(F_NUMBERS))
def test_trials_do_not_touch_each_other(
    rig: Rig, f: float, pops: int, moved: float, other: float
) -> None:
    alone = rig.tried(knobs(rig, np.array([f]), np.array([float(pops)]), {"key": moved}))
    beside = rig.tried(
        knobs(rig, np.array([f, other]), np.array([float(pops), 1.0]), {"key": moved})
    )
    assert alone.dials[0] == pytest.approx(beside.dials[0])
    assert alone.p_lands[0] == pytest.approx(beside.p_lands[0])


@given(st.sampled_from(F_NUMBERS[:2]), st.floats(-1.0, 1.0))
def test_light_given_is_taken_off_the_dial(rig: Rig, f: float, moved: float) -> None:
    """Where dials can follow, tones land alike however far the lights stand."""
    both = {"key": moved, "key2": moved}
    found = rig.tried(knobs(rig, np.array([f]), np.ones(1), both))
    plain = rig.tried(knobs(rig, np.array([f]), np.ones(1), {}))
    at = rig.roles.index("key")
    if all(-5.9 < x.dials[0, at] < -0.1 for x in (found, plain)):
        assert found.off_stops[0] == pytest.approx(plain.off_stops[0], abs=0.12)
        assert found.dials[0, at] == pytest.approx(plain.dials[0, at] - moved, abs=0.16)


def test_more_light_is_never_darker(rig: Rig) -> None:
    """One more head, a pop more, a stop wider: never less at any aimed region at full."""
    table = rig.table
    full = BareSettings(dict.fromkeys(rig.layout.dials, 0.0), 16.0, 1, 0.125)
    lit = table.light(full)
    without = lit.copy()
    without[:, :, rig.roles.index("key2")] = 0.0
    assert (lit.sum(axis=2) > without.sum(axis=2)).all()
    for more in (
        BareSettings(full.dial_stops, 16.0, 2, 0.125),
        BareSettings(full.dial_stops, 11.314, 1, 0.125),
    ):
        assert (table.light(more).sum(axis=2) >= lit.sum(axis=2)).all()


def test_settled_is_no_worse_than_where_it_began(rig: Rig) -> None:
    tried = rig.tried(knobs(rig, np.array([8.0]), np.ones(1), {}))
    dials = dict(zip(rig.roles, map(float, tried.dials[0]), strict=True))
    start = BareSettings({r: dials[r] for r in rig.layout.dials}, 8.0, 1, 0.125)
    assert rig.settled(start).p_lands >= rig.exactly(start).p_lands - 0.02


def test_exact_odds_are_the_tables(rig: Rig) -> None:
    some = BareSettings({"key": -1.0, "key2": -1.0, "fill": -1.0}, 8.0, 1, 0.125)
    assert rig.exactly(some).p_lands == rig.table.odds(some).p_keeper


@given(
    st.floats(0, 50), st.floats(0.02, 1), st.floats(0.1, 2), st.floats(0.02, 1), st.floats(0, 9)
)
def test_cost_rises_with_effort_and_falls_with_odds_and_depth(
    effort: float, p: float, depth: float, other_p: float, more: float
) -> None:
    cost = float(cost_of(effort, p, depth))
    assert float(cost_of(effort + more, p, depth)) == pytest.approx(cost + more)
    assert (float(cost_of(effort, other_p, depth)) <= cost) == (other_p >= p)
    assert float(cost_of(effort, p, depth * 2)) <= cost
