"""How a sitting fires, asked of a book. Everything in it is invented."""

from __future__ import annotations

from typing import Any

import pytest

from stillroom.documents.book import Book, LightSetting, Settings
from stillroom.documents.firing import Firing
from stillroom.errors import NotPossible, UnknownName
from stillroom.services.cautions import FLASH_CAUTION, LAMP_CAUTION
from stillroom.services.firing import firing
from stillroom.telling.firing_told import WAYS_TO_FIRE, told
from stillroom.web.page import environment
from tests.unit.book_cases import book_of, head_and_shoulders

FULL = {"key": LightSetting(dial=0.0), "fill": LightSetting(dial=-1.0)}


def book(
    head: dict[str, Any] | None = None, room: dict[str, Any] | None = None, **sitting: Any
) -> Book:
    """Heads A and B of 1000 W·s; what `head` says is said of both."""
    data = head_and_shoulders(**sitting)
    for one in data["kit"]["heads"][:2]:
        one.update({"recycle_s": 2.0} | (head or {}))
    if room is not None:
        data["kit"]["rooms"] = [{"id": "hall"} | room]
    return book_of(data)


def fired(of: Book, *, pops: int = 1, fires: Any = None, **more: Any) -> Firing:
    settings = Settings(f_number=8, lights=FULL, pops=pops, **more)
    return firing(of, "S1", settings, fires=fires)


def test_each_head_charges_for_its_own_energy_and_all_wait_for_the_slowest() -> None:
    """A at full, 1000 W·s in 2 s; B half of it in 1 s, both by 500 W."""
    found = fired(book(), pops=4)
    assert [h.energy_ws for h in found.heads] == [1000, 500]
    assert [h.recycle_s for h in found.heads] == [2.0, 1.0]
    assert [h.charging_w for h in found.heads] == [500, 500]
    assert (found.gap_s, found.burst_s) == (2.0, 6.0)
    assert found.ready_s == pytest.approx(4 * 6 - 6)  # ten a minute: six seconds each
    assert "4 pops, one every 2 s, so 6 s from first to last" in found.sentence


def test_too_much_for_a_tube_is_said_with_its_rest() -> None:
    hot = fired(book({"pops_in_a_row_full": 6, "pops_per_minute_full": 6}), pops=16)
    assert [h.is_within for h in hot.heads] == [False, False]
    assert hot.heads[0].rest_s == pytest.approx(16 * 10 - 30)
    assert hot.notes[0].startswith("Too much for the tube of head A: 16 pops at full in a row")
    assert "too much for a tube" in told(hot).line
    cool = fired(book({"pops_in_a_row_full": 16, "pops_per_minute_full": 6}), pops=16)
    assert all(h.is_within for h in cool.heads)
    assert any(note.startswith("Let head A rest") for note in cool.notes)


def test_circuits_are_counted_and_heads_take_turns_where_they_are_few() -> None:
    """Two heads of 10 A on one circuit of 16 A: one after the other, so twice the gap."""
    one = fired(book({"mains_a": 10}, {"circuit_a": 16}), pops=2)
    assert one.mains is not None
    assert (one.mains.all_a, one.mains.circuits_needed, one.mains.at_once) == (20, 2, 1)
    assert (one.mains.in_turns, one.gap_s) == (2, 4.0)
    assert "charge in 2 turns" in one.notes[-1]
    two = fired(book({"mains_a": 10}, {"circuit_a": 16, "circuits": 2}), pops=2)
    assert two.mains is not None
    assert (two.mains.in_turns, two.gap_s) == (1, 2.0)
    assert "spread them over 2 circuits" in two.notes[-1]
    strong = fired(book({"mains_a": 20}, {"circuit_a": 16}))
    assert strong.mains is not None
    assert strong.mains.circuits_needed is None
    assert "more than a circuit carries" in strong.notes[-1]


def test_modelling_lamps_and_hot_lamps_draw_too() -> None:
    """Two heads of 5 A with lamps of 230 W on 230 V: 12 A; a flood of 1150 W 5 A more."""
    of = book({"mains_a": 5, "modelling_w": 230}, {"circuit_a": 16})
    found = fired(of)
    assert found.mains is not None
    assert found.mains.all_a == pytest.approx(12)
    assert LAMP_CAUTION in found.cautions
    flood = {"id": "flood", "intensity_cd": 2000, "power_w": 1150}
    data = of.model_dump(mode="json", exclude_unset=True)
    data["kit"]["lamps"] = [flood]
    lights = data["sittings"][0]["lights"]
    lights.append({"role": "hot", "kind": "lamp", "kit_id": "flood", "distance_m": 2})
    hot = fired(book_of(data))
    assert hot.mains is not None
    assert hot.mains.all_a == pytest.approx(17)
    assert hot.mains.at_once == 1
    lit = {**FULL, "hot": LightSetting(on=False)}
    off = firing(book_of(data), "S1", Settings(f_number=8, lights=lit))
    assert off.mains is not None
    assert off.mains.all_a == pytest.approx(12)


def test_lamps_stay_lit_while_heads_take_turns() -> None:
    """One circuit of 16 A. Heads of 9 A with lamps of 4 A: one charging and both lit are 17 A.

    Lamps of 3 A: 9 + 3 + 3 = 15 A, so one after the other goes. A hot lamp of 14 A leaves 2 A.
    """
    over = fired(book({"mains_a": 9, "modelling_w": 4 * 230}, {"circuit_a": 16}))
    assert over.mains is not None
    assert (over.mains.at_once, over.mains.in_turns) == (0, None)
    assert any(note.startswith("Even one head charging") for note in over.notes)
    assert told(over).line.endswith("26 A, too much for the plugs.")
    fits = fired(book({"mains_a": 9, "modelling_w": 3 * 230}, {"circuit_a": 16}))
    assert fits.mains is not None
    assert (fits.mains.at_once, fits.mains.in_turns) == (1, 2)
    data = book({"mains_a": 6}, {"circuit_a": 16}).model_dump(mode="json", exclude_unset=True)
    data["kit"]["lamps"] = [{"id": "flood", "intensity_cd": 2000, "power_w": 14 * 230}]
    hot_lamp = {"role": "hot", "kind": "lamp", "kit_id": "flood", "distance_m": 2}
    data["sittings"][0]["lights"].append(hot_lamp)
    hot = fired(book_of(data))
    assert hot.mains is not None
    assert hot.mains.at_once == 0
    assert not any("turns" in note for note in hot.notes)


def test_a_head_whose_draw_is_not_known_is_said_to_be_left_out() -> None:
    data = book({}, {"circuit_a": 16}).model_dump(mode="json", exclude_unset=True)
    data["kit"]["heads"][0]["mains_a"] = 10
    found = fired(book_of(data))
    assert found.mains is not None
    assert found.mains.all_a == 10
    assert found.notes[-1].startswith("What head B draws is not written down")


def test_a_battery_has_what_the_sheets_left() -> None:
    sheet = {"number": 1, "settings": {"f_number": 8, "pops": 10, "lights": {"key": {"dial": 0}}}}
    of = book({"battery_pops_full": 100}, sheets=[sheet])
    key, fill = fired(of, pops=4).heads
    assert (key.battery_pops, key.battery_left) == (100, 90)
    assert (fill.battery_pops, fill.battery_left) == (200, 180)
    few = fired(book({"battery_pops_full": 3}), pops=4)
    assert any("charge it" in note for note in few.notes)


@pytest.mark.parametrize("way", [way for way, _ in WAYS_TO_FIRE])
def test_every_way_to_fire_has_its_count_and_its_time(way: Any) -> None:
    found = fired(book(), fires=way, open_s=0.01)
    assert found.count.endswith("All fired?")
    assert found.count.startswith("All charged?")
    assert found.open_s == max(0.01, found.least_open_s)
    assert told(found).rows[0][0] == "Opened by"
    assert (found.open_sd_s < 0.01) is (way == "sync_shutter")


def test_a_hand_that_is_slower_than_planned_is_said() -> None:
    found = fired(book(holding={"fires": "cap_in_light"}), open_s=0.125)
    assert found.open_s == 2.0
    assert found.notes[0].startswith("By hand it is open 2 s rather than 1⁄8 s")
    assert fired(book(), open_s=0.125).notes == ()


def test_one_opening_for_all_pops_lasts_as_long_as_they_do() -> None:
    found = fired(book(), pops=4, open_s=1.0, opening="held_open")
    assert found.open_s == found.burst_s == 6.0


def test_what_is_not_written_down_is_said() -> None:
    data = head_and_shoulders()
    found = fired(book_of(data))
    assert not found.heads[0].recycle_is_known
    assert "3 s at full is taken" in found.notes[-1]
    assert found.mains is None
    assert found.cautions == (FLASH_CAUTION,)


def test_without_a_head_nothing_fires() -> None:
    off = Settings(f_number=8, lights={r: LightSetting(on=False) for r in ("key", "fill")})
    with pytest.raises(NotPossible, match="nothing fires"):
        firing(book(), "S1", off)
    with pytest.raises(UnknownName):
        firing(book(), "S2", off)


def test_the_partial_holds_line_count_and_cautions() -> None:
    view = told(fired(book({"mains_a": 10}, {"circuit_a": 16}), pops=2))
    page = environment().get_template("parts/firing.html").render(firing=view)
    assert view.line in page
    assert view.count in page
    assert FLASH_CAUTION in page
    assert view.line.endswith("20 A, charged in 2 turns.")
