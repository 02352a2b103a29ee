"""Two aims against what the paper holds, and the ways with their odds. Everything is invented."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from stillroom.advice import Table
from stillroom.belief import Curves
from stillroom.documents.book import Aim, Book
from stillroom.documents.contrast import Contrast, ContrastWay
from stillroom.errors import NotPossible
from stillroom.exposure import BareSettings
from stillroom.paper import ToneCurve, range_held_stops
from stillroom.services.advising import advise
from stillroom.services.contrast import apart_by, held_stops
from stillroom.services.contrast_answers import contrast
from stillroom.services.plan import predict
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders

KEY = {"role": "key", "kit_id": "A", "modifiers": ["box"], "distance_m": 0.9}
DIM = {"role": "room", "kind": "room", "metered_lx": 5}
WIDE = {"key": {"placement_stops": 0.9}, "shadow": {"placement_stops": -2.2, "tol_stops": 0.5}}
NEAR = {"key": {"placement_stops": 0.6}, "shadow": {"placement_stops": -1.2, "tol_stops": 0.5}}
TONES = {"key": {"density": 0.5}, "shadow": {"density": 1.6}}
FILTERS = [
    {"id": "00", "grade": 0},
    {"id": "mild one", "grade": 1},
    {"id": "hard", "grade": 5},
    {"id": "grey", "loss_stops": 3},
    {"id": "lent", "grade": 0, "retired": True},
]
SEARCHED = 1e-3
"""A search takes what dials run off by from the next setting it looked at (`Table.light`)."""


def hard_book(
    aims: dict[str, Any], *, lights: list[dict[str, Any]] | None = None, **sitting: Any
) -> Book:
    """A sitting on a hard paper of variable contrast: it holds two and a half stops."""
    data = head_and_shoulders(aims=aims, **sitting)
    data["kit"]["filters"] = FILTERS
    data["papers"][0] |= {
        "response": "variable_contrast", "ei": 24, "ei_sd_stops": 0.3, "contrast_per_stop": 2.4,
        "contrast_log_sd": 0.1,
    }  # fmt: skip
    if lights is not None:
        data["sittings"][0]["lights"] = lights
    return book_of(data)


def with_paper(book: Book, **changes: Any) -> Book:
    papers = (book.papers[0].model_copy(update=changes),)
    return book.model_copy(update={"papers": papers})


def by_kind(found: Contrast) -> dict[str, ContrastWay]:
    """The ways, a filter by its id."""
    return {way.filter or way.kind: way for way in found.ways}


# ---- how far, and what the paper holds ------------------------------------------------------


def test_what_states_hold_is_what_each_curve_holds() -> None:
    shapes = [(1.5, 1.0, 0.05, 1.85), (2.4, 0.7, 0.1, 2.0), (0.9, 1.4, 0.08, 1.3)]
    four = np.array([[math.log(k), math.log(v), low, high] for k, v, low, high in shapes])
    wanted = [range_held_stops(ToneCurve(*shape)) for shape in shapes]
    np.testing.assert_allclose(held_stops(Curves.of(four)), wanted, rtol=1e-12)
    softer = held_stops(Curves.of(four, np.full((3, 1), math.log(0.5))))
    np.testing.assert_allclose(softer, 2 * np.array(wanted), rtol=1e-12)


def test_aims_and_light_are_told_apart() -> None:
    """By the aims they fit, by the light of a key alone they do not; the larger is asked about."""
    found = contrast(hard_book(NEAR, lights=[KEY, DIM]), "S1")
    assert (found.lighter, found.darker) == ("key", "shadow")
    assert found.aims_apart_stops == pytest.approx(1.8)
    light, held = found.light_apart_stops, found.held
    assert light.q05 < held.mean < light.mean < light.q95
    assert found.beyond_stops == pytest.approx(light.mean - held.mean)
    assert found.sentence.startswith("By the light key cheek and shadow cheek are 3 stops apart")
    wide = contrast(hard_book(WIDE), "S1")
    assert wide.aims_apart_stops == pytest.approx(3.1)
    assert wide.beyond_stops == pytest.approx(3.1 - wide.held.mean)
    assert wide.sentence.startswith("Key cheek and shadow cheek are wanted 3 stops apart")
    assert wide.darker_fits_stops == pytest.approx(0.9 - wide.held.mean)


def test_the_light_is_what_the_forecast_says() -> None:
    book = hard_book(NEAR, lights=[KEY, DIM])
    found = contrast(book, "S1")
    regions = predict(book, "S1", found.settings).regions
    apart = regions["key"].placement_stops.mean - regions["shadow"].placement_stops.mean
    assert found.light_apart_stops.mean == pytest.approx(apart, abs=1e-6)


def test_where_they_fit_there_is_no_way_and_advice_is_as_it_was() -> None:
    soft = with_paper(hard_book(NEAR), contrast_per_stop=1.2)
    found = contrast(soft, "S1")
    assert found.ways == ()
    assert found.sentence.endswith("they fit.")
    texts = [other.text for other in advise(soft, "S1").alternatives]
    assert not any("lens:" in text or "pre-flash" in text for text in texts)


def test_one_aim_lies_apart_from_nothing() -> None:
    book = hard_book({"key": {"placement_stops": 0.5}, "bg": {"placement_stops": -3,
                                                              "tol_stops": None}})  # fmt: skip
    with pytest.raises(NotPossible, match="fewer than two aims"):
        contrast(book, "S1")
    table = Worktable(book, "S1")
    states = Table(table.posterior().states(), table.posterior().layout)
    assert apart_by(states, BareSettings({}, 5.6, 1, 0.125)) is None


# ---- the ways -------------------------------------------------------------------------------


def test_softer_filters_card_and_pre_flash_bring_the_light_together() -> None:
    found = contrast(hard_book(TONES, lights=[KEY, DIM]), "S1")
    ways = by_kind(found)
    assert set(ways) == {"00", "mild one", "card", "preflash"}  # no harder, grey or lent one
    assert all(way.beyond_stops == pytest.approx(0) for way in found.ways)
    lift = ways["card"].lift_stops
    assert lift == pytest.approx(found.light_apart_stops.mean - found.held.mean)
    assert 0 < ways["mild one"].cost_stops < ways["00"].cost_stops
    assert 1 > ways["mild one"].detail_share > ways["00"].detail_share > 0.5
    held = [found.held.mean, ways["mild one"].held_stops, ways["00"].held_stops]
    assert held == sorted(held)
    assert [ways[k].effort for k in ("00", "card", "preflash")] == [2, 3, 5]


def test_tones_wanted_too_near_for_the_light_land_likelier_each_way() -> None:
    """By the window no dial parts cheek and shadow; what helps must help in the engine's odds."""
    found = contrast(hard_book(TONES, lights=[KEY, DIM]), "S1")
    assert all(way.p_keeper > found.p_keeper for way in found.ways)
    assert by_kind(found)["00"].p_keeper == max(way.p_keeper for way in found.ways)


@pytest.mark.parametrize("way", ["00", "preflash"])
def test_odds_of_a_way_are_those_of_its_settings(way: str) -> None:
    book = hard_book(TONES, lights=[KEY, DIM])
    settings = by_kind(contrast(book, "S1"))[way]
    assert settings.settings is not None
    assert settings.settings.filter == (None if way == "preflash" else way)
    assert settings.settings.pre_flash_stops == settings.below_mid_stops
    told = predict(book, "S1", settings.settings).p_keeper
    assert told == pytest.approx(settings.p_keeper, abs=SEARCHED)


def test_a_pre_flash_lifts_the_shadow_as_said() -> None:
    """Closed form: exposures add, and what the lighter one gains is taken back from all light."""
    found = contrast(hard_book(TONES, lights=[KEY, DIM]), "S1")
    way = by_kind(found)["preflash"]
    assert way.below_mid_stops is not None
    lighter = predict(hard_book(TONES, lights=[KEY, DIM]), "S1", found.settings)
    at = found.light_apart_stops.mean
    target = lighter.regions["key"].aim
    assert target is not None
    veil = 2.0**-way.below_mid_stops
    both = [2.0 ** (target.placement_stops + way.cost_stops - x) + veil for x in (0.0, at)]
    assert math.log2(both[0]) == pytest.approx(target.placement_stops, abs=0.02)
    assert math.log2(both[0] / both[1]) == pytest.approx(found.held.mean, abs=0.05)


def test_aims_beyond_the_paper_move_for_card_and_pre_flash_only() -> None:
    """A filter lets the paper hold what is wanted; what lifts the shadow asks for another aim."""
    found = contrast(hard_book(WIDE), "S1")
    ways = by_kind(found)
    assert ways["00"].aim_stops is None
    for kind in ("card", "preflash"):
        assert ways[kind].aim_stops == pytest.approx(found.darker_fits_stops)
        assert "aim it at −1⅔ then" in ways[kind].text
    book = hard_book(WIDE | {"shadow": {"placement_stops": ways["preflash"].aim_stops,
                                        "tol_stops": 0.5}})  # fmt: skip
    assert ways["preflash"].settings is not None
    told = predict(book, "S1", ways["preflash"].settings).p_keeper
    assert told == pytest.approx(ways["preflash"].p_keeper, abs=SEARCHED)


def test_graded_paper_has_no_filter_to_help() -> None:
    book = with_paper(hard_book(NEAR, lights=[KEY, DIM]), response="graded")
    assert set(by_kind(contrast(book, "S1"))) == {"card", "preflash"}


def test_what_is_used_already_is_no_way_and_a_hard_filter_comes_off() -> None:
    flashed = hard_book(TONES, lights=[KEY, DIM], stands={"f_number": 8, "pre_flash_stops": 6})
    assert "preflash" not in by_kind(contrast(flashed, "S1"))
    hard = hard_book(TONES, lights=[KEY, DIM], stands={"f_number": 8, "filter": "hard"})
    found = contrast(hard, "S1")
    ways = {(w.kind, w.filter): w for w in found.ways}
    off = ways["filter", None]
    assert off.text.startswith("The filter off the lens: the paper takes")
    assert off.settings is not None
    assert off.settings.filter is None
    assert off.cost_stops < 0  # light comes back
    bare = contrast(hard_book(TONES, lights=[KEY, DIM]), "S1")
    assert found.held.mean < bare.held.mean
    assert off.held_stops == pytest.approx(bare.held.mean, rel=0.02)


# ---- among the other ways -------------------------------------------------------------------


def test_a_filter_comes_before_other_ways_where_the_light_is_too_far_apart() -> None:
    book = hard_book(TONES, lights=[KEY, DIM])
    first = advise(book, "S1").alternatives[0]
    assert first.settings.filter == "00"
    assert first.text.startswith("Filter 00 on the lens: the paper takes 4")
    ways = by_kind(contrast(book, "S1", advise(book, "S1").settings))
    assert first.p_keeper == pytest.approx(ways["00"].p_keeper, abs=0.02)


def test_what_would_hardly_land_is_not_offered() -> None:
    """Her aims far beyond everything: no filter makes a way of that."""
    far = {"key": {"placement_stops": 1.2}, "shadow": {"placement_stops": -3.4}}
    for other in advise(hard_book(far), "S1").alternatives:
        assert other.settings.filter is None
        assert other.settings.pre_flash_stops is None


def test_efforts_of_her_own_order_them() -> None:
    book = hard_book(NEAR, lights=[KEY, DIM], efforts={"preflash": 0.5})
    first, second = advise(book, "S1").alternatives
    assert first.settings.pre_flash_stops is not None
    assert second.settings.filter is not None


def test_aims_take_tones_of_a_filter_and_placements_do_not() -> None:
    """An aim in stops stays where it is behind a filter, one in density moves with the curve."""
    for aim, moves in ((Aim(placement_stops=-1.2), False), (Aim(density=1.6), True)):
        book = hard_book({"key": {"density": 0.5}, "shadow": aim.model_dump(exclude_unset=True)})
        found = [
            predict(book, "S1", contrast(book, "S1").settings.model_copy(update={"filter": on}))
            .regions["shadow"]
            .aim
            for on in (None, "00")
        ]
        assert found[0] is not None
        assert found[1] is not None
        by = found[1].placement_stops - found[0].placement_stops
        assert (abs(by) > 0.3) is moves
