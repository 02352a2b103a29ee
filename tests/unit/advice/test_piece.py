"""A test piece before a whole sheet: what it tells, what it costs, when it comes first."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from stillroom.advice import Ahead, NextSheet, PieceCost, Policy, Table, next_sheet
from stillroom.advice.ahead import TIE_SHEETS
from stillroom.errors import OutOfRange
from stillroom.exposure import ReadBy
from stillroom.paper import density_slope
from stillroom.reading import SD_DENSITY
from tests.unit.advice.test_several import SPEED_SD, TOL, one_unknown
from tests.unit.engine_cases import NAMES, SCATTER, opening, posterior_of

PAPER, TIME = PieceCost(dear="paper"), PieceCost(dear="time")


@cache
def planned(name: str, piece: PieceCost | None, read_by: ReadBy = "scan") -> NextSheet:
    posterior = posterior_of(opening(name))
    return next_sheet(posterior, last=None, policy=Policy(), read_by=read_by, piece=piece)


def ahead_of(name: str) -> Ahead:
    ahead = planned(name, None).ahead
    assert ahead is not None
    return ahead


# ---- what it costs ---------------------------------------------------------------------------


@pytest.mark.parametrize(("dear", "weight"), [("paper", 0.3), ("time", 3.0)])
def test_a_fifth_of_the_paper_and_the_whole_round(dear: str, weight: float) -> None:
    """By hand: (0.2 + w) / (1 + w), where a round weighs as much as w sheets."""
    cost = PieceCost(share=0.2, dear=dear)  # type: ignore[arg-type]
    assert cost.sheets == pytest.approx((0.2 + weight) / (1 + weight))


@pytest.mark.parametrize("share", [0.0, -0.2, 1.01, math.nan])
def test_it_takes_some_of_a_sheet_and_no_more_than_one(share: float) -> None:
    with pytest.raises(OutOfRange, match="share of a sheet"):
        PieceCost(share=share)


# ---- what it tells ---------------------------------------------------------------------------


@cache
def with_one_region() -> Ahead:
    """One aimed region, the light known to 0.5 stop and nothing else open."""
    posterior = posterior_of(one_unknown())
    best = next_sheet(posterior, last=None, policy=Policy()).best
    table = Table(posterior.states(), posterior.layout)
    settings, odds = best.settings, best.p_keeper
    return Ahead(table, settings, odds, settings, free=[0], by="scan")


def test_a_normal_belief_is_narrowed_by_the_conjugate_rule() -> None:
    """Normal prior, normal reading (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.5).

    32 outcomes and 400 states are good to a tenth.
    """
    ahead = with_one_region()
    piece = ahead.piece(PAPER.sheets)
    c = ahead.table.states.curves
    middle = [float(x.mean()) for x in (c.contrast, c.asymmetry, c.dmin, c.dmax)]
    slope = abs(float(np.asarray(density_slope(ahead.table.target.mean(), *middle))))
    told = 1 / (SCATTER**2 + (SD_DENSITY["scan"] / slope) ** 2)
    assert piece.sd_now_stops == pytest.approx(SPEED_SD, rel=0.1)
    assert piece.sd_after_stops == pytest.approx((1 / SPEED_SD**2 + told) ** -0.5, rel=0.1)
    # Aimed anew it lands as often as what is left and its own scatter allow, less what a choice
    # of every fifth of a stop costs.
    left = math.hypot(SCATTER, piece.sd_after_stops)
    assert piece.look.odds == pytest.approx(math.erf(TOL / left / math.sqrt(2)), abs=0.03)


def test_where_one_region_is_aimed_it_tells_what_a_sheet_tells() -> None:
    """Then a piece is a whole sheet that cannot land: the same outcomes, the same odds after."""
    ahead = with_one_region()
    (piece,) = ahead.pieces(PAPER.sheets)
    assert piece.look.odds == pytest.approx(ahead.plain.odds, abs=1e-12)
    assert piece.look.sheets == pytest.approx(PAPER.sheets + piece.whole_sheets)


@pytest.mark.parametrize("name", NAMES)
def test_one_region_never_tells_more_than_the_whole_sheet(name: str) -> None:
    """Decision theory: what is left out of an observation never makes it worth more."""
    ahead = ahead_of(name)
    for piece in ahead.pieces(PAPER.sheets):
        assert piece.look.odds <= ahead.plain.odds + 0.02
        assert piece.sd_after_stops < piece.sd_now_stops


# ---- where it is taped -----------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("tight", ["key", "shadow"])
def test_it_is_taped_where_it_saves_most_and_in_a_tie_where_least_is_forgiven(
    name: str, tight: str
) -> None:
    begin = opening(name)
    for region, aim in begin["sitting"]["aims"].items():
        if aim["tol_stops"] is not None:
            aim["tol_stops"] = 0.4 if region == tight else 0.5
    ahead = next_sheet(posterior_of(begin), last=None, policy=Policy()).ahead
    assert ahead is not None
    pieces = {one.region: one.look.sheets for one in ahead.pieces(PAPER.sheets)}
    chosen = ahead.piece(PAPER.sheets).region
    least = min(pieces.values())
    if pieces[tight] <= least + TIE_SHEETS:
        assert chosen == tight
    else:
        assert pieces[chosen] == least


# ---- when it comes first ---------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_nothing_changes_where_it_is_not_thought_of(name: str) -> None:
    """The loop asks without; with one that is only offered the plan stays what it was."""
    without, offered = planned(name, None), planned(name, TIME)
    assert without.piece is None
    assert (offered.settings, offered.odds) == (without.settings, without.odds)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("read_by", ["scan", "words"])
def test_time_dear_never_wants_one_and_paper_dear_often_does(name: str, read_by: ReadBy) -> None:
    """A new batch, a stop unsure: paper dear has it offered, time dear not."""
    assert planned(name, TIME, read_by).piece is None
    plan = planned(name, PAPER, read_by)
    assert plan.ahead is not None
    seen = plan.ahead.piece(PAPER.sheets)
    if plan.piece is None:
        assert seen.look.sheets >= min(plan.ahead.plain.sheets, plan.ahead.stepped.sheets - 0.1)
        return
    assert plan.piece.saves_sheets > 0
    assert plan.piece.seen.look.sheets < plan.ahead.plain.sheets
    if plan.piece.is_first:
        assert plan.piece.saves_sheets > TIE_SHEETS


def test_offered_for_a_batch_that_nobody_knows() -> None:
    offered = [name for name in NAMES if planned(name, PAPER).piece is not None]
    assert len(offered) >= len(NAMES) / 2


def test_the_smaller_the_piece_the_sooner_it_comes_first() -> None:
    """A plain sheet is planned there; next to nothing of a sheet goes before it."""
    plan = planned("B-scan.jsonl", PieceCost(share=0.02))
    fifth = planned("B-scan.jsonl", PAPER)
    assert plan.piece is not None
    assert plan.piece.is_first
    assert plan.settings == plan.best.settings
    assert fifth.piece is not None
    assert plan.piece.saves_sheets - fifth.piece.saves_sheets == pytest.approx(0.18 / 1.3)


def test_the_first_stepped_sheet_of_a_batch_keeps_its_place() -> None:
    """Tones are held against its strips, and no piece can be punched: it is offered at most."""
    plan = planned("A-scan.jsonl", PieceCost(share=0.02))
    assert plan.stepped
    assert plan.piece is not None
    assert plan.piece.saves_sheets > TIE_SHEETS
    assert not plan.piece.is_first
    assert plan.piece.instead_stepped


def test_none_while_a_stepped_one_waits_and_none_where_a_sheet_lands_anyway() -> None:
    posterior = posterior_of(opening())
    waits = next_sheet(posterior, last=None, policy=Policy(), stepped_allowed=False, piece=PAPER)
    assert waits.piece is None
    sure = posterior_of(one_unknown(0.05))
    assert next_sheet(sure, last=None, policy=Policy(), piece=PAPER).piece is None
