"""Two daylight sheets of one seat: every cause by hand, and what takes up a surprise."""

from __future__ import annotations

import math

import pytest

from stillroom.errors import NotPossible, UnknownName
from stillroom.services.daylight_compared import compared
from stillroom.services.daylit import Weather, daylit
from stillroom.services.demo import demo_book
from stillroom.services.worktable import Worktable
from tests.unit.services.daylight_books import (
    DECEMBER,
    JUNE,
    SEAT,
    made_by_truth,
    with_sittings,
)

OFF_STOPS = 1.2


def test_causes_are_those_of_the_ledger() -> None:
    """Open time, sun and sky from their definitions; what is alike on both is left out."""
    december = made_by_truth("DEC", DECEMBER, (8.0,), 0.0)
    june = made_by_truth("JUN", JUNE, (2.0,), 0.0)
    book = with_sittings(december, june)
    answer = compared(book, "Dec 1", "Jun 1")
    by_cause = {line.cause: line for line in answer.lines}
    assert by_cause["open time"].stops == pytest.approx(math.log2(2 / 8))
    assert (by_cause["open time"].first, by_cause["open time"].second) == ("8 s", "2 s")
    table = Worktable(book, "JUN")
    levels = [
        daylit(book, SEAT, table.batch, table.lens, Weather(s.sheets[0].when, s.sky)).log2_lx
        for s in (december, june)
        if s.sheets[0].when is not None
    ]
    sun = next(line for line in answer.lines if line.cause.startswith("sun and sky"))
    assert sun.stops == pytest.approx(levels[1] - levels[0])
    assert not any("f-stop" in cause for cause in by_cause)
    assert math.fsum(line.stops for line in answer.lines) == pytest.approx(
        answer.expected_stops, abs=0.05 * len(answer.lines)
    )
    # Both were made by one truth, so there is no surprise beyond the error of reading.
    assert answer.seen_stops == pytest.approx(answer.expected_stops, abs=0.35)


def test_a_surprise_is_told_with_what_took_it_up() -> None:
    december = made_by_truth("DEC", DECEMBER, (6.0, 8.0), 0.0)
    june = made_by_truth("JUN", JUNE, (2.0,), OFF_STOPS)
    answer = compared(with_sittings(december, june), "Dec 2", "Jun 1")
    assert answer.seen_stops is not None
    assert answer.surprise_sd is not None
    assert answer.surprise_sd > 0.5
    assert answer.seen_stops - answer.expected_stops == pytest.approx(OFF_STOPS, abs=0.5)
    assert answer.blamed
    assert "sky" in answer.blamed[0]  # of all that differs, the day's own sky is known least


def test_the_order_of_asking_only_turns_the_sign() -> None:
    book = with_sittings(
        made_by_truth("DEC", DECEMBER, (8.0,), 0.0), made_by_truth("JUN", JUNE, (2.0,), 0.3)
    )
    there, back = compared(book, "Dec 1", "Jun 1"), compared(book, "JUN/1", "DEC/1")
    assert back.expected_stops == pytest.approx(-there.expected_stops)
    assert back.seen_stops == pytest.approx(-(there.seen_stops or 0.0))
    assert (back.first, back.second) == (there.second, there.first)


def test_sheets_of_other_light_are_refused_and_unknown_ones_named() -> None:
    with pytest.raises(NotPossible, match="not made by the light of a seat"):
        compared(demo_book(), "KS December/2", "OM 2")
    with pytest.raises(UnknownName, match="sheet called 'XX 9'"):
        compared(demo_book(), "XX 9", "OM 2")
