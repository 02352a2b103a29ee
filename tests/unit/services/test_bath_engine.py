"""What a control strip keeps from being believed of the paper.

Two days of an invented line: on the second its bath is half a stop weaker. Sheets and strips are
made by the entered curve at what is forecast for them, moved by the true speed and the bath of
the day, with invented scatter from sheet to sheet and in the readings.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from stillroom.documents.answers import Forecast
from stillroom.documents.book import Book
from stillroom.documents.to_domain import batch_of
from stillroom.services.plan import paper_belief, predict, taught
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

TRUE_SPEED_STOPS = 0.3
WEAK_STOPS = -0.5
SHEETS = 3
STRIP = {"1": 0.5, "2": -0.4}
REGIONS = ("key", "shadow")


def known_lights() -> dict[str, Any]:
    """A book where lights and the paper's contrast are known, so that its speed is not."""
    data = head_and_shoulders()
    for head in data["kit"]["heads"]:
        head["output_sd_stops"] = 0.05
    for modifier in data["kit"]["modifiers"]:
        modifier["loss_sd_stops"] = 0.05
    data["kit"]["lenses"][0]["transmission_sd_stops"] = 0.02
    data["papers"][0]["contrast_log_sd"] = 0.05
    return data


def two_days(second_bath_stops: float, seed: int, *, with_strips: bool) -> Book:
    rng = np.random.default_rng([20261125, seed])
    data = known_lights()
    plain = book_of(data)
    forecast = predict(plain, "S1")
    curve = batch_of(plain.papers[0]).curve()

    def tone(place: float) -> float:
        return float(round(curve.density(place) + 0.03 * rng.standard_normal(), 3))

    sittings = []
    for day, bath in ((14, 0.0), (15, second_bath_stops)):
        sheets = []
        for number in range(1, SHEETS + 1):
            moved = TRUE_SPEED_STOPS + bath + 0.12 * rng.standard_normal()
            places = (forecast.regions[r].placement_stops.q50 + moved for r in REGIONS)
            sheet = scanned(number, *(tone(place) for place in places))
            sheet["settings"] = forecast.settings.model_dump(mode="json", exclude_unset=True)
            sheet["expected"] = {r: expected(forecast, r) for r in REGIONS}
            sheet["when"] = f"2026-11-{day}T1{number}:00:00+00:00"
            sheets.append(sheet)
        steps = {n: tone(at + bath + 0.05 * rng.standard_normal()) for n, at in STRIP.items()}
        when = f"2026-11-{day}T10:00:00+00:00"
        strips = [{"when": when, "steps": steps}] if with_strips else []
        sitting = {"id": f"S{day}", "when": when, "sheets": sheets, "control_strips": strips}
        sittings.append({**data["sittings"][0], **sitting})
    data["sittings"] = sittings
    return book_of(data)


def expected(forecast: Forecast, region: str) -> dict[str, float]:
    """What would be said of a region by somebody who knows the paper but not the bath."""
    said = forecast.regions[region].placement_stops
    middle = said.q50 + TRUE_SPEED_STOPS
    away = {"q05": -0.3, "q50": 0.0, "q95": 0.3}
    return {"mean_stops": middle, "sd_stops": 0.18} | {q: middle + d for q, d in away.items()}


def error_of_speed(book: Book) -> float:
    """Speed that is carried on after both days, less the true one [stops]."""
    return math.log2(paper_belief(book, "sorrel/7").ei / 3) - TRUE_SPEED_STOPS


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_weak_bath_is_taken_less_for_the_paper_once_a_strip_told_it(seed: int) -> None:
    without = error_of_speed(two_days(WEAK_STOPS, seed, with_strips=False))
    told = error_of_speed(two_days(WEAK_STOPS, seed, with_strips=True))
    assert without < -0.2
    assert abs(told) < abs(without) - 0.02


@pytest.mark.slow
def test_a_bath_that_stands_leaves_the_paper_where_its_sheets_put_it() -> None:
    without = error_of_speed(two_days(0.0, 1, with_strips=False))
    told = error_of_speed(two_days(0.0, 1, with_strips=True))
    assert told == pytest.approx(without, abs=0.1)


@pytest.mark.parametrize(
    ("with_strips", "suspects"),
    [
        (False, "Paper, bath, head or what hangs on it: one sheet cannot tell."),
        (True, "Paper, head or what hangs on it: one sheet cannot tell."),
    ],
)
def test_the_bath_is_a_suspect_until_a_strip_told_it(suspects: str, *, with_strips: bool) -> None:
    book = two_days(WEAK_STOPS, 1, with_strips=with_strips)
    lessons = taught(book, "S15")
    assert "darker than expected" in lessons[0].sentence
    assert suspects in lessons[0].sentence
