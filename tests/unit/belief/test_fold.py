"""Belief carried from sitting to sitting: what stays, what is dropped, what drifts."""

from __future__ import annotations

import copy
import math
from typing import Any

import numpy as np
import pytest

from stillroom.belief import Belief, LaidSheet, Posterior, close, fold, opened, stream
from stillroom.belief.named import standard_normal
from stillroom.documents.bare_ledger import Begin, KitModel, PastModel
from stillroom.exposure import BareKit, BarePast, Life, Term
from tests.unit.engine_cases import (
    dialogue,
    layout_of,
    mean_of,
    opening,
    posterior_of,
    sd_of,
    sheet,
)

KIT: BareKit = KitModel.model_validate(opening()["kit"]).bare()


def past(day: float = 0.0, sheets: int = 3, **sitting: Any) -> dict[str, Any]:
    said = opening()["sitting"] | {"day": day} | sitting
    told = [m for m in dialogue("A-scan.jsonl") if m["op"] == "record"][:sheets]
    return {
        "sitting": said,
        "sheets": [{"settings": m["settings"], "reading": m["reading"]} for m in told],
    }


def bare(said: dict[str, Any]) -> BarePast:
    return PastModel.model_validate(said).bare()


def test_kit_and_paper_stay_level_and_places_go() -> None:
    belief = fold(KIT, [bare(past())])
    kinds = {n.split("/")[0] for n in belief.names}
    assert kinds == {"paper", "kit", "head", "modifier", "lens", "actinic", "bath", "eye"}
    assert set(belief.lives) == {Life.PAPER, Life.KIT, Life.DAY}
    inside = posterior_of(opening(), list(bare(past()).sheets)).belief
    kept = inside.positions(belief.names)
    assert (belief.mean == inside.mean[kept]).all()
    assert (belief.covariance == inside.covariance[np.ix_(kept, kept)]).all()
    assert sd_of(belief, "paper/P1/speed") < 0.7


def test_a_sitter_is_kept_under_her_own_name_and_a_days_unknown_is_not() -> None:
    shared = {"sd_stops": 0.7, "regions": ["key", "shadow"], "sources": ["key", "fill"]}
    said = past(
        shared=[shared | {"name": "skin of OM", "life": "sitter"}, shared | {"name": "powder"}]
    )
    belief = fold(KIT, [bare(said)])
    assert "shared/skin of OM" in belief.names
    assert not any("powder" in n for n in belief.names)
    assert sd_of(belief, "shared/skin of OM") < 0.7


def test_a_set_is_remembered_and_only_the_last_four() -> None:
    pasts = [bare(past(day=n, sheets=1, id=f"S{n}", set=f"room {n}/x")) for n in range(6)]
    belief = fold(KIT, pasts)
    places = dict.fromkeys(n.split("/")[1] for n in belief.names if n.startswith("geometry/"))
    assert list(places) == ["room 2|x", "room 3|x", "room 4|x", "room 5|x"]
    back = bare(past(day=8, sheets=1, id="S8", set="room 2/x"))
    new = bare(past(day=9, sheets=1, id="S9", set="barn"))
    again = fold(KIT, [*pasts, back, new])
    places = dict.fromkeys(n.split("/")[1] for n in again.names if n.startswith("geometry/"))
    assert set(places) == {"room 2|x", "room 4|x", "room 5|x", "barn"}  # the last ones used


def test_the_next_sitting_in_the_same_set_knows_where_things_stand() -> None:
    for place, narrower in (("pump house", True), ("barn", False)):
        begin = opening()
        begin["past"] = [past(set="pump house")]
        begin["sitting"] |= {"id": "S1", "day": 1.0, "set": place}
        belief = posterior_of(begin).evidence.belief
        at = f"geometry/{place}/key/shadow"
        assert (sd_of(belief, at) < 0.998) is narrower  # of unit spread


def test_drift_widens_with_days_and_only_the_papers_speed() -> None:
    belief = fold(KIT, [bare(past())])
    for days in (0.0, 1.0, 7.0, 400.0):
        begin = opening()
        begin["sitting"]["day"] = days
        now = opened(belief, layout_of(begin))
        gone = Life.DAY if days >= 1 else None  # the next day's baths are others
        stays = belief.keeping(lambda _, life, gone=gone: life is not gone)  # type: ignore[misc]
        grown = np.diag(now.covariance - stays.covariance)
        at = belief.names.index("paper/P1/speed")
        assert grown[at] == pytest.approx(0.12**2 * days, abs=1e-12)
        assert np.delete(grown, at) == pytest.approx(0, abs=1e-15)
        assert (now.mean == stays.mean).all()


def test_a_sitting_dated_before_the_last_one_does_not_shrink_belief() -> None:
    belief = fold(KIT, [bare(past(day=5.0))])
    begin = opening()
    begin["sitting"]["day"] = 2.0
    now = opened(belief, layout_of(begin))
    stays = belief.keeping(lambda _, life: life is not Life.DAY)  # the baths were others
    assert (now.covariance == stays.covariance).all()


def test_sittings_are_taken_in_order_of_their_days() -> None:
    first, second = bare(past(day=0.0)), bare(past(day=3.0, id="S1", sheets=1))
    a, b = fold(KIT, [first, second]), fold(KIT, [second, first])
    assert a.names == b.names
    assert (a.mean == b.mean).all()
    assert (a.covariance == b.covariance).all()
    assert a.day == 3.0


def key_chain(belief: Belief) -> tuple[float, float]:
    """Mean and sd of the key light on the key cheek, paper and all, but for what is fixed."""
    names = ["paper/P1/speed", "head/H1/output", "modifier/M_box/loss", "modifier/M_grid/loss"]
    names += ["lens/L1/transmission", "actinic/flash", "geometry/room/key/key"]
    signs = np.array([1, 1, -1, -1, 1, 0.1, 0.15])  # colour and place are of unit spread
    at = belief.positions(names)
    variance = float(signs @ belief.covariance[np.ix_(at, at)] @ signs)
    return float(signs @ belief.mean[at]), math.sqrt(variance)


def test_carried_belief_predicts_as_if_the_sheets_were_of_one_sitting() -> None:
    """Same set, same day, cut in two: the key's chain and its spread are the same.

    Carrying keeps a Gaussian, the clouds bring noise. Over 16 pairs of streams the chain (0.34
    stop wide) differed by 0.003 on average with a standard deviation of 0.029, its spread by 2 %
    with one of 5 %. For the mean of eight pairs four standard errors are 0.04 and 7 %.
    """
    told = [m for m in dialogue("A-scan.jsonl") if m["op"] == "record"]
    records = [sheet({"settings": m["settings"], "reading": m["reading"]}) for m in told]
    earlier = [{"settings": m["settings"], "reading": m["reading"]} for m in told[:2]]
    differences, ratios = [], []
    for stream_number in range(8):
        whole = opening()
        whole["sitting"] |= {"set": "room", "id": f"whole {stream_number}"}
        for source in whole["sitting"]["sources"]:
            if source["kind"] == "continuous":  # a day's level is not carried; here it is known
                source.update(sd_stops=0.0)
        one = key_chain(posterior_of(whole, records).belief)
        cut = copy.deepcopy(whole)
        first = copy.deepcopy(whole["sitting"]) | {"id": f"first {stream_number}"}
        cut["past"] = [{"sitting": first, "sheets": earlier}]
        cut["sitting"]["id"] = f"second {stream_number}"
        two = key_chain(posterior_of(cut, records[2:]).belief)
        differences.append(two[0] - one[0])
        ratios.append(two[1] / one[1])
    assert abs(np.mean(differences)) < 0.04
    assert np.mean(ratios) == pytest.approx(1, abs=0.07)


def test_papers_and_heads_do_not_contaminate_each_other() -> None:
    """Another paper, head and modifier that took no part keep their priors exactly."""
    said = opening()
    said["kit"]["papers"].append(said["kit"]["papers"][0] | {"id": "P2", "speed_log2": 1.0})
    said["past"] = [past()]
    said["sitting"] |= {"id": "S1", "day": 1.0, "paper": "P2"}
    said["sitting"]["sources"][0]["head"] = "H4"
    belief = posterior_of(said).evidence.belief
    for name, mean, sd in (
        ("paper/P2/speed", 1.0, 1.0),
        ("paper/P2/dmax", 1.9, 0.1),
        ("head/H4/output", 13.6, 0.3),
    ):
        assert mean_of(belief, name) == pytest.approx(mean)
        assert sd_of(belief, name) == pytest.approx(sd)
        row = belief.covariance[belief.names.index(name)].copy()
        row[belief.names.index(name)] = 0
        assert not row.any()
    assert sd_of(belief, "paper/P1/speed") < 0.7  # what the other paper was is still known


def test_a_head_of_two_sittings_is_one_head() -> None:
    """Its output is learned with one paper and known with the next."""
    begin = Begin.model_validate(opening("B-scan.jsonl"))
    before = fold(begin.kit.bare(), [p.bare() for p in begin.past])
    layout = layout_of(opening("B-scan.jsonl"))
    belief = Posterior(before, layout).evidence.belief
    assert belief.names.count("head/H1/output") == 1
    assert sd_of(belief, "modifier/M_dish/loss") == 0.5  # new today


def test_closing_a_sitting_without_sheets_carries_what_was_there() -> None:
    before = fold(KIT, [bare(past())])
    begin = opening()
    begin["sitting"] |= {"id": "S1", "day": 0.0}
    after = close(Posterior(before, layout_of(begin)))
    at = after.positions(before.names)
    assert after.mean[at] == pytest.approx(before.mean, abs=1e-12)
    assert after.covariance[np.ix_(at, at)] == pytest.approx(before.covariance, abs=1e-12)


# ---- the named Gaussian ---------------------------------------------------------------------


def test_one_stream_for_each_sitting() -> None:
    a, b, c = stream("OM"), stream("OM"), stream("TR")
    first = a.standard_normal(5)
    assert (first == b.standard_normal(5)).all()
    assert not (first == c.standard_normal(5)).any()


def test_exact_normal_draws_have_exact_moments() -> None:
    draws = standard_normal(stream("x"), 800, 40)
    assert draws.mean(axis=0) == pytest.approx(np.zeros(40), abs=1e-12)
    assert draws.T @ draws / 800 == pytest.approx(np.eye(40), abs=1e-10)


def test_known_terms_are_not_added_again() -> None:
    term = Term("head/A/output", "A", 14.0, 0.3, Life.KIT, "head")
    belief = Belief.empty().extended([term])
    wider = Term("head/A/output", "A", 13.0, 2.0, Life.KIT, "head")
    assert belief.extended([wider]) is belief
    assert mean_of(belief, "head/A/output") == 14.0


def test_a_book_with_more_unknowns_than_states_is_still_answered() -> None:
    """Years of sitters: more terms than the cloud has states."""
    begin = opening()
    layout = layout_of(begin)
    sitters = [
        Term(f"shared/skin of {n}", "skin", 0.0, 0.3, Life.SITTER, "sitter") for n in range(900)
    ]
    before = Belief.empty().extended(sitters)
    told = next(m for m in dialogue("A-scan.jsonl") if m["op"] == "record")
    laid = LaidSheet(layout, sheet({"settings": told["settings"], "reading": told["reading"]}))
    crowded = Posterior(before, layout, [laid])
    alone = Posterior(Belief.empty(), layout, [laid])
    a, b = (p.states().theta for p in (crowded, alone))
    assert a.mean(axis=0) == pytest.approx(b.mean(axis=0), abs=0.15)
