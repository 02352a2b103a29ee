"""The count: no pop before every head is charged, each within its opening, all of them."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.book import Book, Made, Settings
from stillroom.documents.count import Call, Count
from stillroom.documents.holding import Fires
from stillroom.errors import OutOfRange
from stillroom.light import OPENED_BY
from stillroom.services.counting import (
    DELAYS_S,
    LEAST_GAP_S,
    USUAL_DELAY_S,
    count,
    spread_s,
)

sys.path.insert(0, str(Path(__file__).parents[2] / "doors"))
from sitting_book import sitting_book  # type: ignore[import-not-found]

BOOK: Book = sitting_book()
WAYS: tuple[Fires, ...] = get_args(Fires)


def counted(way: Fires | None, delay_s: float = 0.0, **said: Any) -> Count:
    """The count of the example's last sheet, set so."""
    sheet = BOOK.sittings[0].sheets[-1]
    settings = Settings.model_validate(sheet.settings.model_dump() | said)
    return count(
        BOOK,
        "OM",
        sheet.model_copy(update={"settings": settings}),
        fires=way,
        delay_s=delay_s,
    )


def at(made: Count) -> list[tuple[float, Call]]:
    """Moments of the calls from the start, where nobody presses."""
    now, last_pop = 0.0, float("-inf")
    said = []
    for call in made.calls:
        now = max(now + call.after_s, last_pop + call.after_pop_s)
        last_pop = now if call.kind == "pop" else last_pop
        said.append((now, call))
    return said


def moments(made: Count, kind: str) -> list[float]:
    return [now for now, call in at(made) if call.kind == kind]


ways = st.sampled_from(WAYS)
pops = st.integers(1, 8)
held = st.sampled_from(["per_pop", "held_open"])
seconds = st.floats(0.05, 30)


@given(way=ways, pops=pops, opening=held, open_s=seconds, delay=st.sampled_from(DELAYS_S))
def test_no_pop_before_every_head_is_charged(
    way: Fires, pops: int, opening: str, open_s: float, delay: float
) -> None:
    made = counted(way, delay, pops=pops, opening=opening, open_s=open_s)
    fired = moments(made, "pop")
    assert len(fired) == pops == made.pops
    gaps = [b - a for a, b in pairwise(fired)]
    assert all(gap >= made.gap_s - 1e-9 for gap in gaps)
    assert made.gap_s >= LEAST_GAP_S


@given(way=ways, pops=pops, opening=held, open_s=seconds, delay=st.sampled_from(DELAYS_S))
def test_every_pop_by_hand_falls_while_it_is_open_and_dark(
    way: Fires, pops: int, opening: str, open_s: float, delay: float
) -> None:
    made = counted(way, delay, pops=pops, opening=opening, open_s=open_s)
    is_open = False
    for _, call in at(made):
        if made.is_by_hand and call.kind == "pop":
            assert is_open
        is_open = {"off": True, "on": False}.get(call.kind, is_open)
        if is_open or call.kind == "on":  # a hand is on its way when it is called
            assert call.is_dark
        elif call.kind != "pop":
            assert not call.is_dark
    assert not is_open
    assert made.calls[-1].kind == "end"


@given(way=ways.filter(lambda w: w not in ("sync_shutter", "remote")), open_s=seconds)
def test_by_hand_it_is_open_as_long_as_planned_and_no_shorter_than_a_hand_can(
    way: Fires, open_s: float
) -> None:
    made = counted(way, pops=1, open_s=open_s)
    (off,), (on,), (pop,) = (moments(made, kind) for kind in ("off", "on", "pop"))
    assert on - off == pytest.approx(max(open_s, OPENED_BY[way].least_s))
    assert pop - off == pytest.approx(on - pop)  # in the middle
    assert made.open_s == pytest.approx(on - off)


def test_a_head_that_charges_at_once_still_pops_no_more_than_once_a_second() -> None:
    quick = BOOK.model_copy(
        update={
            "kit": BOOK.kit.model_copy(
                update={
                    "heads": tuple(h.model_copy(update={"recycle_s": 0}) for h in BOOK.kit.heads)
                }
            )
        }
    )
    sheet = BOOK.sittings[0].sheets[-1]
    settings = sheet.settings.model_copy(update={"pops": 4, "opening": "held_open"})
    sheet = sheet.model_copy(update={"settings": settings})
    made = count(quick, "OM", sheet, fires="cap_in_dark")
    fired = moments(made, "pop")
    assert [b - a for a, b in pairwise(fired)] == [pytest.approx(1.0)] * 3


def test_a_remote_leaves_time_to_sit_and_to_rise_while_it_is_open() -> None:
    made = counted("remote", 10.0, pops=1, open_s=1)
    (off,), (on,), (pop,) = (moments(made, kind) for kind in ("off", "on", "pop"))
    assert pop - off >= 10
    assert on - pop >= 10


def test_who_sits_too_has_the_delay_before_the_lights_go_out() -> None:
    without, made = counted("cap_in_dark"), counted("cap_in_dark", 20.0)
    assert moments(made, "off")[0] - moments(without, "off")[0] == pytest.approx(20)
    portrait = BOOK.sittings[0].holding.model_copy(update={"is_self_portrait": True})
    sitting = BOOK.sittings[0].model_copy(update={"holding": portrait})
    book = BOOK.model_copy(update={"sittings": (sitting,)})
    assert count(book, "OM", sitting.sheets[-1]).delay_s == USUAL_DELAY_S


def test_a_stepped_sheet_waits_for_its_slide_and_has_every_pop_of_its_strips() -> None:
    made = counted("cap_in_dark", pops=1, steps_pops=(1, 2, 4))
    assert [call.word for call in made.calls if call.kind == "wait"] == [
        "Strip 1 of 3",
        "Strip 2 of 3",
        "Strip 3 of 3",
    ]
    assert made.pops == 7 == sum(call.kind == "pop" for call in made.calls)


def test_by_steady_light_nothing_pops_and_seconds_are_counted() -> None:
    off = {"key": {"on": False}, "rim": {"on": False}}
    made = counted("cap_in_light", lights=off, open_s=8, pops=2)
    assert made.pops == 0
    assert made.heads == ()
    assert moments(made, "pop") == []
    assert len(moments(made, "off")) == 2
    assert all(call.is_counted for call in made.calls if call.kind == "off")
    assert [call.after_s for call in made.calls if call.kind == "on"] == [8, 8]


def test_a_shutter_keeps_its_own_time() -> None:
    made = counted("sync_shutter", pops=2)
    assert not made.is_by_hand
    assert (made.open_s, made.counted_sd_s, made.pressed_sd_s) == (0, 0, 0)
    assert moments(made, "off") == []


def test_a_sheet_that_was_counted_is_counted_the_same_again() -> None:
    sheet = BOOK.sittings[0].sheets[-1]
    first = count(BOOK, "OM", sheet, fires="cap_in_light")
    made = sheet.model_copy(update={"made": Made(open_s=3.1), "open_sd_s": 0.1})
    assert count(BOOK, "OM", made, fires="cap_in_light").calls == first.calls


def test_a_spread_is_that_of_the_hand_and_of_a_mean() -> None:
    made = counted("cap_in_dark")
    assert spread_s(made, 1, is_pressed=False) == pytest.approx(0.2)  # a hand on a cap
    assert spread_s(made, 1, is_pressed=True) < spread_s(made, 1, is_pressed=False)
    assert spread_s(made, 4, is_pressed=False) == pytest.approx(0.1)


@pytest.mark.parametrize("delay_s", [-1, 121, float("nan")])
def test_a_delay_that_cannot_be_is_refused(delay_s: float) -> None:
    with pytest.raises(OutOfRange, match="delay"):
        counted("cap_in_dark", delay_s)
