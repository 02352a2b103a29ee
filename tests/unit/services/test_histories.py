"""What is known over time: the same belief as the engine's, said plainly, and said over."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from stillroom.documents.book import Book
from stillroom.documents.known import Known
from stillroom.errors import UnknownName
from stillroom.services.folding import fold_book
from stillroom.services.histories import PassingMemo, known, tied_to
from stillroom.services.moving import known_term
from stillroom.services.plan import kit_belief, taught
from stillroom.services.sittings import in_order_of_time
from stillroom.services.worktable import worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

SPEED, HEAD, BOX = "paper/sorrel/7/speed", "head/A/output", "modifier/box/loss"
FIRST, SECOND = "2026-11-14T10:00:00+00:00", "2026-11-21T10:00:00+00:00"
BETWEEN = "2026-11-18T10:00:00+00:00"


def data_of(*choices: dict[str, Any], second: bool = True) -> dict[str, Any]:
    """Two sittings a week apart, two scanned sheets each."""
    data = head_and_shoulders()
    data["sittings"][0]["sheets"] = [scanned(1, 0.9, 1.5), scanned(2, 0.8, 1.45)]
    if second:
        later = head_and_shoulders(id="S2", when=SECOND)["sittings"][0]
        later["sheets"] = [scanned(1, 0.5, 1.3), scanned(2, 0.55, 1.35)]
        data["sittings"].append(later)
    if choices:
        data["choices"] = list(choices)
    return data


def said(term: str, choice: str, when: str = BETWEEN, **more: Any) -> dict[str, Any]:
    return {"term": term, "choice": choice, "when": when} | more


@pytest.fixture(scope="module")
def book() -> Book:
    return book_of(data_of())


@pytest.fixture(scope="module")
def found(book: Book) -> Known:
    return known(book)


def law(book: Book, name: str, sittings: int = 2) -> tuple[float, float]:
    belief = fold_book(book, in_order_of_time(book)[:sittings])
    at = belief.names.index(name)
    return float(belief.mean[at]), math.sqrt(float(belief.covariance[at, at]))


def test_each_point_is_what_was_believed_after_that_sitting(book: Book, found: Known) -> None:
    term = next(t for t in found.terms if t.term == SPEED)
    assert [p.sitting for p in term.history] == ["S1", "S2"]
    for n, point in enumerate(term.history, 1):
        mean, sd = law(book, SPEED, n)
        assert (term.entered + point.shift, point.sd) == pytest.approx((mean, sd))
    assert (term.shift, term.sd) == (term.history[-1].shift, term.history[-1].sd)


def test_a_part_is_known_alone_only_when_its_spread_fell_by_a_third(found: Known) -> None:
    for term in found.terms:
        if term.standing == "alone":
            assert term.sd < 2 / 3 * term.entered_sd
            assert term.sentence.startswith("known from sheets to ±")
        elif term.standing == "in_a_chain":
            assert 2 / 3 * term.entered_sd <= term.sd < 0.97 * term.entered_sd
            assert term.sentence.startswith("in a chain")
        else:
            assert term.standing == "entered"
            assert term.sd >= 0.97 * term.entered_sd
    assert {t.standing for t in found.terms} == {"alone", "in_a_chain", "entered"}


def test_a_chain_is_surer_than_its_parts(found: Known) -> None:
    chain = next(c for c in found.chains if (c.source, c.region) == ("key", "key"))
    parts = {t.term: t.sd for t in found.terms}
    assert chain.sd < parts[SPEED]
    assert chain.sd < math.hypot(parts[HEAD], parts[BOX])
    assert {SPEED, HEAD, BOX} <= set(chain.parts)
    assert chain.title == "Key light on the key cheek, with Sorrel, batch 7"
    assert chain.sd < 2 / 3 * chain.entered_sd


def test_what_it_is_tied_up_with_makes_up_for_it(book: Book) -> None:
    """The most negative product of correlation and sign, taken from the covariance itself."""
    belief = fold_book(book, in_order_of_time(book))
    gives = {SPEED: 1.0, HEAD: 1.0, BOX: -1.0}
    names = list(gives)
    at = belief.positions(names)
    covariance = belief.covariance[np.ix_(at, at)]
    spread = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(spread, spread)
    for i, name in enumerate(names):
        made_up = {n: correlation[i, j] * gives[n] * gives[name] for j, n in enumerate(names)}
        del made_up[name]
        assert tied_to(belief, name, gives) == min(made_up, key=lambda n: made_up[n])


def test_what_moved_a_term_adds_up_from_before_to_after(book: Book) -> None:
    term = known_term(book, SPEED)
    assert term.moved_by
    first = term.moved_by[0]
    assert (first.shift_before, first.sd_before) == (0.0, term.entered_sd)
    assert (first.sitting, first.sheet) == ("S1", 1)
    assert first.sd_after < first.sd_before
    assert [(m.when, m.sheet) for m in term.moved_by] == sorted(
        (m.when, m.sheet) for m in term.moved_by
    )
    last = max((m for m in term.moved_by if m.sitting == "S1"), key=lambda m: m.sheet or 0)
    after = term.history[0]
    # The Gaussian at the mode against the cloud, which knows of tails.
    assert last.sd_after == pytest.approx(after.sd, rel=0.15)
    assert last.shift_after == pytest.approx(after.shift, abs=0.15)


def test_a_warm_memo_answers_the_same(book: Book, found: Known) -> None:
    memo = PassingMemo()
    assert known(book, memo=memo) == found
    assert known(book, memo=memo) == found
    damaged = {key: b"{" for key in memo._kept if key.startswith("known:")}
    assert damaged
    memo._kept.update(damaged)
    assert known(book, memo=memo) == found


def test_nothing_read_nothing_known() -> None:
    assert known(book_of(head_and_shoulders())) == Known(terms=(), chains=())


def test_no_such_term_is_named(book: Book) -> None:
    with pytest.raises(UnknownName, match="no term called 'head/Z/output'"):
        known_term(book, "head/Z/output")


def test_the_document_goes_out_and_comes_in(found: Known) -> None:
    assert Known.model_validate_json(found.model_dump_json()) == found


# ── What the photographer says over it ───────────────────────────────────────────────────────


def test_a_held_term_stays_through_later_sittings_and_drift() -> None:
    for term, figure in ((HEAD, 14.0), (SPEED, -0.5)):
        held = known(book_of(data_of(said(term, "hold", figure=figure))))
        one = next(t for t in held.terms if t.term == term)
        assert one.standing == "held"
        assert one.sentence.startswith("held by you")
        assert one.entered + one.shift == pytest.approx(figure)
        assert one.sd == pytest.approx(0.0, abs=1e-6)
        assert one.history[0].sd > 0.05
        assert one.history[1].sd == pytest.approx(0.0, abs=1e-6)


def test_what_is_forgotten_starts_from_its_prior_and_the_rest_from_where_it_was() -> None:
    book = book_of(data_of(said(HEAD, "forget")))
    start = worktable(book, "S2").posterior(1).evidence.belief
    prior = next(
        t
        for t in worktable(book, "S2").layout(worktable(book, "S2").standing()).terms
        if t.name == HEAD
    )
    at = start.names.index(HEAD)
    assert start.mean[at] == prior.mean
    assert start.covariance[at, at] == prior.sd**2
    assert np.count_nonzero(start.covariance[at]) == 1
    untouched = law(book, BOX, 1)
    box = start.names.index(BOX)
    assert (start.mean[box], math.sqrt(start.covariance[box, box])) == pytest.approx(untouched)
    assert known_term(book, HEAD).moved_by is not None
    assert {m.sitting for m in known_term(book, HEAD).moved_by or ()} <= {"S2"}


def test_forgotten_since_the_last_sitting_is_as_entered_at_once(book: Book) -> None:
    gone = book_of(data_of(said(BOX, "forget", "2026-11-22T10:00:00+00:00")))
    term = next(t for t in known(gone).terms if t.term == BOX)
    assert (term.standing, term.shift, term.sd) == ("forgotten", 0.0, term.entered_sd)
    others = {t.term: (t.shift, t.sd) for t in known(gone).terms if t.term != BOX}
    for other in known(book).terms:
        if other.term != BOX:
            assert others[other.term] == pytest.approx((other.shift, other.sd))
    assert kit_belief(gone)["modifier/box"].sd_now_stops == term.entered_sd


def test_taken_back_before_another_sitting_is_as_if_never_said(found: Known) -> None:
    for choice in ("hold", "forget"):
        back = book_of(
            data_of(
                said(HEAD, choice, figure=10.0 if choice == "hold" else None),
                said(HEAD, "learn", "2026-11-19T10:00:00+00:00"),
            )
        )
        assert known(back).terms == found.terms


def test_within_the_sitting_a_hold_counts_at_once() -> None:
    now = said(HEAD, "hold", "2026-11-14T12:00:00+00:00", figure=14.0)
    book = book_of(data_of(now, second=False))
    belief = worktable(book, "S1").posterior().belief
    at = belief.names.index(HEAD)
    assert belief.mean[at] == pytest.approx(14.0)
    assert belief.covariance[at, at] == pytest.approx(0.0, abs=1e-12)


def test_what_sheets_taught_is_told_anew_when_something_was_said() -> None:
    memo = PassingMemo()
    plain = book_of(data_of(second=False))
    before = taught(plain, "S1", memo=memo)
    now = said(HEAD, "hold", "2026-11-14T12:00:00+00:00", figure=17.0)  # three stops off
    held = book_of(data_of(now, second=False))
    assert taught(held, "S1", memo=memo) == taught(held, "S1")
    assert taught(held, "S1", memo=memo) != before
    assert taught(plain, "S1", memo=memo) == before


def test_a_retired_things_choice_does_no_harm(found: Known) -> None:
    odd = book_of(data_of(said("head/sold/output", "hold", figure=1.0)))
    assert known(odd).terms == found.terms


def test_all_held_at_once_is_finite(found: Known) -> None:
    every = [said(t.term, "hold", figure=t.entered + t.shift) for t in found.terms]
    held = known(book_of(data_of(*every)))
    assert all(math.isfinite(t.shift) and math.isfinite(t.sd) for t in held.terms)
    assert {t.standing for t in held.terms} == {"held"}
