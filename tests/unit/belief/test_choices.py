"""Hold, forget, learn: against closed forms of the joint normal, and what must never happen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.belief import Belief, LaidSheet, Posterior, apply, in_force
from stillroom.exposure import BareSheet, Life, Term
from tests.unit.engine_cases import (
    dialogue,
    layout_of,
    mean_of,
    opening,
    posterior_of,
    sd_of,
    sheet,
)

START = datetime(2026, 11, 14, 10, tzinfo=UTC)


@dataclass(frozen=True)
class Said:
    term: str
    choice: Literal["hold", "forget", "learn"]
    day: float = 0.0
    figure: float | None = None

    @property
    def when(self) -> datetime:
        return START + timedelta(days=self.day)


def on_day(day: float) -> datetime:
    return START + timedelta(days=day)


def some_belief(seed: int, size: int) -> tuple[Belief, list[Term]]:
    """A well-conditioned joint normal, and priors that it never came from."""
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(size, size))
    covariance = root @ root.T / size + 0.05 * np.eye(size)
    names = tuple(f"t{i}" for i in range(size))
    belief = Belief(names, rng.normal(size=size), covariance, (Life.KIT,) * size, 3.0)
    return belief, [Term(n, n, 0.25, 1.5, Life.KIT, "entered") for n in names]


CASES = st.tuples(st.integers(0, 10_000), st.integers(2, 7), st.floats(-2.0, 2.0)).flatmap(
    lambda c: st.tuples(st.just(c), st.integers(0, c[1] - 1))
)


@settings(max_examples=60, deadline=None)
@given(CASES)
def test_hold_is_conditioning(case: tuple[tuple[int, int, float], int]) -> None:
    """Mean m_b + S_ba (a - m_a) / S_aa and covariance S_bb - S_ba S_ab / S_aa.

    Source: conditional law of a multivariate normal (any text, e.g. Eaton 2007, prop. 3.13); here
    through the precision matrix, another way than the code's.
    """
    (seed, size, figure), at = case
    belief, terms = some_belief(seed, size)
    held = apply(belief, [Said(f"t{at}", "hold", figure=figure)], terms)
    rest = [i for i in range(size) if i != at]
    precision = np.linalg.inv(belief.covariance)
    among = np.linalg.inv(precision[np.ix_(rest, rest)])
    pulled = among @ precision[rest, at] * (figure - belief.mean[at])
    assert held.mean[at] == figure
    assert (held.covariance[at] == 0).all()
    assert (held.covariance[:, at] == 0).all()
    np.testing.assert_allclose(held.mean[rest], belief.mean[rest] - pulled, atol=1e-8)
    np.testing.assert_allclose(held.covariance[np.ix_(rest, rest)], among, atol=1e-8)
    assert (held.names, held.lives, held.day) == (belief.names, belief.lives, belief.day)


@settings(max_examples=60, deadline=None)
@given(CASES)
def test_forget_leaves_the_others_their_own_law(case: tuple[tuple[int, int, float], int]) -> None:
    (seed, size, _), at = case
    belief, terms = some_belief(seed, size)
    after = apply(belief, [Said(f"t{at}", "forget")], terms)
    rest = [i for i in range(size) if i != at]
    assert (after.mean[at], after.covariance[at, at]) == (0.25, 1.5**2)
    assert (after.covariance[at, rest] == 0).all()
    assert (after.mean[rest] == belief.mean[rest]).all()
    kept = np.ix_(rest, rest)
    assert (after.covariance[kept] == belief.covariance[kept]).all()


def test_a_forgotten_term_without_a_prior_goes_and_comes_in_again_at_its_prior() -> None:
    belief, terms = some_belief(1, 3)
    gone = apply(belief, [Said("t1", "forget")])
    assert gone.names == ("t0", "t2")
    back = gone.extended(terms)
    assert back.mean[back.positions(["t1"])[0]] == 0.25


def test_without_a_figure_it_is_held_where_it_is_and_the_others_stay() -> None:
    belief, terms = some_belief(2, 4)
    held = apply(belief, [Said("t1", "hold")], terms)
    np.testing.assert_allclose(held.mean, belief.mean, atol=1e-12)


def test_learn_gives_the_priors_spread_about_the_held_figure() -> None:
    belief, terms = some_belief(3, 4)
    held = apply(belief, [Said("t1", "hold", figure=0.7)], terms)
    free = apply(held, [Said("t1", "learn")], terms)
    assert (free.mean[1], free.covariance[1, 1]) == (0.7, 1.5**2)
    assert (free.covariance[1, [0, 2, 3]] == 0).all()
    again = apply(free, [Said("t1", "learn")], terms)
    assert (again.covariance == free.covariance).all()


@pytest.mark.parametrize("choice", ["hold", "forget", "learn"])
def test_what_is_not_there_is_passed_over(choice: Literal["hold", "forget", "learn"]) -> None:
    belief, terms = some_belief(4, 3)
    assert apply(belief, [Said("head/gone/output", choice, figure=1.0)], terms) is belief


def test_what_comes_in_later_is_held_from_its_first_day() -> None:
    held = apply(Belief.empty(), [Said("a", "hold", figure=2.0)], [_term("a")])
    assert (held.names, held.mean[0], held.covariance[0, 0]) == (("a",), 2.0, 0.0)


def _term(name: str) -> Term:
    return Term(name, name, 0.0, 1.0, Life.KIT, "entered")


# ── What is in force when ────────────────────────────────────────────────────────────────────


def said(*choices: Said, since: float | None, until: float | None) -> list[tuple[str, float]]:
    found = in_force(
        choices,
        None if since is None else on_day(since),
        None if until is None else on_day(until),
    )
    return [(c.choice, (c.when - START).days) for c in found]


def test_a_hold_is_said_again_until_it_is_let_go() -> None:
    hold, learn = Said("a", "hold", 1), Said("a", "learn", 5)
    both = (hold, learn)
    assert said(*both, since=None, until=0) == []
    assert said(*both, since=0, until=2) == [("hold", 1)]
    assert said(*both, since=2, until=4) == [("hold", 1)]
    assert said(*both, since=4, until=6) == [("hold", 1), ("learn", 5)]


def test_a_forgetting_is_said_once() -> None:
    forget = Said("a", "forget", 1)
    assert said(forget, since=None, until=2) == [("forget", 1)]
    assert said(forget, since=2, until=None) == []


def test_what_was_taken_back_before_a_sitting_was_never_said() -> None:
    for choice in ("hold", "forget"):
        made = Said("a", choice, 1)
        assert said(made, Said("a", "learn", 2), since=0, until=None) == []


def test_a_hold_ends_where_its_term_is_forgotten() -> None:
    both = (Said("a", "hold", 1), Said("a", "forget", 3))
    assert said(*both, since=2, until=4) == [("hold", 1), ("forget", 3)]
    assert said(*both, since=4, until=5) == []


def test_terms_do_not_get_in_each_others_way() -> None:
    mixed = (Said("b", "forget", 2), Said("a", "hold", 1), Said("a", "learn", 3))
    assert said(*mixed, since=None, until=None) == [("forget", 2)]


# ── In the engine ────────────────────────────────────────────────────────────────────────────

HEAD = "head/H1/output"


def made(tone: float) -> BareSheet:
    """A sheet as in the dialogue, with one density read."""
    told = next(m for m in dialogue("A-scan.jsonl") if m["op"] == "record")
    reading = {"regions": {"key": {"density": tone}}}
    return sheet({"settings": told["settings"], "reading": reading})


@settings(max_examples=5, deadline=None)
@given(st.lists(st.floats(0.1, 1.85), min_size=1, max_size=4), st.floats(12.5, 15.5))
def test_a_held_term_does_not_move_whatever_is_read(tones: list[float], figure: float) -> None:
    said_so = opening()
    layout = layout_of(said_so)
    before = apply(Belief.empty(), [Said(HEAD, "hold", figure=figure)], layout.terms)
    laid = [LaidSheet(layout, made(tone)) for tone in tones]
    after = Posterior(before, layout, laid).belief
    assert mean_of(after, HEAD) == pytest.approx(figure, abs=1e-6)
    assert sd_of(after, HEAD) == pytest.approx(0.0, abs=1e-6)
    assert np.isfinite(after.mean).all()
    assert np.isfinite(after.covariance).all()


def test_holding_before_the_sheets_is_holding_after_them() -> None:
    """Conditioning on a term and on evidence change places: to the noise of the states."""
    begin = opening()
    layout = layout_of(begin)
    sheets = [made(0.9), made(1.0)]
    after = posterior_of(begin, sheets).belief
    hold = Said(HEAD, "hold", figure=mean_of(after, HEAD) + 0.1)
    late = apply(after, [hold])
    laid = [LaidSheet(layout, s) for s in sheets]
    early = Posterior(apply(Belief.empty(), [hold], layout.terms), layout, laid).belief
    for name in ("paper/P1/speed", "modifier/M_box/loss"):
        assert mean_of(early, name) == pytest.approx(mean_of(late, name), abs=0.06)
        assert sd_of(early, name) == pytest.approx(sd_of(late, name), rel=0.12)


def test_other_papers_and_heads_are_not_touched_by_forgetting_one() -> None:
    after = posterior_of(opening(), [made(0.9), made(1.0)]).belief
    forgotten = apply(after, [Said(HEAD, "forget")], layout_of(opening()).terms)
    others = [n for n in after.names if n != HEAD]
    for name in others:
        assert mean_of(forgotten, name) == mean_of(after, name)
        assert sd_of(forgotten, name) == sd_of(after, name)
    assert sd_of(forgotten, HEAD) == pytest.approx(0.3)
