"""What is said to be believed of papers and kit, and what each sheet taught."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from stillroom.errors import UnknownName
from stillroom.services.choices import thing_of
from stillroom.services.plan import kit_belief, paper_belief, taught
from tests.unit.book_cases import book_of, head_and_shoulders, scanned


class Memo:
    """Remembers in memory."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def get(self, key: str) -> bytes | None:
        return self.kept.get(key)

    def put(self, key: str, value: bytes) -> None:
        self.kept[key] = value


def stepped(number: int, *densities: float) -> dict[str, Any]:
    sheet = scanned(number, None, None)
    sheet["settings"]["steps_pops"] = [1, 2, 4, 8]
    strips = [
        {"step": step, "regions": {"key": {"density": d}}}
        for step, d in zip((1, 2, 4, 8), densities, strict=True)
    ]
    sheet["readings"] = [{"state": "dry", "by": "scan", "strips": strips}]
    return sheet


def worked(*sheets: dict[str, Any], **sitting: Any) -> dict[str, Any]:
    data = head_and_shoulders(**sitting)
    data["sittings"][0]["sheets"] = list(sheets)
    return data


def test_a_paper_nobody_used_is_as_it_was_entered() -> None:
    found = paper_belief(book_of(worked()), "sorrel/7")
    assert found.ei == pytest.approx(3.0)
    assert found.sd_stops == found.prior_sd_stops == 1.0
    assert (found.ei_low, found.ei_high) == pytest.approx((3 * 2**-1.645, 3 * 2**1.645))
    assert (found.dmin, found.dmax, found.contrast_per_stop) == pytest.approx((0.08, 1.9, 1.5))
    assert found.sheets == 0
    assert "stepped sheet comes first" in found.sentence


def test_the_curve_starts_at_the_middle_and_its_range_holds_it() -> None:
    found = paper_belief(book_of(worked()), "sorrel/7")
    middle = next(p for p in found.curve if p.placement_stops == 0)
    assert middle.density == pytest.approx((0.08 + 1.9) / 2)
    for point in found.curve:
        assert point.low <= point.density + 0.02
        assert point.density - 0.02 <= point.high
    tones = [p.density for p in found.curve]
    assert tones == sorted(tones, reverse=True)  # more exposure, lighter tone


def test_a_stepped_sheet_teaches_the_papers_speed() -> None:
    """Strips darker than expected by about a stop: a slower paper, or less light."""
    expected = paper_belief(book_of(worked(stepped(1, 1.20, 0.68, 0.33, 0.18))), "sorrel/7")
    darker = paper_belief(book_of(worked(stepped(1, 1.62, 1.20, 0.68, 0.33))), "sorrel/7")
    assert darker.ei < 0.8 * expected.ei
    assert expected.sd_stops < 0.75
    assert expected.sheets == darker.sheets == 1


def test_speed_is_known_alone_only_when_its_spread_has_fallen_by_a_third() -> None:
    for data in (worked(scanned(1, 0.9, 1.5)), worked(*[scanned(n, 0.9, 1.5) for n in (1, 2, 3)])):
        found = paper_belief(book_of(data), "sorrel/7")
        alone = found.sentence.startswith("Speed known from")
        assert alone is (found.sd_stops < 2 / 3)
        if not alone:
            assert "in a chain with the lights, not alone" in found.sentence


def test_two_papers_are_learned_apart() -> None:
    data = worked(scanned(1, 0.9, 1.5))
    data["papers"].append(data["papers"][0] | {"id": "lovage/1", "ei": 6.0})
    other = paper_belief(book_of(data), "lovage/1")
    assert other.sd_stops == 1.0
    assert other.ei == pytest.approx(6.0)
    assert other.sheets == 0


def test_a_paper_that_is_not_there_is_named() -> None:
    with pytest.raises(UnknownName, match="There is no paper called 'tansy'"):
        paper_belief(book_of(worked()), "tansy")


# ---- kit -------------------------------------------------------------------------------------


def test_kit_that_took_no_part_is_left_out() -> None:
    assert kit_belief(book_of(worked())) == {}
    found = kit_belief(book_of(worked(scanned(1, 0.9, 1.5))))
    assert set(found) == {"head/A", "head/B", "modifier/box", "modifier/umbrella", "lens/210"}


def test_a_name_with_a_slash_stays_whole() -> None:
    data = worked(scanned(1, 0.9, 1.5))
    for n, head in enumerate(data["kit"]["heads"][:2]):
        head["id"] = f"old/{n}"
        data["sittings"][0]["lights"][n]["kit_id"] = f"old/{n}"
    found = kit_belief(book_of(data))
    assert {"head/old/0", "head/old/1"} <= set(found)


def test_one_sheet_does_not_tell_a_head_apart_and_a_meter_does() -> None:
    alone = kit_belief(book_of(worked(scanned(1, 0.4, 1.2))))
    assert "known from sheets" not in alone["head/A"].sentence
    for kind in ("head/A", "modifier/box"):
        assert alone[kind].sd_now_stops <= alone[kind].prior_sd_stops + 0.01
    bare = worked()
    bare["sittings"][0]["lights"][0]["modifiers"] = []
    reading = {
        "region": "key",
        "lights_on": ["key"],
        "meter": "flat",
        "shows": {"f_number": 45, "iso": 100},
    }
    bare["sittings"][0]["meter_readings"] = [reading] * 3
    head = kit_belief(book_of(bare))["head/A"]
    assert head.sd_now_stops < 0.25
    assert "meter/flat" in kit_belief(book_of(bare))


def test_the_shift_is_against_what_was_entered() -> None:
    data = worked()
    data["sittings"][0]["lights"][0]["modifiers"] = []
    level = 2**13.64 * 2**0.5 / 0.81  # at 0.9 m half a stop more than the head's 13.64 at 1 m
    n = math.sqrt(level * 100 / 250)
    reading = {
        "region": "key",
        "lights_on": ["key"],
        "shows": {"f_number": round(n, 2), "iso": 100},
    }
    data["sittings"][0]["meter_readings"] = [reading]
    found = kit_belief(book_of(data))["head/A"]
    assert 0.2 < found.shift_stops < 0.5


# ---- what a sheet taught --------------------------------------------------------------------


def test_each_read_sheet_has_its_lesson_in_order() -> None:
    expected = {"mean_stops": 0.0, "sd_stops": 0.5, "q05": -0.8, "q50": 0.0, "q95": 0.8}
    third = scanned(3, 0.8, 1.4) | {"expected": {"key": expected, "shadow": expected}}
    data = worked(stepped(1, 1.20, 0.68, 0.33, 0.18), scanned(2, None, None), third)
    lessons = taught(book_of(data), "S1")
    assert [x.number for x in lessons] == [1, 3]  # the second was not read
    assert lessons[0].sentence.startswith("Its strips found the light this paper needs: speed ±")
    assert "than expected" in lessons[1].sentence
    assert all(x.odd is None for x in lessons)


def test_nothing_read_nothing_taught() -> None:
    assert taught(book_of(worked(scanned(1, None, None))), "S1") == ()


def test_a_fogged_sheet_is_called_odd_and_held_apart() -> None:
    good = [scanned(n, 0.9, 1.5) for n in (1, 2, 4, 5)]
    data = worked(*good[:2], scanned(3, 0.14, 0.35), *good[2:])
    lessons = {x.number: x for x in taught(book_of(data), "S1")}
    assert lessons[3].odd is not None
    assert "lighter than everything else says" in lessons[3].odd
    assert "held apart" in lessons[3].odd
    assert [n for n, x in lessons.items() if x.odd] == [3]


def test_a_head_that_did_not_fire_taught_nothing() -> None:
    moved = scanned(2, 1.8, 1.85, what_else_moved=["a head did not fire"])
    lessons = taught(book_of(worked(scanned(1, 0.9, 1.5), moved)), "S1")
    assert lessons[1].sentence.startswith("A head did not fire")
    before = paper_belief(book_of(worked(scanned(1, 0.9, 1.5))), "sorrel/7")
    after = paper_belief(book_of(worked(scanned(1, 0.9, 1.5), moved)), "sorrel/7")
    assert after.ei == pytest.approx(before.ei, rel=0.02)


def test_ranges_in_lessons_narrow() -> None:
    data = worked(stepped(1, 1.20, 0.68, 0.33, 0.18), scanned(2, 0.8, 1.4))
    first, second = taught(book_of(data), "S1")
    known = re.search(r"is known to ±(.+?); it was ±(.+?)\.", first.sentence)
    assert known is not None
    assert stops(known[1]) < 0.5 * stops(known[2])  # a new paper, and now four strips of it
    again = re.search(r"is known to ±(.+?); it was ±(.+?)\.", second.sentence)
    if again is not None:  # left out where it would be written alike
        assert stops(again[1]) < stops(again[2])
        assert again[2] == known[1]


def stops(text: str) -> float:
    """Stops as they are written: whole ones and thirds."""
    thirds = {"⅓": 1 / 3, "⅔": 2 / 3, "½": 0.5, "¼": 0.25, "¾": 0.75}
    whole = text.rstrip("".join(thirds))
    return (float(whole) if whole else 0.0) + sum(thirds[c] for c in text[len(whole) :])


def test_lessons_and_beliefs_are_the_same_from_memory() -> None:
    data = worked(scanned(1, 0.9, 1.5), scanned(2, 0.7, 1.3))
    data["sittings"].append(
        data["sittings"][0]
        | {"id": "S2", "when": "2026-11-20T10:00:00+00:00", "sheets": [scanned(1, 0.8, 1.4)]}
    )
    book, memo = book_of(data), Memo()
    fresh = (taught(book, "S2"), kit_belief(book), paper_belief(book, "sorrel/7"))
    for _ in range(2):
        remembered = (
            taught(book, "S2", memo=memo),
            kit_belief(book, memo=memo),
            paper_belief(book, "sorrel/7", memo=memo),
        )
        assert remembered == fresh
    memo.kept = dict.fromkeys(memo.kept, b"{broken")
    assert taught(book, "S2", memo=memo) == fresh[0]


SEATED = {
    "places": [{"id": "quarry", "latitude_deg": 54.3, "longitude_deg": -1.5, "zone": "UTC"}],
    "seats": [
        {
            "id": "yard/north",
            "name": "north side of the yard",
            "place": "quarry",
            "open_air": {"faces_deg": 0, "sun": False},
        }
    ],
}


def seated(**sitting: Any) -> dict[str, Any]:
    """One sheet at a seat under a dull sky, read far lighter than was reckoned."""
    data = worked(**sitting)
    data["kit"] |= SEATED
    first = data["sittings"][0]
    first["lights"] = [{"role": "key", "kind": "daylight", "kit_id": "yard/north"}]
    first["sky"] = {"word": "dull"}
    first["aims"] = {"key": {"placement_stops": 0.0}}
    first.pop("meter_readings", None)
    first["stands"] = {"f_number": 5.6, "open_s": 4}
    sheet = scanned(1, 0.3, None)
    sheet["settings"] = {"f_number": 5.6, "open_s": 4}
    first["sheets"] = [sheet]
    return data


def test_what_sheets_say_of_a_seat_is_told_by_the_seat() -> None:
    found = kit_belief(book_of(seated()))
    seat = found["seat/yard|north"]
    assert seat.prior_sd_stops == pytest.approx(0.35)  # as the document has it unless told
    assert seat.sd_now_stops < seat.prior_sd_stops
    assert not any(name.startswith("sky/") for name in found)


def test_a_seat_is_known_apart_for_each_state_of_its_room() -> None:
    found = kit_belief(book_of(seated(room_state="curtains closed")))
    assert "seat/yard|north" not in found
    assert found["seat/yard|north/curtains closed"].sd_now_stops > 0


def test_a_seat_is_called_by_its_name_where_it_is_in_a_chain() -> None:
    book = book_of(seated())
    assert thing_of(book, "seat/yard|north/light") == "the light at north side of the yard"
    assert thing_of(book, "seat/yard|north/evening/light") == "the light at north side of the yard"
    assert thing_of(book, "sky/dull/light") == "the sky"
