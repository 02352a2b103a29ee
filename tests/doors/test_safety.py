"""The page of cautions: everything that is cautioned against stands on it, and defers."""

from __future__ import annotations

from html import unescape

import pytest
from fastapi.testclient import TestClient

from stillroom.services import cautions
from stillroom.services.cautions import AT_THE_TRAYS, PLACES, Caution, every_bleach
from stillroom.services.desk import Desk
from stillroom.telling.safety_told import never_together, substances
from stillroom.wetline.chemistry import HAZARDS, NEVER


@pytest.fixture
def page(client: TestClient) -> str:
    answer = client.get("/safety")
    assert answer.status_code == 200
    return unescape(answer.text)


def test_every_caution_of_the_app_is_on_the_page(page: str) -> None:
    of_the_kit = [one for one in vars(cautions).values() if isinstance(one, Caution)]
    assert len(of_the_kit) >= 5
    for label, text in (*of_the_kit, *AT_THE_TRAYS, *every_bleach()):
        assert label in page
        assert text in page


def test_the_bench_tells_the_same_words_before_the_step(desk: Desk, page: str) -> None:
    told = [step.caution for step in desk.bench().steps if step.caution is not None]
    assert {step.id for step in desk.bench().steps if step.caution} == {"bleach", "clear"}
    assert all(one.text in page for one in told)


def test_first_aid_and_disposal_defer(page: str) -> None:
    for place, words in (
        ("first-aid", ("safety data sheet", "local emergency number", "poison centre")),
        ("used", ("rules differ by place", "local water and waste authority")),
    ):
        section = page.split(f'id="{place}"', 1)[1].split("</section>", 1)[0]
        assert all(one in section for one in words)
    assert "no medical, legal or electrical advice" in page


def test_flashes_are_told_and_nothing_is_promised(page: str) -> None:
    assert "3 to 30 flashes a second" in page
    assert "told here and not promised" in page
    assert "clinician decides" in page
    main = page.split("<main", 1)[1].split("</main>", 1)[0]
    assert " safe " not in main.lower().replace("safety data", "")


def test_every_substance_has_signal_word_and_what_to_wear(page: str) -> None:
    rows = {one.name: one for one in substances()}
    named = " ".join(rows).lower()
    assert all(one.substance in named for one in HAZARDS)
    dichromate = next(row for name, row in rows.items() if "otassium dichromate" in name)
    assert dichromate.signal == "Danger"
    assert "May cause cancer (H350)" in dichromate.statements
    assert "nitrile gloves" in dichromate.wear
    assert rows["Citric acid and citric acid monohydrate"].signal == "Warning"
    assert rows["Hydrogen peroxide, 8 % and more"].signal == "Danger"
    for one in rows.values():
        assert one.name in page


def test_what_must_never_meet_is_all_there(page: str) -> None:
    assert len(never_together()) > len(NEVER)
    assert all(one in page for one in never_together())


def test_it_is_linked_by_day_and_needs_the_lights(client: TestClient) -> None:
    assert 'href="/safety"' in client.get("/kit").text
    client.cookies.set("mode", "safelight")
    assert "This needs the lights on" in client.get("/safety").text
    assert 'href="/safety"' not in client.get("/sitting").text


def test_places_have_addresses_of_their_own() -> None:
    ids = [place.id for place in PLACES]
    assert len(set(ids)) == len(ids)
    assert all(place.cautions for place in PLACES)
