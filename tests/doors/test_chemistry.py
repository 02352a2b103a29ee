"""The page on chemistry, as a browser without script sees it. Everything here is invented."""

from __future__ import annotations

import html
import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from stillroom.services.desk import Desk
from stillroom.services.mixing import Asked
from stillroom.services.recipes import recipes
from stillroom.wetline.chemistry import Bottle

ROOT = "/bench/chemistry"
STRONG = f"{ROOT}/mix/dichromate-strong"
DARK = {"mode": "safelight"}


def text_of(page: str) -> str:
    main = page.split("<main")[1].split("</main>", maxsplit=1)[0]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main)).split())


def test_every_recipe_is_led_to_and_opens(client: TestClient) -> None:
    page = client.get(ROOT).text
    for recipe in recipes():
        address = f"{ROOT}/mix/{recipe.id}"
        assert f'href="{address}"' in page
        opened = client.get(address)
        assert opened.status_code == 200
        said = text_of(opened.text)
        assert "Goggles, gloves and apron on" in said
        assert "Collect it" in said
        assert "It is mixed" in said


def test_washing_and_what_must_never_meet_are_told(client: TestClient) -> None:
    said = text_of(client.get(ROOT).text)
    assert "An 8x10 of fibre paper carries 10 to 20 ml" in said
    assert "Never permanganate and hydrochloric acid: chlorine gas comes off." in said


def test_a_list_for_battery_acid(client: TestClient) -> None:
    said = text_of(client.get(STRONG, params={"volume": "1 L", "bottle": "37 %"}).text)
    assert "45.7 ml sulfuric acid, 37 % w/w, 1.277 g/ml" in said
    assert "33.7 ml less water" in said
    assert "skull and crossbones" in said


def test_without_a_label_nothing_is_held_to_be_concentrated(client: TestClient) -> None:
    said = text_of(client.get(STRONG).text)
    assert "21.6 g pure sulfuric acid" in said
    assert "How strong is your bottle?" in said
    assert "37 % w/w 45.7 ml" in said


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"volume": "-500 ml"}, "volume", "give a number from 10 to 200000 ml"),
        ({"volume": "some"}, "volume", "write it like 800ml"),
        ({"volume": ""}, "volume", "it is needed"),
        ({"bottle": "98 %", "density": "1.28"}, "density", "is about 37 % w/w"),
        ({"bottle": "hydrochloric acid 98 %"}, "bottle", "water holds at most 40 %"),
        ({"bottle": "0.5 %"}, "bottle", "use a stronger bottle"),
        ({"bottle": "hydrochloric acid 37 %"}, "", "chlorine gas comes off"),
        ({"bottle": "37 %", "bisulfate": "on"}, "", "not both"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_kept(
    client: TestClient, writes: Callable[[], int], typed: dict[str, str], field: str, said: str
) -> None:
    answer = client.get(STRONG, params={"volume": "1 L", **typed})
    assert answer.status_code == 422
    page = html.unescape(answer.text)
    assert said in page
    assert "It is mixed" not in page
    if field:
        assert f'id="e-{field}"' in page
    for value in typed.values():
        if value and value != "on":
            assert f'value="{value}"' in page
    assert writes() == 0


def test_a_bath_is_written_down_once_and_stands(
    client: TestClient, desk: Desk, form_id: Callable[[str], str]
) -> None:
    data = {
        "form_id": form_id(STRONG),
        "volume": "500 ml",
        "bottle": "37 %",
        "stands": "bleach",
    }
    for _ in range(2):
        answer = client.post(STRONG, data=data)
        assert (answer.status_code, answer.headers["location"]) == (303, ROOT)
    (mix,) = desk.mixes()
    assert mix.volume_ml == 500
    assert mix.stock is not None
    assert mix.stock.percent == 37
    assert "no sheet yet" in text_of(client.get(ROOT).text)
    said = {**data, "form_id": form_id(STRONG), "ago": "90"}
    assert client.post(STRONG, data=said).status_code == 303
    assert (mix.when - desk.mixes()[-1].when).total_seconds() == pytest.approx(5400, abs=60)
    for bad in ("-1", "soon"):
        wrong = client.post(STRONG, data={**said, "form_id": form_id(STRONG), "ago": bad})
        assert wrong.status_code == 422
    assert len(desk.mixes()) == 2
    assert "Acid dichromate bleach, strong" in client.get("/bench").text


def test_a_developer_says_in_which_tray_it_stands(
    client: TestClient, desk: Desk, form_id: Callable[[str], str]
) -> None:
    address = f"{ROOT}/mix/mq"
    data = {"volume": "1 L", "dilution": "1+1", "stands": "first_development"}
    client.post(address, data={"form_id": form_id(address), **data})
    assert desk.mixes()[0].steps == ("first_development",)
    refused = client.post(address, data={"form_id": form_id(address), **data, "stands": "bleach"})
    assert refused.status_code == 422
    assert "Never a developer into a bleach" in refused.text
    assert len(desk.mixes()) == 1


def test_a_bath_is_timed_taken_out_and_put_back(
    client: TestClient, desk: Desk, form_id: Callable[[str], str]
) -> None:
    name = desk.mix_written("permanganate", 800)

    def post(do: str, **more: str) -> int:
        data = {"form_id": form_id(ROOT), "bath": name, "do": do, **more}
        return int(client.post(f"{ROOT}/change", data=data).status_code)

    assert post("took", seconds="40") == 303
    assert post("took", seconds="90") == 303
    assert "is past its life: it takes 2.2 times as long" in text_of(client.get(ROOT).text)
    assert post("took", seconds="0") == 422
    assert post("took", seconds="long") == 422
    assert post("out") == 303
    assert desk.baths() == ()
    assert post("back") == 303
    assert [bath.id for bath in desk.baths()] == [name]
    assert post("nothing") == 422
    assert len(desk.mixes()[0].timed) == 2


def test_a_label_says_what_it_must_and_never_speaks_of_the_drain(
    client: TestClient, desk: Desk
) -> None:
    name = desk.mix_written(
        "dichromate-mild", 1000, asked=Asked(stock=Bottle("sulfuric acid", 37))
    )
    said = text_of(client.get(f"{ROOT}/label/{name}").text)
    for part in (
        "Danger",
        "potassium dichromate 5 g per litre",
        "sulfuric acid 9 g per litre, out of 37 % w/w",
        "mixed 2026-",
        "May cause cancer",
        "skull and crossbones",
        "Collect it",
    ):
        assert part in said
    assert "drain" not in said.lower()
    assert client.get(f"{ROOT}/label/nothing").status_code in (404, 422)
    assert client.get(f"{ROOT}/mix/nothing").status_code in (404, 422)


def test_in_the_dark_no_field_asks_for_words_and_baths_are_told(
    client: TestClient, desk: Desk
) -> None:
    name = desk.mix_written("permanganate", 800)
    client.cookies.update(DARK)
    page = client.get(ROOT).text
    main = page.split("<main")[1].split("</main>")[0]
    assert not re.search(r"<(?:textarea|select|img|svg)\b", main)
    assert not re.findall(r"<input (?!type=\"hidden\")", main)
    assert "Acid permanganate bleach" in main
    assert "This needs the lights on." in main
    for path in (STRONG, f"{ROOT}/label/{name}"):
        assert "<h1>This needs the lights on.</h1>" in client.get(path).text
