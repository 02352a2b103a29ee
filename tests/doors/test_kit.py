"""The kit, by plain forms."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape

import pytest
from fastapi.testclient import TestClient

from stillroom.services.desk import Desk

FormId = Callable[[str], str]
Writes = Callable[[], int]


def test_each_thing_says_what_it_is_how_it_is_known_and_how_well(client: TestClient) -> None:
    page = unescape(client.get("/kit").text)
    for told in (
        "Head A",
        "1200 W·s, dial in stops below full",
        # what sheets taught goes before what was entered
        "in a chain with the octa, −⅔ from what was entered",
        "from its rated energy",  # D lit nothing yet
        "90 cm × 90 cm, 2 layers, loss 2.5 stops",
        "300 mm, widest 5.6 (true 5.4), telephoto build",
    ):
        assert told in page


def test_lengths_are_printed_the_way_this_reader_reads_a_tape(client: TestClient) -> None:
    answer = client.post("/lengths", data={"lengths": "imperial", "back": "/kit"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/kit")
    assert "2 ft 11½ in" in client.get("/kit").text


def test_a_softbox_is_added_by_tapping_and_takes_the_loss_of_its_kind(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    answer = client.post(
        "/kit/modifiers/add",
        data={"form_id": form_id("/kit/modifiers/add"), "kind": "octa", "size": "120"},
    )
    assert answer.status_code == 303
    made = desk.book().kit.modifiers[-1]
    assert (made.kind, made.width_m, made.height_m) == ("octa", 1.2, None)
    assert made.name == "Octa 120 cm"
    # common practice, no source: an octa of two layers takes 2 to 3 stops
    assert made.loss_stops == pytest.approx(2.5)


def test_a_typed_figure_goes_before_a_tapped_one(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    client.post(
        "/kit/heads/add",
        data={
            "form_id": form_id("/kit/heads/add"),
            "about_ws": "500",
            "energy_ws": "1 200,5",
            "dial": "energy",
            "name": "Barn head",
            "output_sd_stops": "±0.5",
        },
    )
    made = desk.book().kit.heads[-1]
    assert (made.id, made.energy_ws) == ("Barn head", 1200.5)
    assert made.dial.max == 1200.5
    assert made.output_sd_stops == pytest.approx(0.5 / 1.645, abs=1e-3)  # normal: 0.9 within


def test_a_wrong_answer_comes_back_with_what_was_typed_and_the_field_marked(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    answer = client.post(
        "/kit/heads/add",
        data={
            "form_id": form_id("/kit/heads/add"),
            "energy_ws": "0",
            "name": "Old <b>head",
            "dial": "tenths",
        },
    )
    page = answer.text
    assert answer.status_code == 422
    assert "Energy at full is 0.0: give a number from 1 to 100000 W·s." in page
    assert 'value="Old &lt;b&gt;head"' in page
    assert 'name="energy_ws" value="0"' in page
    field = page.split('id="f-energy_ws"')[1].split(">")[0]
    assert 'aria-invalid="true"' in field
    assert "e-energy_ws" in field
    assert 'id="e-energy_ws"' in page
    assert writes() == 0


def test_lengths_are_read_in_any_wording(client: TestClient, desk: Desk, form_id: FormId) -> None:
    client.post(
        "/kit/modifiers/add",
        data={
            "form_id": form_id("/kit/modifiers/add"),
            "kind": "other",
            "loss_stops": "1",
            "width_m": "3' 2\"",
            "height_m": "90 cm",
        },
    )
    made = desk.book().kit.modifiers[-1]
    assert made.width_m == pytest.approx(38 * 0.0254)  # 1 in = 25.4 mm, 1959 agreement
    assert made.height_m == pytest.approx(0.9)


def test_a_bare_length_is_sent_back_for_its_unit(client: TestClient, form_id: FormId) -> None:
    answer = client.post(
        "/kit/modifiers/add",
        data={"form_id": form_id("/kit/modifiers/add"), "kind": "octa", "width_m": "90"},
    )
    assert answer.status_code == 422
    assert "Width is &#39;90&#39;: a bare number; add its unit" in answer.text


def test_only_what_was_altered_is_written(client: TestClient, desk: Desk, form_id: FormId) -> None:
    # 0.9 m shows as 2 ft 11½ in, which is 0.9017 m: sent back untouched it must stay 0.9 m.
    client.post("/lengths", data={"lengths": "imperial"})
    answer = client.post(
        "/kit/modifiers/octa",
        data={
            "form_id": form_id("/kit/modifiers/octa"),
            "kind": "softbox",
            "width_m": "2 ft 11½ in",
            "height_m": "2 ft 11½ in",
            "layers": "2",
            "loss_stops": "2.05",
            "loss_sd_stops": "0.82",
        },
    )
    assert answer.status_code == 303
    made = desk.book().kit.modifiers[0]
    assert (made.loss_stops, made.width_m, made.height_m) == (2.05, 0.9, 0.9)
    assert made.loss_sd_stops == 0.5  # shown as ±0.82, which would be 0.4985


def test_a_new_kind_of_dial_brings_its_own_scale(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    client.post(
        "/kit/heads/D",
        data={
            "form_id": form_id("/kit/heads/D"),
            "dial": "fraction",
            "energy_ws": "300",
            "dial_min": "10",
            "dial_max": "300",
            "dial_step": "10",
            "reflector_factor": "4",
            "efficacy_lm_s_per_ws": "40",
            "output_sd_stops": "0.49",
        },
    )
    dial = desk.book().kit.heads[2].dial
    assert (dial.kind, dial.min, dial.max) == ("fraction", 1 / 128, 1.0)


def test_what_the_book_cannot_take_is_said_on_the_form(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    # head A was set by its old dial in a sitting, and the new scale has no such setting
    answer = client.post(
        "/kit/heads/A",
        data={"form_id": form_id("/kit/heads/A"), "dial": "energy", "energy_ws": "1200"},
    )
    assert answer.status_code == 422
    assert "To put right" in answer.text
    assert "OM" in answer.text
    assert writes() == 0


def test_what_is_emptied_goes_back_to_the_usual(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    client.post(
        "/kit/lenses/tele300",
        data={
            "form_id": form_id("/kit/lenses/tele300"),
            "focal_mm": "300",
            "f_numbers": "5.6 8 11 16 22 32 45",
            "pupil_ratio": "",
            "transmission_stops": "-0.2",
            "transmission_sd_stops": "0.25",
            "spectral": "modern",
            "name": "300 mm telephoto construction",
        },
    )
    lens = desk.book().kit.lenses[0]
    assert (lens.pupil_ratio, lens.true_f_number_wide_open) == (1.0, None)


def test_putting_away_and_bringing_back(client: TestClient, desk: Desk, form_id: FormId) -> None:
    for put, retired in (("away", True), ("back", False)):
        client.post("/kit/heads/C/put", data={"form_id": form_id("/kit/heads/C"), "put": put})
        assert desk.book().kit.heads[1].retired is retired
        assert ("Put away (1)" in client.get("/kit").text) is retired


def test_a_double_tap_adds_one_thing(client: TestClient, form_id: FormId, writes: Writes) -> None:
    data = {"form_id": form_id("/kit/meters/add"), "kind": "spot"}
    first, second = (client.post("/kit/meters/add", data=data) for _ in range(2))
    assert first.headers["location"] == second.headers["location"] == "/kit"
    assert writes() == 1


@pytest.mark.parametrize("kind", ["heads", "lamps"])
def test_hazards_stand_beside_what_can_hurt(client: TestClient, kind: str) -> None:
    page = client.get(f"/kit/{kind}/add").text
    told = {
        "heads": ["qualified technician", "clinician decides"],
        "lamps": ["halogen", "local rules"],
    }
    assert all(words in page for words in told[kind])


@pytest.mark.parametrize("path", ["/kit/hats/add", "/kit/heads/Z"])
def test_what_is_not_there_is_said(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "There is no" in answer.text


def test_a_form_with_answers_nobody_offered_is_refused(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    answer = client.post(
        "/kit/meters/add", data={"form_id": form_id("/kit/meters/add"), "kind": "crystal ball"}
    )
    assert answer.status_code == 422
    assert writes() == 0


def test_a_meter_says_what_it_is_held_against(client: TestClient) -> None:
    page = unescape(client.get("/kit/meters/add").text)
    assert "held against that light alone" in page
    assert "held against all the light on the face" in page
    assert "no reading of it counts" in page


def test_a_meter_that_was_read_cannot_become_a_spot_meter(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    data = {"form_id": form_id("/kit/meters/flat"), "kind": "spot"}
    answer = client.post("/kit/meters/flat", data=data)
    assert answer.status_code == 422
    assert "it is a spot meter, which mixes skin and light" in unescape(answer.text)
    assert writes() == 0
