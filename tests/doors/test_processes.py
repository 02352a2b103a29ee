"""Processes of one's own, on the Kit page and at the desk, and who uses which. All is invented."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.wet import Process
from stillroom.errors import BadValue, UnknownName
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import press, sitting_desk  # type: ignore[import-not-found]

RC = "rc-trays/permanganate"
ADD = "/kit/processes/add"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def mine(desk: Desk) -> Process:
    return desk.book().kit.processes[-1]


def seconds(process: Process, step: str) -> float | None:
    found = process.step(step)
    return None if found is None else found.seconds


# ---- on the page ----------------------------------------------------------------------------


def test_one_is_copied_by_a_tap(client: TestClient, desk: Desk) -> None:
    answer = press(client, ADD, line="fibre-trays", bleach="dichromate")
    assert answer.status_code == 303
    made = mine(desk)
    assert (made.name, made.based_on, made.paper) == (
        "My dichromate", "fibre-trays/dichromate", "fibre",
    )  # fmt: skip
    assert seconds(made, "first_development") == 180


def test_a_time_of_ones_own_is_written_and_says_whose_it_is(
    client: TestClient, desk: Desk
) -> None:
    press(client, ADD, name="Quarry Lane", first_development_s="150", bleach_s="2,5",
          without="fix")  # fmt: skip
    made = mine(desk)
    assert (made.id, seconds(made, "first_development")) == ("Quarry Lane", 150)
    bleach = made.step("bleach")
    assert bleach is not None
    assert (bleach.seconds, bleach.least_s) == (2.5, 2.5)
    assert bleach.lift_s < 2.5
    assert made.step("fix") is None
    assert seconds(made, "first_wash") == 60
    first = made.step("first_development")
    assert first is not None
    assert {b.figure: b.status for b in first.bases}["seconds"] == "own"


def test_a_change_leaves_the_rest(client: TestClient, desk: Desk) -> None:
    press(client, ADD, name="Quarry Lane", first_development_s="150", without="fix")
    press(client, "/kit/processes/Quarry%20Lane", name="Lane", rinse_s="45")
    made = mine(desk)
    assert (made.id, made.name, seconds(made, "rinse")) == ("Quarry Lane", "Lane", 45)
    assert seconds(made, "first_development") == 150
    assert made.step("fix") is None


def test_an_emptied_time_is_as_it_was_copied(client: TestClient, desk: Desk) -> None:
    press(client, ADD, name="Quarry Lane", first_development_s="150")
    press(client, "/kit/processes/Quarry%20Lane", first_development_s="")
    assert seconds(mine(desk), "first_development") == 120


@pytest.mark.parametrize("typed", ["0", "-5", "soon", "1e9"])
def test_a_step_of_no_seconds_is_put_right_at_its_field(
    client: TestClient, desk: Desk, typed: str
) -> None:
    answer = press(client, ADD, first_development_s=typed)
    assert answer.status_code == 422
    assert "First development is" in unescape(answer.text)
    assert desk.book().kit.processes == ()


def test_it_stands_in_the_list_and_may_be_put_away(client: TestClient, desk: Desk) -> None:
    press(client, ADD, name="Quarry Lane", first_development_s="150")
    page = unescape(client.get("/kit").text)
    assert "Processes of your own" in page
    assert "first development two minutes thirty at 20 °C" in page
    press(client, "/kit/processes/Quarry%20Lane", ("put", "away"), at="/put")
    assert mine(desk).retired


def test_a_paper_says_how_its_sheets_go_through_and_the_bench_follows(
    client: TestClient, desk: Desk
) -> None:
    press(client, ADD, name="Quarry Lane", first_development_s="150")
    press(client, "/papers/sorrel-2~7/edit", process="Quarry Lane")
    assert desk.book().papers[0].process == "Quarry Lane"
    assert desk.bench().process.id == "Quarry Lane"
    assert desk.bench().steps[0].seconds == 150
    press(client, "/papers/sorrel-2~7/edit", process="")
    assert desk.bench().process.id == RC


def test_a_camera_with_a_tank_stands_before_the_paper(client: TestClient, desk: Desk) -> None:
    camera = desk.book().kit.cameras[0]
    press(client, "/papers/sorrel-2~7/edit", process="fibre-trays/peroxide")
    press(client, f"/kit/cameras/{camera.id}", process="rc-tank/permanganate")
    assert desk.book().kit.cameras[0].process == "rc-tank/permanganate"
    assert desk.bench().process.vessel == "one_tank"


def test_a_process_nobody_knows_is_not_taken(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/papers/sorrel-2~7/edit", process="tea")
    assert answer.status_code == 422
    assert desk.book().papers[0].process is None


# ---- at the desk ----------------------------------------------------------------------------


def test_a_copy_of_a_copy(desk: Desk) -> None:
    first = desk.copy_process(RC, "Mine", {"first_development": 150}, temperature_c=21)
    second = desk.copy_process("Mine", "Mine", {"clear": 80}, without=["rinse"])
    assert (first.id, second.id, second.based_on) == ("Mine", "Mine-2", "Mine")
    assert seconds(second, "first_development") == 150
    assert (second.temperature_c, second.step("rinse")) == (21, None)


def test_what_cannot_reverse_is_not_written(desk: Desk) -> None:
    with pytest.raises(BadValue, match="without bleach"):
        desk.copy_process(RC, "Mine", without=["bleach"])
    with pytest.raises(BadValue, match="seconds"):
        desk.copy_process(RC, "Mine", {"bleach": 0})
    with pytest.raises(BadValue, match="ends when it ends"):
        desk.copy_process(RC, "Mine", {"dry": 600})
    with pytest.raises(UnknownName, match="wash_aid"):
        desk.copy_process(RC, "Mine", {"wash_aid": 60})
    with pytest.raises(UnknownName, match="'tea'"):
        desk.copy_process("tea", "Mine")
    with pytest.raises(BadValue, match="gelatin"):
        desk.copy_process(RC, "Mine", temperature_c=45)
    assert desk.book().kit.processes == ()


def test_who_uses_it_is_said_at_the_desk_too(desk: Desk) -> None:
    desk.use_process("rc-drum/dichromate", paper="sorrel-2/7")
    assert desk.bench().process.id == "rc-drum/dichromate"
    camera = desk.book().kit.cameras[0].id
    desk.use_process("rc-tank/dichromate", camera=camera)
    assert desk.bench().process.id == "rc-tank/dichromate"
    desk.use_process(None, camera=camera)
    assert desk.bench().process.id == "rc-drum/dichromate"
    with pytest.raises(UnknownName, match="'tea'"):
        desk.use_process("tea", paper="sorrel-2/7")
