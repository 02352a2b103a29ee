"""Aims and the next sitter, as a browser without script sends them."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Aim, Sitting
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import press, sitting_desk  # type: ignore[import-not-found]

AIMS = "/sitting/OM/aims"
NEXT = "/sitting/OM/next"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def aims(desk: Desk) -> dict[str, Aim]:
    return dict(desk.book().sittings[0].aims)


def newest(desk: Desk) -> Sitting:
    return next(s for s in desk.book().sittings if s.id != "OM")


def test_aims_nobody_touched_stay_exactly_what_they_were(client: TestClient, desk: Desk) -> None:
    before = aims(desk)
    answer = press(client, AIMS, ("do", "use"), at="/aims")
    assert answer.headers["location"] == "/sitting/OM"
    assert aims(desk) == before


def test_brackets_are_moved_in_thirds(client: TestClient, desk: Desk) -> None:
    press(client, AIMS, ("do", "use"), at="/aims", **{"at:key": "3", "tol:shadow": "0.3333"})
    assert aims(desk)["key"].placement_stops == pytest.approx(1.0)
    assert aims(desk)["key"].relative_to == "skin"
    assert aims(desk)["shadow"].tol_stops == pytest.approx(1 / 3, abs=1e-3)
    shown = desk.forecast("OM").regions["key"].aim
    assert shown is not None
    assert shown.placement_stops == pytest.approx(1.0, abs=0.01)


def test_a_region_can_be_let_go_and_taken_up_again(client: TestClient, desk: Desk) -> None:
    press(client, AIMS, ("do", "use"), at="/aims", **{"skip:rim": "yes"})
    assert aims(desk)["rim"].tol_stops is None
    fields = {"skip:rim": "", "tol:rim": "0.6667"}
    press(client, AIMS, ("do", "use"), at="/aims", **fields)
    assert aims(desk)["rim"].tol_stops == pytest.approx(2 / 3, abs=1e-3)


def test_narrower_and_wider_go_one_step_for_all(client: TestClient, desk: Desk) -> None:
    answer = press(client, AIMS, ("do", "wider"), at="/aims")
    assert answer.headers["location"] == AIMS
    assert aims(desk)["key"].tol_stops == pytest.approx(1 / 2)
    press(client, AIMS, ("do", "narrower"), at="/aims")
    assert aims(desk)["key"].tol_stops == pytest.approx(1 / 3)


def test_a_part_is_added_by_a_tap_or_by_her_own_name(client: TestClient, desk: Desk) -> None:
    press(client, AIMS, ("add", "hair"), at="/aims")
    press(client, AIMS, ("do", "add"), at="/aims", own="left hand")
    assert {"hair", "left hand"} <= set(aims(desk))
    assert "Left hand" in client.get(AIMS).text
    assert "Left hand" in client.get("/sitting/OM").text


@pytest.mark.parametrize("own", ["", "key", "a/../b?", "x" * 80])
def test_a_part_without_a_usable_name_is_refused(client: TestClient, desk: Desk, own: str) -> None:
    before = aims(desk)
    answer = press(client, AIMS, ("do", "add"), at="/aims", own=own)
    assert answer.status_code == 422
    assert aims(desk) == before


def test_the_face_can_be_measured_from_the_paper(client: TestClient, desk: Desk) -> None:
    press(client, AIMS, ("do", "use"), at="/aims", relative_to="paper")
    assert aims(desk)["key"].relative_to == "paper"
    assert aims(desk)["rim"].relative_to == "paper"


def test_one_tap_aims_like_a_boxed_sheet(client: TestClient, desk: Desk) -> None:
    answer = press(client, AIMS, ("mark", "OM 3"), at="/like")
    assert answer.status_code == 303
    assert aims(desk)["key"].density == pytest.approx(0.62)
    assert desk.book().sittings[0].look == "like OM 3"
    assert "like OM 3" in client.get("/sitting/OM").text


def test_a_look_is_one_tap(client: TestClient, desk: Desk) -> None:
    press(client, AIMS, ("look", "high"), at="/look")
    assert aims(desk)["key"].placement_stops == 1.0
    assert "high key" in client.get("/sitting/OM").text


def test_aims_too_far_apart_are_said(client: TestClient) -> None:
    assert "Too far apart" not in client.get(AIMS).text
    press(client, AIMS, ("do", "use"), at="/aims", **{"at:shadow": "-15", "at:rim": "12"})
    page = client.get(AIMS).text
    assert "Too far apart" in page
    assert "Rim edge and shadow cheek are wanted 9 stops apart, this paper takes" in page
    assert "Or aim the shadow cheek at" in page


def test_somebody_known_sits_down_in_one_tap_and_the_light_is_kept(
    client: TestClient, desk: Desk
) -> None:
    answer = press(client, NEXT, ("who", "T. R."))
    assert answer.status_code == 303
    made = newest(desk)
    assert answer.headers["location"] == f"/sitting/{made.id}"
    assert made.sitters == ("TR",)
    assert made.lights == desk.book().sittings[0].lights
    assert made.aims["key"].for_reflectance == pytest.approx(0.19)
    sitter = next(s for s in desk.book().sitters if s.id == "TR")
    assert sitter.skin.guess == "dark"


def test_someone_new_is_a_card(client: TestClient, desk: Desk) -> None:
    press(client, NEXT, initials="J. B.", still="2", skin="medium", tone="same")
    made = newest(desk)
    sitter = next(s for s in desk.book().sitters if s.id == made.sitters[0])
    assert (sitter.initials, sitter.holds_still_s, sitter.skin.guess) == ("J. B.", 2, "medium")
    assert "JB 1" in client.get(f"/sitting/{made.id}").text


@pytest.mark.parametrize("initials", ["", "   ", "A very long name indeed", "?!"])
def test_a_card_without_initials_comes_back_as_it_was(
    client: TestClient, desk: Desk, initials: str
) -> None:
    answer = press(client, NEXT, initials=initials, skin="dark", still="5", tone="lift")
    assert answer.status_code == 422
    assert "nitials" in answer.text
    assert 'value="dark" checked' in answer.text
    assert 'value="lift" checked' in answer.text
    assert len(desk.book().sittings) == 1


def test_the_one_question_says_what_each_answer_costs(client: TestClient) -> None:
    page = client.get(NEXT).text
    assert "Keep the light" in page
    assert "Same tone as O. M." in page
    assert "1⅔" in page or "one and two thirds" in page
