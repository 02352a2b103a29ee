"""What the light of the place carried, from the shares of a forecast."""

from __future__ import annotations

import math
from typing import Any

import pytest

from stillroom.documents.answers import Forecast
from stillroom.documents.book import Sitting
from stillroom.services.place_light import Carried, carried, carried_sentence, curtain_said
from stillroom.services.plan import predict
from tests.unit.book_cases import book_of, head_and_shoulders, scanned


def sitting_of(*sheets: dict[str, Any], **more: Any) -> Sitting:
    data = head_and_shoulders(**({"room_state": "curtains open"} | more))
    data["sittings"][0]["sheets"] = list(sheets)
    return book_of(data).sittings[0]


def forecast_with(**room: float) -> Forecast:
    """A forecast in which the room has these shares of its regions."""
    said = predict(book_of(head_and_shoulders()), "S1", None)
    regions = {
        region: one.model_copy(
            update={"sources": {"key": 1 - room.get(region, 0), "room": room.get(region, 0)}}
        )
        for region, one in said.regions.items()
    }
    return said.model_copy(update={"regions": regions})


def test_only_aimed_regions_that_would_miss_it_are_spoken_of_the_most_first() -> None:
    """Without a share s a tone falls by -log2(1 - s): a ninth is a sixth of a stop."""
    found = carried(sitting_of(), forecast_with(key=0.105, shadow=0.36, bg=0.9))
    assert [c.region for c in found] == ["shadow"]
    assert found[0].without_stops == pytest.approx(math.log2(0.64))
    found = carried(sitting_of(), forecast_with(key=0.12, shadow=0.11))
    assert [c.region for c in found] == ["key", "shadow"]


def test_a_place_that_gives_everything_leaves_nothing() -> None:
    (found,) = carried(sitting_of(), forecast_with(shadow=1.0))
    assert found.without_stops == -math.inf
    assert carried_sentence(sitting_of(), (found,)) == (
        "Room light carried nearly all of the shadow cheek."
    )


@pytest.mark.parametrize(
    ("kinds", "name"),
    [
        (("window",), "Window light"),
        (("daylight",), "Daylight"),
        (("room", "window"), "The light of the place"),
    ],
)
def test_the_light_is_called_by_its_kind(kinds: tuple[str, ...], name: str) -> None:
    key = head_and_shoulders()["sittings"][0]["lights"][0]
    place = [{"role": kind, "kind": kind, "metered_lx": 60} for kind in kinds]
    sitting = sitting_of(lights=[key, *place])
    said = carried_sentence(sitting, (Carried("key", 0.5, -1.0),))
    assert said == f"{name} carried ½ of the key cheek; without it −1."


def test_nothing_missed_is_no_sentence() -> None:
    assert carried(sitting_of(), forecast_with()) == ()
    assert carried_sentence(sitting_of(), ()) == ""


def test_a_curtain_is_asked_about_until_the_room_is_in_another_state() -> None:
    moved = scanned(1, 1.0, 1.5, what_else_moved=["curtain"], room_state="curtains open")
    said = curtain_said(sitting_of(moved))
    assert said is not None
    assert (said[0].number, said[1]) == (1, "curtain")
    assert curtain_said(sitting_of(moved, room_state="curtains closed")) is None
    assert curtain_said(sitting_of(moved, scanned(2, 1.0, 1.5))) is None
    assert curtain_said(sitting_of()) is None
    passed = scanned(1, 1.0, 1.5, what_else_moved=["a cloud passed", "sitter"])
    assert curtain_said(sitting_of(passed)) is None
