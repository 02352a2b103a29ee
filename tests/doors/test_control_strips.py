"""Control strips on the page of a batch, by plain forms."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from quarry_lane import example  # type: ignore[import-not-found]

from stillroom.services.desk import Desk
from stillroom.store import open_book
from stillroom.web.app import create_app

SORREL = "/papers/sorrel-2~7"
NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)


class Clock:
    """A clock that can be set."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    with open_book(tmp_path / "book.db", clock=clock) as store:
        store.import_document(example())
        yield Desk(store, clock)


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with TestClient(
        create_app(desk),
        base_url="http://127.0.0.1",
        headers={"origin": "http://127.0.0.1"},
        follow_redirects=False,
    ) as made:
        yield made


Page = Callable[[], str]


@pytest.fixture
def section(client: TestClient) -> Page:
    """The section on the page, without what stands around it."""

    def of() -> str:
        page = client.get(SORREL).text
        found = re.search(r'<section[^>]*id="control".*?</section>', page, re.DOTALL)
        assert found
        return unescape(found[0])

    return of


def form_id(section: str) -> str:
    found = re.search(r'name="form_id" value="([^"]+)"', section)
    assert found
    return found[1]


def run(client: TestClient, section: Page, **answers: str) -> str:
    sent = {"form_id": form_id(section()), "by": "densitometer"}
    sent |= {name.replace("_", ":"): value for name, value in answers.items()}
    answer = client.post(f"{SORREL}/strip", data=sent)
    assert answer.status_code == 303, unescape(answer.text)
    assert answer.headers["location"] == f"{SORREL}#control"
    return section()


def test_without_a_strip_it_says_how_they_work(section: Page) -> None:
    page = section()
    assert "None of this batch yet." in page
    assert "what differs is the bath" in page
    assert "Bath not checked" not in page
    assert "Safety data sheets and local rules go first" in page


def test_the_first_is_the_reference_and_a_weaker_bath_is_told(
    client: TestClient, desk: Desk, section: Page, clock: Clock
) -> None:
    page = run(client, section, d_1="0,62", d_2="1.10")
    assert "The reference: later runs are held against it." in page
    assert '<legend>Step 1 <span class="quiet">reference 0.62</span>' in page
    clock.now += timedelta(days=3)
    assert "Bath not checked today, ±¼." in section()
    page = run(client, section, d_1="0.84", d_2="1.34")
    assert "The bath is ⅓ weaker than at the reference: fresh developer" in page
    assert len(desk.control_strips("sorrel-2/7").runs) == 2


def test_a_run_stands_on_an_axis_with_brackets(
    client: TestClient, section: Page, clock: Clock
) -> None:
    run(client, section, d_1="0.62", d_2="1.10")
    clock.now += timedelta(days=3)
    page = run(client, section, d_1="0.62", d_2="1.10")
    row = page[page.index("17 Nov") :]
    # An axis of half a stop each way: brackets of a quarter stand at 25 and 75, 0 at 50.
    assert '<i class="want" style="--a:25.0%;--b:75.0%">' in row
    assert '<i class="seen" style="--x:50.0%">' in row
    assert "The bath stands where it stood." in row


def test_steps_are_tapped_on_her_own_strip(client: TestClient, desk: Desk, section: Page) -> None:
    page = section()
    assert page.count('name="s:1"') == 2  # her strip has two steps; black and bare are no answer
    assert 'value="black"' not in page
    run(client, section, by="strip", s_1="2", s_2="1")
    (made,) = desk.control_strips("sorrel-2/7").runs
    assert made.strip.steps == {"1": 1.2, "2": 1.75}
    assert made.strip.density_sd is not None
    assert made.strip.density_sd > 0.03


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({}, "Nothing was read"),
        ({"d:1": "much"}, "not a number"),
        ({"d:1": "3.4"}, "this paper goes from"),
        ({"by": "strip", "s:1": "7"}, "two side by side"),
    ],
)
def test_what_cannot_be_read_comes_back_and_nothing_is_written(
    client: TestClient, desk: Desk, section: Page, answers: dict[str, str], says: str
) -> None:
    sent = {"form_id": form_id(section()), "by": "densitometer", "d:2": "1.10", **answers}
    if not answers:
        del sent["d:2"]
    answer = client.post(f"{SORREL}/strip", data=sent)
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert says in page
    assert "Nothing was written; what you put in is still here." in page
    if answers and "by" not in answers:
        assert 'name="d:2" value="1.10"' in page
    assert desk.control_strips("sorrel-2/7").runs == ()


def test_a_form_sent_twice_writes_one(client: TestClient, desk: Desk, section: Page) -> None:
    sent = {"form_id": form_id(section()), "by": "densitometer", "d:1": "0.62"}
    places = {client.post(f"{SORREL}/strip", data=sent).headers["location"] for _ in range(2)}
    assert places == {f"{SORREL}#control"}
    assert len(desk.control_strips("sorrel-2/7").runs) == 1


def test_thin_blacks_are_told_beside_the_run(
    client: TestClient, section: Page, clock: Clock, desk: Desk
) -> None:
    sitting = desk.control_strips("sorrel-2/7").sitting_id
    assert sitting is not None
    desk.add_control_strip(sitting, {"1": 0.62, "2": 1.10, "3": 1.78})
    clock.now += timedelta(days=3)
    page = run(client, section, d_1="0.62", d_2="1.10", d_3="1.45")
    assert "thinner than the middle tones explain: second development or re-exposure" in page


def test_another_one_is_made_the_reference_or_taken_back(
    client: TestClient, desk: Desk, section: Page, clock: Clock
) -> None:
    run(client, section, d_1="0.62")
    clock.now += timedelta(days=3)
    run(client, section, d_1="0.80")
    sitting = desk.control_strips("sorrel-2/7").sitting_id
    for wanted, references in (("reference", [True, True]), ("undo", [True])):
        ids = re.findall(r'name="form_id" value="([^"]+)"', section())
        answer = client.post(
            f"{SORREL}/strip/change",
            data={"form_id": ids[-1], "run": f"2|{sitting}", "do": wanted},
        )
        assert answer.status_code == 303
        found = desk.control_strips("sorrel-2/7").runs
        assert [r.is_reference for r in found] == references


def test_a_run_that_was_not_tapped_is_said(client: TestClient, section: Page) -> None:
    answer = client.post(
        f"{SORREL}/strip/change", data={"form_id": form_id(section()), "do": "undo"}
    )
    assert answer.status_code == 422
    assert "tap one of the runs" in unescape(answer.text)


def test_without_a_sitting_that_is_going_on_it_says_so(client: TestClient) -> None:
    page = unescape(client.get("/papers/lovage~1").text)
    assert "No sitting with this paper is going on today" in page
    assert 'action="/papers/lovage~1/strip"' not in page


def test_it_needs_the_lights_on(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    assert "This needs the lights on." in client.get(SORREL).text


def test_the_sitting_says_it_while_strips_are_used(
    client: TestClient, desk: Desk, section: Page, clock: Clock
) -> None:
    sitting = desk.control_strips("sorrel-2/7").sitting_id
    place = f"/sitting/{sitting}"
    assert "Bath not checked" not in client.get(place).text
    run(client, section, d_1="0.62", d_2="1.10")
    clock.now += timedelta(days=3)
    assert "Bath not checked today, ±¼." in client.get(place).text
    run(client, section, d_1="0.62", d_2="1.10")
    assert "The bath stands where it stood." in client.get(place).text


def test_the_bench_tells_it_among_the_baths(
    client: TestClient, section: Page, clock: Clock
) -> None:
    assert "<dt>Control strip</dt>" not in client.get("/bench").text
    run(client, section, d_1="0.62")
    clock.now += timedelta(days=3)
    assert "<dt>Control strip</dt><dd>Bath not checked today" in client.get("/bench").text
