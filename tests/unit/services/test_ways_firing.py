"""What tubes, plugs and batteries say to ways on another camera. Everything here is invented."""

from __future__ import annotations

import pytest

from stillroom.documents.ways import Ways
from stillroom.services.ways import Asked, ways
from tests.unit.book_cases import book_of
from tests.unit.services.other_camera_books import data


def test_circuits_are_counted() -> None:
    found = data()
    for head in found["kit"]["heads"]:
        head |= {"mains_a": 12, "modelling_w": 230}
    found["kit"]["rooms"] = [{"id": "room", "circuit_a": 16, "circuits": 1}]
    answer = ways(book_of(found), Asked("S1", "8x10", viewing="on_the_wall"))
    one_pop = [way for way in answer.ways if way.heads_in_key == 2 and way.pops == 1]
    assert one_pop
    for way in one_pop:  # one pop can wait: they charge in turn
        assert way.feasible
        assert way.firing is not None
        assert (way.firing.circuits_needed, way.firing.circuits) == (2, 1)
        assert "one head after the other" in way.firing.text
    found["kit"]["rooms"][0]["circuits"] = 2
    answer = ways(book_of(found), Asked("S1", "8x10", viewing="on_the_wall"))
    two = next(way for way in answer.ways if way.heads_in_key == 2 and way.pops == 1)
    assert two.firing is not None
    # 12 A to charge and 230 W of modelling light at 230 V: 13 A on each of the two.
    assert two.firing.amps == pytest.approx(13.0)
    assert "13 A while all charge, on 2 circuits" in two.firing.text


def test_a_head_that_no_circuit_carries_is_no_way() -> None:
    found = data()
    for head in found["kit"]["heads"]:
        head |= {"mains_a": 20}
    found["kit"]["rooms"] = [{"id": "room", "circuit_a": 16, "circuits": 4}]
    answer = ways(book_of(found), Asked("S1", "8x10", viewing="on_the_wall"))
    assert not any(way.feasible for way in answer.ways)
    assert any("more than one circuit carries" in way.why for way in answer.ways)


def beside_a_hot_lamp(power_w: float) -> Ways:
    """Heads of 6 A on one circuit of 16 A at 230 V, with a lamp that stays lit."""
    found = data(
        lights=[
            {"role": "key", "kit_id": "A", "modifiers": ["box"], "distance_m": 0.7},
            {"role": "hot", "kind": "lamp", "kit_id": "flood", "distance_m": 2},
        ]
    )
    for head in found["kit"]["heads"]:
        head |= {"mains_a": 6}
    found["kit"]["lamps"] = [{"id": "flood", "intensity_cd": 2000, "power_w": power_w}]
    found["kit"]["rooms"] = [{"id": "room", "circuit_a": 16}]
    return ways(book_of(found), Asked("S1", "8x10", viewing="on_the_wall"))


def test_a_hot_lamp_draws_from_the_plugs_of_a_way_too() -> None:
    """A lamp of 1150 W takes 5 A; two heads with it 17 A, so they charge one after the other."""
    answer = beside_a_hot_lamp(5 * 230)
    by_one = next(way for way in answer.ways if len(way.heads) == 1)
    assert by_one.firing is not None
    assert by_one.firing.amps == pytest.approx(6 + 5)
    assert "11 A while all charge" in by_one.firing.text
    by_two = next(way for way in answer.ways if len(way.heads) == 2)
    assert by_two.firing is not None
    assert (by_two.firing.circuits_needed, by_two.firing.circuits) == (2, 1)
    assert "one head after the other" in by_two.firing.text


def test_where_a_hot_lamp_leaves_no_head_enough_there_is_no_way_by_flash() -> None:
    """A lamp of 14 A leaves 2 A of 16 A, and a head takes 6 A."""
    answer = beside_a_hot_lamp(14 * 230)
    by_flash = [way for way in answer.ways if way.heads]
    assert by_flash
    for way in by_flash:
        assert not way.feasible
        assert way.why.startswith("Even one head charging beside the lamps")
        assert way.firing is not None
        assert "even one head charging" in way.firing.text
