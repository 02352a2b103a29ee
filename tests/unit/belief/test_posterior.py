"""What the tool believes after sheets, against very many weighted draws from the prior."""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from stillroom.advice import Table
from tests.unit.belief.reference import deviations
from tests.unit.engine_cases import (
    NOTHING_ELSE,
    all_known,
    dialogue,
    mean_of,
    opening,
    posterior_of,
    sd_of,
    settings,
    sheet,
)

NOMINAL: dict[str, Any] = {
    "dial_stops": {"key": -1.0, "fill": -1.5, "rim": 0.0},
    "f_number": 5.6,
    "pops": 1,
    "seconds": 0.125,
}
FULL = NOMINAL | {"dial_stops": {"key": 0.0, "fill": 0.0, "rim": 0.0}}
LOW = NOMINAL | {"dial_stops": {"key": -5.0, "fill": -5.0, "rim": 0.0}}
LESS_LOW = NOMINAL | {"dial_stops": {"key": -3.0, "fill": -3.0, "rim": 0.0}}


def read(
    made: dict[str, Any], key: float | str, shadow: float | str, **more: Any
) -> dict[str, Any]:
    seen = {
        region: {"verdict": v} if isinstance(v, str) else {"density": v}
        for region, v in (("key", key), ("shadow", shadow))
    }
    return {"settings": made, "reading": {"regions": seen}} | more


def told(name: str, sheets: int) -> list[dict[str, Any]]:
    """The first sheets of a dialogue, as the world of its makers read them."""
    said = [m for m in dialogue(name) if m["op"] == "record"][:sheets]
    return [{"settings": m["settings"], "reading": m["reading"]} for m in said]


@dataclass(frozen=True, slots=True)
class Case:
    records: list[dict[str, Any]]
    draws: int = 1_000_000


CASES = {
    "one sheet by scan": Case(told("A-scan.jsonl", 1)),
    "two sheets by scan": Case(told("A-scan.jsonl", 2), 4_000_000),
    "one sheet by words": Case(told("A-eye.jsonl", 1)),
    "two sheets by words": Case(told("A-eye.jsonl", 2)),
    "all black by scan": Case([read(LOW, 1.90, 1.88)]),
    "all bare by scan": Case([read(FULL, 0.11, 0.10)]),
    "all black by words": Case([read(LOW, "black", "black")]),
    "all bare by words": Case([read(FULL, "bare_paper", "bare_paper")]),
    "black twice by words": Case([read(LOW, "black", "black"), read(LESS_LOW, "black", "black")]),
}
STREAMS = 8


@pytest.mark.slow
@pytest.mark.parametrize("name", CASES)
def test_predictions_are_those_of_the_exact_posterior(name: str) -> None:
    """Predicted exposure minus aim of key and shadow cheek: mean and spread.

    Each sitting has its own stream of 800 states; eight are averaged, so that what is compared
    is the method and not its luck. The noise of the average is at most 0.015 stop in the mean
    (0.042 for one stream of the widest case, measured) and 1.2 % in the spread; the reference's
    own error is asserted to be below 0.01 stop and 2 %. Bounds: 0.06 stop and 0.9 to 1.1, as the
    design notes measured for a cloud of this size (0.01 to 0.03 stop, 0.95 to 0.98). A correct
    tool would fail one of these 36 checks for other streams less than once in 100 times.
    """
    case = CASES[name]
    reference = deviations(opening(), case.records, NOMINAL, draws=case.draws)
    found: dict[str, list[tuple[float, float]]] = {"key": [], "shadow": []}
    for stream in range(STREAMS):
        begin = opening()
        begin["sitting"]["id"] = f"S{stream}"
        posterior = posterior_of(begin, [sheet(r) for r in case.records])
        table = Table(posterior.states(), posterior.layout)
        made = settings(NOMINAL["dial_stops"])
        off = table.deviations(table.light(made), table.gains(made))[0]
        for i, region in enumerate(found):
            found[region].append((float(off[:, i].mean()), float(off[:, i].std())))
    for region, answers in found.items():
        wanted = reference[region]
        assert wanted.mean_error < 0.01
        assert wanted.sd_error / wanted.sd < 0.02
        mean, sd = np.mean(answers, axis=0)
        assert mean == pytest.approx(wanted.mean, abs=0.06)
        assert 0.9 < sd / wanted.sd < 1.1


# ---- what a sheet may and may not teach ------------------------------------------------------


def chain(
    begin: dict[str, Any], records: list[dict[str, Any]], region: str = "key"
) -> tuple[float, float]:
    """Mean and sd of what reaches a region at the nominal settings, averaged over streams."""
    answers = []
    for stream in range(STREAMS):
        own = copy.deepcopy(begin)
        own["sitting"]["id"] = f"S{stream}"
        posterior = posterior_of(own, [sheet(r) for r in records])
        table = Table(posterior.states(), posterior.layout)
        made = settings(NOMINAL["dial_stops"])
        placed = table.light(made) @ np.exp2(table.gains(made)[0])
        at = posterior.layout.regions.index(region)
        answers.append((np.log2(placed[:, at]).mean(), np.log2(placed[:, at]).std()))
    mean, sd = np.mean(answers, axis=0)
    return float(mean), float(sd)


GOOD = [
    read(NOMINAL, 0.80, 1.30),
    read(NOMINAL, 0.74, 1.25),
    read(NOMINAL, 0.78, 1.33),
    read(NOMINAL, 0.83, 1.28),
]


@pytest.mark.parametrize("place", [0, 2, 4])
def test_one_fogged_sheet_among_good_ones_hardly_counts_and_is_told(place: int) -> None:
    """Three stops lighter, as fog makes a direct positive; three stops from 0.78 is near bare."""
    fogged = read(NOMINAL, 0.15, 0.27)
    clean, _ = chain(opening(), GOOD)
    records = [*GOOD[:place], fogged, *GOOD[place:]]
    with_fog, _ = chain(opening(), records)
    assert abs(with_fog - clean) < 0.15
    posterior = posterior_of(opening(), [sheet(r) for r in records])
    assert posterior.p_spoiled(place) > 0.9
    assert posterior.shift(place) > 1.5
    for n in range(len(records)):
        if n != place:
            assert posterior.p_spoiled(n) < 0.1


def test_of_two_sheets_that_disagree_neither_is_believed_blindly() -> None:
    """One of them is spoiled and nobody knows which: belief must stay wide between them."""
    records = [read(NOMINAL, 0.80, 1.30), read(NOMINAL, 0.15, 0.27)]
    posterior = posterior_of(opening(), [sheet(r) for r in records])
    odds = [posterior.p_spoiled(n) for n in (0, 1)]
    assert sum(odds) > 0.9
    _, alone = chain(opening(), records[:1])
    _, both = chain(opening(), records)
    assert both > alone


def test_a_spoiled_sheet_is_told_even_when_all_else_is_known() -> None:
    begin = all_known(opening())
    posterior = posterior_of(begin, [sheet(read(NOMINAL, 0.15, 0.27))])
    assert posterior.p_spoiled(0) > 0.9
    assert posterior.shift(0) > 1


def test_what_was_not_read_teaches_nothing() -> None:
    begin = opening()
    nothing = posterior_of(begin).belief
    unread: dict[str, Any] = {"settings": NOMINAL, "reading": None}
    empty: dict[str, Any] = {"settings": NOMINAL, "reading": {"regions": {}}}
    cannot = read(NOMINAL, "cant_tell", "cant_tell")
    for records in ([unread], [empty], [cannot], [unread, empty, cannot]):
        belief = posterior_of(begin, [sheet(r) for r in records]).belief
        assert set(belief.names) - set(nothing.names) <= {"eye/words"}
        belief = belief.keeping(lambda name, _: name in nothing.names)
        assert (belief.mean == nothing.mean).all()
        assert (belief.covariance == nothing.covariance).all()


def test_a_missing_region_leaves_its_own_chain_as_it_was() -> None:
    """The key cheek alone says nothing of the fill's place or head."""
    begin = opening()
    only_key = {"settings": NOMINAL, "reading": {"regions": {"key": {"density": 0.6}}}}
    belief = posterior_of(begin, [sheet(only_key)]).belief
    assert sd_of(belief, "geometry/S0/fill/shadow") == pytest.approx(1, abs=1e-9)
    assert sd_of(belief, "head/H1/output") < 0.3
    assert sd_of(belief, "paper/P1/speed") < 0.75


def test_a_word_of_a_region_without_aim_tells_only_the_ends() -> None:
    begin = opening()
    nothing = posterior_of(begin).belief
    for word in ("too_dark", "as_wanted", "too_light"):
        said = {"settings": NOMINAL, "reading": {"regions": {"bg": {"verdict": word}}}}
        belief = posterior_of(begin, [sheet(said)]).belief
        belief = belief.keeping(lambda name, _: name in nothing.names)
        assert (belief.mean == nothing.mean).all()
    black = {"settings": NOMINAL, "reading": {"regions": {"bg": {"verdict": "black"}}}}
    belief = posterior_of(begin, [sheet(black)]).belief
    assert mean_of(belief, "paper/P1/speed") < -0.74 - 0.1


def test_kept_and_not_kept_move_belief_the_right_way() -> None:
    """Not kept says it missed: where it would land is then less likely, and the other way."""
    made = settings(NOMINAL["dial_stops"])
    odds: dict[bool | None, float] = {}
    wanted: dict[bool | None, float] = {}
    for kept in (None, True, False):
        record = sheet({"settings": NOMINAL, "reading": None, "kept": kept})
        answers, weighed = [], []
        for stream in range(STREAMS):
            begin = opening()
            begin["sitting"]["id"] = f"S{stream}"
            posterior = posterior_of(begin, [record])
            answers.append(Table(posterior.states(), posterior.layout).odds(made).p_keeper)
            # the same from states of the prior: each weighed by how it would have been called
            prior = posterior_of(begin)
            table = Table(prior.states(), prior.layout)
            off = table.deviations(table.light(made), table.gains(made))
            lands = table.landing_by_state(off)[0]
            called = {
                None: np.ones_like(lands),
                True: 0.03 + 0.94 * lands,
                False: 0.97 - 0.94 * lands,
            }
            weighed.append(float(called[kept] @ lands / called[kept].sum()))
        odds[kept], wanted[kept] = float(np.mean(answers)), float(np.mean(weighed))
    assert odds[True] > odds[None] + 0.3
    assert odds[False] < odds[None] - 0.03
    # a mean over 8 streams of 800 states is good to 0.01 where odds are near 1 in 10, and to
    # 0.02 near 1 in 2 (binomial, with a fifth of the states effective): four of these each
    assert odds[None] == pytest.approx(wanted[None], abs=0.02)
    assert odds[False] == pytest.approx(wanted[False], abs=0.02)
    assert odds[True] == pytest.approx(wanted[True], abs=0.08)


def test_kept_false_beside_a_reading_widens_what_the_reading_alone_would_say() -> None:
    """Read as wanted and yet binned for its tones: the aims are less likely to have been met."""
    begin = opening()
    words = read(NOMINAL, "as_wanted", "as_wanted")
    odds = []
    for kept in (True, None, False):
        posterior = posterior_of(begin, [sheet(words | {"kept": kept})])
        table = Table(posterior.states(), posterior.layout)
        odds.append(table.odds(settings(NOMINAL["dial_stops"])).p_keeper)
    assert odds == sorted(odds, reverse=True)
    assert odds[0] - odds[2] > 0.1


def test_a_kept_stepped_sheet_tells_nothing() -> None:
    stepped = {"settings": NOMINAL | {"steps_pops": [1, 2, 4, 8]}, "reading": None, "kept": True}
    belief = posterior_of(opening(), [sheet(stepped)]).belief
    assert (belief.covariance == posterior_of(opening()).belief.covariance).all()


def test_a_stepped_sheet_shares_one_shift_of_its_sheet() -> None:
    """Four strips of one sheet tell less of the speed than four sheets would."""
    strips = {
        "settings": NOMINAL | {"steps_pops": [1, 2, 4, 8]},
        "reading": {
            "strips": [
                {"step": step, "regions": {"key": {"density": d}}}
                for step, d in ((1, 0.85), (2, 0.40), (4, 0.19), (8, 0.12))
            ]
        },
    }
    one, sd_strips = chain(opening(), [strips])
    sheets = [
        {"settings": NOMINAL | {"pops": step}, "reading": {"regions": {"key": {"density": d}}}}
        for step, d in ((1, 0.85), (2, 0.40), (4, 0.19), (8, 0.12))
    ]
    mean_sheets, sd_sheets = chain(opening(), sheets)
    assert abs(one - mean_sheets) < 0.15
    # the scatter of one sheet, 0.18, cannot be seen through; once in 33 it is 1.5 stops
    assert 0.18 < sd_strips < math.sqrt(0.97 * 0.18**2 + 0.03 * 1.5**2) + 0.05
    assert sd_sheets < sd_strips


def test_same_evidence_same_belief_bit_for_bit() -> None:
    records = [sheet(r) for r in told("A-eye.jsonl", 3)]
    a, b = (posterior_of(opening("A-eye.jsonl"), records) for _ in range(2))
    assert (a.states().theta == b.states().theta).all()
    assert (a.belief.covariance == b.belief.covariance).all()


def test_what_the_evidence_cannot_feel_keeps_its_prior_exactly() -> None:
    belief = posterior_of(opening(), [sheet(read(NOMINAL, 0.8, 1.3))]).belief
    prior = posterior_of(opening()).belief
    for name in ("kit/pop_loss", "geometry/S0/rim/rim", "geometry/S0/key/bg"):
        assert mean_of(belief, name) == pytest.approx(mean_of(prior, name), abs=1e-9)
        assert sd_of(belief, name) == pytest.approx(sd_of(prior, name), abs=1e-9)


def test_a_sheet_of_which_nothing_is_said_changes_no_answer() -> None:
    """But for what it tires the baths by, which here is nothing."""
    begin = opening()
    begin["kit"] |= NOTHING_ELSE
    seen = sheet(read(NOMINAL, 0.7, 1.2))
    unread = sheet({"settings": NOMINAL, "reading": None})
    one, three = posterior_of(begin, [seen]), posterior_of(begin, [unread, seen, unread])
    assert (one.states().theta == three.states().theta).all()
    assert one.p_spoiled(0) == three.p_spoiled(1)
    assert three.p_spoiled(0) == begin["kit"]["spoiled_rate"]
