"""Read, as a browser without script sends it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Reading, Sheet
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import Forms, press, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def sheet(desk: Desk, number: int) -> Sheet:
    return desk.book().sittings[0].sheets[number - 1]


def last(desk: Desk, number: int) -> Reading:
    return sheet(desk, number).readings[-1]


def test_one_tap_a_region_reads_by_the_strip(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/read/OM/4", **{"s:key": "4", "s:rim": "bare", "s:shadow": "black"})
    assert answer.status_code == 303
    assert answer.headers["location"] == "/sitting/OM"
    reading = last(desk, 4)
    assert (reading.by, reading.state) == ("strip", "wet")
    assert reading.regions["key"].density == 0.85
    assert reading.regions["key"].steps == (4,)
    assert reading.regions["rim"].verdict == "bare_paper"
    assert reading.regions["shadow"].verdict == "black"


def test_two_neighbours_read_as_between_and_what_is_left_out_is_left_out(
    client: TestClient, desk: Desk
) -> None:
    press(client, "/read/OM/4", **{"s:key": ["4", "5"]})
    regions = last(desk, 4).regions
    assert list(regions) == ["key"]
    assert regions["key"].density == pytest.approx(0.70)
    assert regions["key"].steps == (4, 5)


def test_two_that_are_no_neighbours_are_refused_and_kept(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/read/OM/4", box="no", **{"s:key": ["2", "5"], "s:rim": "bare"})
    assert answer.status_code == 422
    assert "name the one step that vanishes, or two side by side" in answer.text
    assert "Nothing was written" in answer.text
    kept = Forms(answer.text).fields["/read/OM/4"]
    assert (kept["s:key"], kept["s:rim"], kept["box"]) == (["2", "5"], ["bare"], ["no"])
    assert sheet(desk, 4).readings == ()


def test_five_words_are_read_as_verdicts(client: TestClient, desk: Desk) -> None:
    press(client, "/read/OM/4", by="words", **{"w:key": "too_dark", "w:shadow": ""})
    reading = last(desk, 4)
    assert reading.by == "words"
    assert reading.regions["key"].verdict == "too_dark"
    assert "shadow" not in reading.regions


def test_densities_are_typed_with_a_comma_or_a_point(client: TestClient, desk: Desk) -> None:
    press(client, "/read/OM/4", by="densitometer", state="dry", **{"d:key": "0,62", "d:rim": ".3"})
    reading = last(desk, 4)
    assert (reading.by, reading.state) == ("densitometer", "dry")
    assert (reading.regions["key"].density, reading.regions["rim"].density) == (0.62, 0.3)


@pytest.mark.parametrize(
    ("typed", "said"),
    [("2.6", "is held to read from"), ("-1", "give a number"), ("dark", "not a number")],
)
def test_a_density_no_paper_has_is_refused_and_kept(
    client: TestClient, desk: Desk, typed: str, said: str
) -> None:
    answer = press(client, "/read/OM/4", by="scan", **{"d:key": typed, "d:rim": "0.3"})
    assert answer.status_code == 422
    assert said in answer.text
    kept = Forms(answer.text).fields["/read/OM/4"]
    assert (kept["d:key"], kept["d:rim"], kept["by"]) == ([typed], ["0.3"], ["scan"])
    assert sheet(desk, 4).readings == ()


def test_box_or_bin_with_its_reasons(client: TestClient, desk: Desk) -> None:
    press(client, "/read/OM/4", box="no", because=["face", "tones"], moved=["curtain", "sitter"])
    read = sheet(desk, 4)
    assert read.kept is False
    assert set(read.not_kept_because) == {"tones", "face"}
    assert read.what_else_moved == ("curtain", "sitter")
    assert read.readings == ()


def test_reasons_of_a_boxed_sheet_are_not_written(client: TestClient, desk: Desk) -> None:
    press(client, "/read/OM/4", box="yes", because=["tones"])
    assert sheet(desk, 4).kept is True
    assert sheet(desk, 4).not_kept_because == ()


def test_nothing_said_is_nothing_written(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/read/OM/4")
    assert answer.status_code == 422
    assert "Nothing was read" in answer.text
    assert sheet(desk, 4).readings == ()


def test_a_dry_reading_is_offered_after_a_wet_one_and_replaces_it(
    client: TestClient, desk: Desk
) -> None:
    page = client.get("/sitting/OM").text
    assert "Read again when dry" in page
    assert page.count('href="/read/OM/3"') == 1
    press(client, "/read/OM/3", by="densitometer", box="yes", **{"d:key": "0.70"})
    assert [r.state for r in sheet(desk, 3).readings] == ["wet", "dry"]
    assert 'href="/read/OM/3"' not in client.get("/sitting/OM").text


def test_a_reading_can_be_taken_back(client: TestClient, desk: Desk) -> None:
    press(client, "/read/OM/4", box="yes", **{"s:key": "4"})
    page = client.get("/read/OM/4").text
    assert "Written down before" in page
    answer = press(client, "/read/OM/4", at="/undo")
    assert answer.headers["location"] == "/read/OM/4"
    assert sheet(desk, 4).readings == ()
    assert sheet(desk, 4).kept is None


def test_a_double_tap_makes_one_reading(client: TestClient, desk: Desk) -> None:
    fields = Forms(client.get("/read/OM/4").text).fields["/read/OM/4"] | {"s:key": ["4"]}
    for _ in range(2):
        assert client.post("/read/OM/4", data=fields).status_code == 303
    assert len(sheet(desk, 4).readings) == 1


def test_a_stepped_sheet_is_read_strip_by_strip(client: TestClient, desk: Desk) -> None:
    page = client.get("/read/OM/1").text
    assert "Strip 3, 4 pops" in page
    assert "Does it go in the box" not in page
    press(
        client,
        "/read/OM/1",
        state="dry",
        **{"s:1:key": "1", "s:2:key": ["2", "3"], "s:8:rim": "bare"},
    )
    reading = last(desk, 1)
    assert [strip.step for strip in reading.strips] == [1, 2, 8]
    assert reading.strips[1].regions["key"].density == pytest.approx(1.35)
    assert reading.strips[2].regions["rim"].verdict == "bare_paper"


def test_without_a_strip_of_her_own_printed_greys_are_numbered(
    client: TestClient, desk: Desk
) -> None:
    desk.edit_paper("sorrel-2/7", {"comparison_strip": []})
    page = client.get("/read/OM/4").text
    assert "printed grey strip" in page
    assert 'name="s:key" value="12"' in page
    press(client, "/read/OM/4", **{"s:key": "12"})
    assert last(desk, 4).regions["key"].density == 0.15


def test_a_tap_on_a_step_the_strip_has_not_is_refused(client: TestClient) -> None:
    fields = Forms(client.get("/read/OM/4").text).fields["/read/OM/4"]
    for wrong in ({"s:key": "40"}, {"w:key": "grey", "by": "words"}, {"by": "nose"}):
        assert client.post("/read/OM/4", data=fields | wrong).status_code == 422


def test_a_sheet_read_darker_than_expected_moves_what_is_expected(
    client: TestClient, desk: Desk
) -> None:
    plan = desk.advice("OM").settings
    before = desk.forecast("OM", plan).regions["key"].placement_stops.q50
    press(client, "/read/OM/4", box="no", because="tones", **{"s:key": "3", "s:shadow": "1"})
    assert desk.forecast("OM", plan).regions["key"].placement_stops.q50 < before - 0.05
