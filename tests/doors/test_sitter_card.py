"""The card at the door, as a browser without script sends it; the sitters are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Sitter
from stillroom.documents.sitter_card import SitterCard
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import press, sitting_desk  # type: ignore[import-not-found]

NEXT = "/sitting/OM/next"
CARD = "/sitter/OM"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def sitter(desk: Desk, initials: str) -> Sitter:
    return next(s for s in desk.book().sitters if s.initials == initials)


def test_the_whole_card_of_someone_new(
    client: TestClient, desk: Desk, form_id: Callable[[str], str]
) -> None:
    page = client.get(NEXT).text
    assert 'name="said" value="portrait" checked' not in page  # nobody agrees by default
    post = {"form_id": form_id(NEXT), "initials": "J. B.", "still": "2", "skin": "medium"}
    post |= {"flash": "no", "said": ["portrait", "scan_kept"], "tone": "keep"}  # type: ignore[dict-item]
    answer = client.post(NEXT, data=post)
    assert answer.status_code == 303
    made = sitter(desk, "J. B.")
    assert made.at_the_door == SitterCard(
        said_yes_to=("portrait", "scan_kept"), flash_all_right="no"
    )
    assert made.holds_still_s == 2
    shown = unescape(client.get(answer.headers["location"]).text)
    assert "J. B. said no to flash" in shown
    assert "J. B. said yes to a portrait and keeping a scan. No flash." in shown


def test_somebody_known_keeps_their_card_in_one_tap(client: TestClient, desk: Desk) -> None:
    card = SitterCard(said_yes_to=("portrait",), flash_all_right="no")
    desk.write_sitter_card("TR", card)
    assert "No flash." in client.get(NEXT).text
    press(client, NEXT, ("who", "T. R."))
    assert sitter(desk, "T. R.").at_the_door == card


def test_who_comes_back_by_the_card_keeps_what_was_agreed(client: TestClient, desk: Desk) -> None:
    desk.write_sitter_card("TR", SitterCard(said_yes_to=("may_be_shown",)))
    press(client, NEXT, initials="T. R.", said="portrait", flash="yes")
    assert sitter(desk, "T. R.").at_the_door == SitterCard(
        said_yes_to=("portrait", "may_be_shown"), flash_all_right="yes"
    )


def test_what_was_tapped_stands_when_the_initials_are_missing(
    client: TestClient, desk: Desk
) -> None:
    answer = press(client, NEXT, initials="", said="may_be_shown", flash="no")
    assert answer.status_code == 422
    assert 'value="may_be_shown" checked' in answer.text
    assert 'name="flash" value="no" checked' in answer.text
    assert len(desk.book().sittings) == 1


def test_what_nobody_offered_is_refused(client: TestClient, desk: Desk) -> None:
    for fields in ({"said": "everything"}, {"flash": "perhaps"}):
        answer = press(client, NEXT, initials="J. B.", **fields)
        assert answer.status_code == 422
    assert len(desk.book().sittings) == 1


def test_the_card_is_put_right_later_and_a_yes_taken_back(
    client: TestClient, desk: Desk, form_id: Callable[[str], str]
) -> None:
    desk.write_sitter_card("OM", SitterCard(said_yes_to=("portrait", "may_be_shown")))
    page = client.get(CARD).text
    assert 'value="may_be_shown" checked' in page
    form = {"form_id": form_id(CARD), "said": "portrait", "flash": "no", "still": "5"}
    answer = client.post(CARD, data=form)
    assert answer.headers["location"] == CARD
    after = sitter(desk, "O. M.")
    assert after.at_the_door == SitterCard(said_yes_to=("portrait",), flash_all_right="no")
    assert after.holds_still_s == 5
    client.post(CARD, data={"form_id": form_id(CARD), "flash": "", "still": ""})
    assert sitter(desk, "O. M.").at_the_door == SitterCard()
    assert sitter(desk, "O. M.").holds_still_s == 5


def test_a_no_is_told_on_the_page_of_the_plan(client: TestClient, desk: Desk) -> None:
    assert "no to flash" not in client.get("/sitting/OM").text
    desk.write_sitter_card("OM", SitterCard(flash_all_right="no"))
    assert "O. M. said no to flash" in unescape(client.get("/sitting/OM").text)


def test_a_childs_missing_guardian_is_told(client: TestClient) -> None:
    press(client, NEXT, initials="E. P.", child="yes", said="portrait")
    assert "A child: a guardian’s yes is missing." in client.get("/sitting/EP").text


def test_the_paper_is_told_in_figures_and_a_line_lies_ready(client: TestClient) -> None:
    page = unescape(client.get(NEXT).text)
    assert "Denim: " in page
    assert "the skin to this paper, to the eye two stops darker" in page
    assert 'class="tocopy"' in page
    assert "Please wear mid-tones" in page
    assert "daylight works too" in page
    assert "3 to 30 flashes a second" in page


def test_the_card_needs_the_lights_on(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    page = client.get(CARD).text
    assert "This needs the lights on" in page
    assert "<input" not in page.split("<main", 1)[1].split("</main>")[0]


def test_somebody_who_is_not_there(client: TestClient) -> None:
    answer = client.get("/sitter/nobody")
    assert answer.status_code == 404
    assert "There is no sitter called" in unescape(answer.text)
