"""Until when a plan by daylight stays good."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from stillroom.documents.book import Book, Light, LightSetting
from stillroom.services.daylight_need import need
from stillroom.services.good_until import NOTICED_STOPS, good_until
from stillroom.services.plan import predict
from stillroom.services.seats import as_of, goes_on, planned_for, under_sky
from stillroom.services.worktable import Worktable
from tests.unit.services.daylight_books import (
    DECEMBER,
    DULL,
    asked,
    by_the_window,
    made_by_truth,
    with_sittings,
)


def book() -> Book:
    return with_sittings(by_the_window("T", DECEMBER))


def test_the_plan_ends_when_another_time_is_nearer_to_the_same_tone() -> None:
    table = Worktable(book(), "T")
    settings = table.standing().model_copy(update={"open_s": 8.0})
    end = good_until(table, predict(book(), "T", settings))
    assert end is not None
    assert end.then_s == 12.0
    found = need(book(), asked(sitting_id="T"), DECEMBER)
    then = found.log2_seconds(found.light(np.array([end.until.timestamp()])).actinic_lx[0])
    now = found.log2_seconds(np.array([found.actinic_lx]))
    darker = float(then[0] - now[0])
    edge = (math.log2(8.0) + math.log2(12.0)) / 2 - math.log2(8.0)
    assert edge <= darker < edge + 0.1


def test_without_daylight_a_plan_does_not_go_stale() -> None:
    from stillroom.services.demo import demo_book

    table = Worktable(demo_book(), "OM")
    assert good_until(table, predict(demo_book(), "OM")) is None


def test_daylight_that_hardly_counts_does_not_make_a_flash_stale() -> None:
    """A region that would move by less than a sixth of a stop notices nothing."""
    sitting = by_the_window("T", DECEMBER)
    head = Light(role="head", kind="head", kit_id="A", distance_m=0.6)
    lit = sitting.model_copy(update={"lights": (*sitting.lights, head)})
    with_head = with_sittings(lit)
    table = Worktable(with_head, "T")
    settings = table.standing().model_copy(
        update={"open_s": 1 / 60, "lights": {"head": LightSetting(dial=0.0)}}
    )
    forecast = predict(with_head, "T", settings)
    share = forecast.regions["key"].sources["key"]
    assert -math.log2(1 - share) < NOTICED_STOPS
    assert good_until(table, forecast) is None


def test_in_the_dark_nothing_is_promised() -> None:
    night = DECEMBER.replace(hour=20)
    table = Worktable(with_sittings(by_the_window("N", night)), "N")
    settings = table.standing().model_copy(update={"open_s": 8.0})
    forecast = predict(table.book, "N", settings)
    assert good_until(table, forecast) is None
    assert forecast.regions["key"].placement_stops.q95 < -10


def test_the_next_sheet_is_planned_for_now_while_the_sitting_goes_on() -> None:
    later = DECEMBER + timedelta(hours=2, minutes=3)
    sitting = book().sittings[0]
    assert planned_for(sitting) == DECEMBER
    then = as_of(book(), "T", later).sittings[0]
    assert then.planned_for == DECEMBER + timedelta(hours=2)
    assert goes_on(sitting, later)
    for other in (
        with_sittings(sitting.model_copy(update={"finished": True})),
        with_sittings(sitting.model_copy(update={"when": DECEMBER - timedelta(days=1)})),
    ):
        assert as_of(other, "T", later) is other
    assert as_of(book(), "nobody", later).sittings == book().sittings


def test_a_new_sky_leaves_what_was_made_under_the_old_one() -> None:
    made = made_by_truth("T", DECEMBER, (6.0,), 0.0)
    from stillroom.documents.seats import SkySeen

    clear = SkySeen(word="clear")
    turned = under_sky(made, clear)
    assert turned.sky == clear
    assert turned.sheets[0].sky == DULL
    again = under_sky(turned, None)
    assert again.sheets[0].sky == DULL


@pytest.mark.parametrize("hour", [9, 11, 13])
def test_the_hour_moves_the_forecast_as_the_sun_moves_the_light(hour: int) -> None:
    """The ledger and the physics of daylight are asked apart."""
    moment = datetime(2025, 12, 14, hour, 30, tzinfo=UTC)
    placed = []
    for when in (DECEMBER, moment):
        there = with_sittings(
            by_the_window("T", DECEMBER).model_copy(update={"planned_for": when})
        )
        table = Worktable(there, "T")
        settings = table.standing().model_copy(update={"open_s": 1.0})
        placed.append(predict(there, "T", settings).regions["key"].placement_stops.mean)
    found = need(book(), asked(sitting_id="T"), DECEMBER)
    light = found.light(np.array([DECEMBER.timestamp(), moment.timestamp()])).actinic_lx[0]
    assert placed[1] - placed[0] == pytest.approx(math.log2(light[1] / light[0]), abs=0.02)
