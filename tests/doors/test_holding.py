"""How the sitter is held, focused on and fired at, as a browser without script says it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.errors import StillroomError
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import press, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def test_what_is_said_is_kept_and_taken_back(client: TestClient, desk: Desk) -> None:
    said = {"support": "head_rest", "fires": "cap_in_dark", "viewing": "on_the_wall"}
    answer = press(client, "/sitting/OM", at="/holding", rest_to_eye_mm="18.5 cm", **said)
    assert answer.status_code == 303
    kept = desk.book().sittings[0].holding
    assert (kept.support, kept.fires, kept.viewing) == tuple(said.values())
    assert kept.rest_to_eye_mm == pytest.approx(185)
    assert kept.focus_on is None
    press(client, "/sitting/OM", at="/holding", support="", rest_to_eye_mm="")
    kept = desk.book().sittings[0].holding
    assert kept.support is None
    assert kept.rest_to_eye_mm is None
    assert kept.fires == "cap_in_dark"


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"rest_to_eye_mm": "behind"}, "Head rest to eye"),
        ({"rest_to_eye_mm": "-3 cm"}, "Head rest to eye"),
        ({"rest_to_eye_mm": "2 m"}, "400"),
        ({"support": "hammock"}, "hammock"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(
    client: TestClient, desk: Desk, told: dict[str, str], says: str
) -> None:
    before = desk.book()
    answer = press(client, "/sitting/OM", at="/holding", **told)
    assert answer.status_code == 422
    assert says in answer.text
    assert desk.book() == before


def test_an_unknown_word_is_refused(desk: Desk) -> None:
    with pytest.raises(StillroomError, match="posture"):
        desk.set_holding("OM", posture="upright")


def test_the_next_sitter_may_be_a_child(client: TestClient, desk: Desk) -> None:
    press(client, "/sitting/OM/next", initials="P. L.", child="yes")
    assert next(s for s in desk.book().sitters if s.initials == "P. L.").is_child
