"""The page of the dark test, as a browser without script uses it. All is invented."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sitting_book import STRIP, Answer, press, sitting_desk  # type: ignore[import-not-found]

from stillroom.documents.book import Sheet
from stillroom.errors import BadValue
from stillroom.services.chair import card_reflectance, times_as_long
from stillroom.services.desk import Desk
from stillroom.services.worktable import Worktable

Writes = Callable[[], int]
PAGE = "/sitting/OM/dark-test"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def page_of(client: TestClient, path: str = PAGE) -> str:
    return unescape(client.get(path).text)


def last(desk: Desk) -> Sheet:
    return desk.book().sittings[0].sheets[-1]


def made(desk: Desk) -> str:
    """A test that was made; the address its form is sent to."""
    return f"/dark-test/{desk.make_dark_test('OM', open_s=1.0)}"


def seen(client: TestClient, at: str, **told: str | list[str]) -> Answer:
    answer: Answer = press(client, PAGE, at=at, **told)
    return answer


# ── Before it is made ───────────────────────────────────────────────────────────────────────────


def test_it_says_how_it_is_made_and_what_it_would_prove(client: TestClient, desk: Desk) -> None:
    plan = desk.dark_test("OM", open_s=0.5, times=8, card=0.9)
    page = page_of(client, f"{PAGE}?open_s=1/2&times=8&card=0,9")
    assert len(plan.steps) == 4
    assert "Cap off for 4 s, 8 times as long as planned, and no pop." in page
    for text in (*plan.steps, *(one.text for one in plan.sees)):
        assert text in page
    assert "The card is taken to send back 9 tenths" in page
    assert 'name="open_s" value="1/2"' in page


def test_it_is_written_down_as_it_was_planned(client: TestClient, desk: Desk) -> None:
    stood = Worktable(desk.book(), "OM").standing()
    before = len(desk.book().sittings[0].sheets)
    answer = press(client, f"{PAGE}?open_s=0.5&times=8&card=0.9", at="/made")
    assert (answer.status_code, answer.headers["location"]) == (303, PAGE)
    sheet = last(desk)
    assert len(desk.book().sittings[0].sheets) == before + 1
    assert (card_reflectance(sheet), times_as_long(sheet)) == (0.9, 8)
    assert sheet.settings.open_s == pytest.approx(4.0)  # 8 times half a second
    assert not any(light.on for light in sheet.settings.lights.values())
    assert Worktable(desk.book(), "OM").standing() == stood
    page = page_of(client)
    assert "Not read yet." in page
    assert "What does the card look like?" in page
    assert "How the next is made" not in page


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("open_s=soon", "Open about the pop is 'soon': not a number"),
        ("open_s=0", "Open about the pop is 0.0: give a number from 0.001 to 3600 s"),
        ("times=1", "The test is open is 1.0: give a number from 2 to 256"),
        ("card=0.1", "The card sends back is 0.1: give a number from 0.3 to 1"),
        ("open_s=600", "the dark test would take 9600 s"),
        ("open_s=1/0", "Open about the pop is '1/0': not a number"),
    ],
)
def test_what_cannot_be_planned_is_said(
    client: TestClient, writes: Writes, asked: str, said: str
) -> None:
    answer = client.get(f"{PAGE}?{asked}")
    page = unescape(answer.text)
    assert answer.status_code == 422
    assert said in page
    assert "It was made so" not in page
    name, _, typed = asked.partition("=")
    assert f'name="{name}" value="{typed}"' in page
    assert writes() == 0


def test_what_cannot_be_planned_is_not_written_either(client: TestClient, writes: Writes) -> None:
    answer = press(client, PAGE, at="/made", times="1000")
    assert answer.status_code == 422
    assert "give a number from 2 to 256" in answer.text
    assert writes() == 0


# ── Once it went through the line ───────────────────────────────────────────────────────────────


def test_a_card_that_stayed_black(client: TestClient, desk: Desk) -> None:
    at = made(desk)
    assert seen(client, at, s="black").status_code == 303
    (reading,) = last(desk).readings
    assert [one.verdict for one in reading.regions.values()] == ["black"]
    says = desk.dark_test_says("OM", last(desk).number)
    assert says.is_bound
    page = page_of(client)
    assert says.sentence in page
    assert "The card stayed black: open 1 s" in page
    assert "Room light on the face, before" in page
    assert "Read it again" in page


def test_a_grey_card_is_read_by_the_strip_with_its_spread(client: TestClient, desk: Desk) -> None:
    at = made(desk)
    seen(client, at, s=["4", "5"], state="dry")
    (reading,) = last(desk).readings
    (card,) = reading.regions.values()
    # steps 4 and 5 of her own strip, of densities 0.85 and 0.55
    assert card.density == pytest.approx((STRIP[3] + STRIP[4]) / 2)
    assert card.steps == (4, 5)
    assert card.density_sd is not None
    assert (reading.by, reading.state) == ("strip", "dry")
    page = page_of(client)
    assert "The card tells how much light there is" in page
    assert "steps 4 and 5, density 0.7" in page
    seen(client, at, s="bare")
    assert [one.verdict for one in last(desk).readings[-1].regions.values()] == ["bare_paper"]
    assert desk.dark_test_says("OM", last(desk).number).verdict == "bare_paper"


def test_its_density_may_be_typed(client: TestClient, desk: Desk) -> None:
    assert seen(client, made(desk), d="1,62").status_code == 303
    assert [one.density for one in last(desk).readings[0].regions.values()] == [1.62]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({}, "said twice or not at all"),
        ({"s": "black", "d": "1.2"}, "said twice"),
        ({"s": ["1", "4"]}, "two side by side"),
        ({"s": "17"}, "give one of black"),
        ({"d": "grey"}, "density of the card is 'grey': not a number"),
        ({"d": "2.9"}, "2.9"),
    ],
)
def test_what_no_card_looks_like_is_said_and_kept(
    client: TestClient, desk: Desk, told: dict[str, str | list[str]], said: str
) -> None:
    at = made(desk)
    answer = seen(client, at, **told)
    page = unescape(answer.text)
    assert answer.status_code == 422
    assert said in page
    assert f'name="d" value="{told.get("d", "")}"' in page
    taps = told.get("s", [])
    for tap in [taps] if isinstance(taps, str) else taps:
        if tap != "17":
            assert f'name="s" value="{tap}" checked' in page
    assert last(desk).readings == ()


def test_a_word_and_the_strip_are_twice(desk: Desk) -> None:
    made(desk)
    with pytest.raises(BadValue, match="twice"):
        desk.read_dark_test("OM", last(desk).number, verdict="black", steps=("black",))


def test_another_sheet_is_no_dark_test(client: TestClient, desk: Desk) -> None:
    made(desk)
    form_id = client.get(PAGE).text.split('name="form_id" value="')[1].split('"')[0]
    before = desk.book()
    answer = client.post(f"{PAGE}/3", data={"form_id": form_id, "s": "black"})
    assert answer.status_code >= 400
    assert "is no dark test" in unescape(answer.text)
    assert desk.book() == before


# ── Ways in, and the dark ───────────────────────────────────────────────────────────────────────


def test_pages_of_the_sitting_lead_there(client: TestClient, desk: Desk) -> None:
    assert f'href="{PAGE}"' in client.get("/sitting/OM").text
    made(desk)
    assert f'href="{PAGE}">Read it</a>' in client.get(f"/sitting/OM/{last(desk).number}").text


def test_in_the_dark_it_is_made_and_not_read(client: TestClient, desk: Desk) -> None:
    client.cookies.set("mode", "safelight")
    page = page_of(client)
    assert "It was made so" in page
    assert 'name="d"' not in page
    assert press(client, PAGE, at="/made").status_code == 303
    assert card_reflectance(last(desk)) is not None
    page = page_of(client)
    assert "Reading it needs the lights on." in page
    assert 'name="d"' not in page
