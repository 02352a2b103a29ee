"""Papers, by plain forms."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from quarry_lane import open_desk  # type: ignore[import-not-found]

from stillroom.documents.book import Book
from stillroom.services.desk import Desk
from stillroom.web.app import create_app

FormId = Callable[[str], str]
Writes = Callable[[], int]
SORREL = "/papers/sorrel-2~7"


def test_every_batch_stands_on_one_scale(client: TestClient) -> None:
    page = client.get("/papers").text
    assert "Sorrel No. 2, batch 7" in page
    assert "Lovage pearl" in page
    low, high = (
        [float(x) for x in re.findall(rf"--{end}:([\d.]+)%;--(?:hi|pk)", page)]
        for end in ("lo", "hi")
    )
    # Two sheets of Sorrel were read, none of Lovage: its spindle is shorter.
    assert high[0] - low[0] < 0.9 * (high[1] - low[1])


def test_a_book_without_papers_says_so(tmp_path: Path) -> None:
    with (
        open_desk(tmp_path, Book()) as empty,
        TestClient(create_app(empty), base_url="http://127.0.0.1") as client,
    ):
        page = client.get("/papers").text
    assert "No paper yet" in page
    assert "<table" not in page


def test_one_batch_shows_its_curve_in_words_too(client: TestClient) -> None:
    sorrel = unescape(client.get(SORREL).text)
    assert "glossy, graded, blue-sensitive, grade 2. Batch 7." in sorrel
    assert "Your own stepped sheet: 2 steps" in sorrel
    page = unescape(client.get("/papers/lovage~1").text)
    assert "Exposure index 6, known to ±1⅔ stops." in page  # 1.645 x 1 stop, no sheet read
    # half way between 0.08 and 1.9 is 0.99, the middle tone by definition
    assert "from 1.90 with little light down to 0.08 with much, through 0.99" in page


def test_up_is_darker_and_more_light_is_lighter(client: TestClient) -> None:
    page = client.get("/papers/lovage~1").text
    drawn = re.search(r'class="ln" d="M([^"]+)"', page)
    assert drawn
    ends = [part.split()[-2:] for part in drawn[1].split("C")]  # where each piece ends
    xs, ys = ([float(end[axis]) for end in ends] for axis in (0, 1))
    assert xs == sorted(xs)
    assert ys == sorted(ys)  # percent from the top: the line goes down to lighter tones
    middle = min(range(len(xs)), key=lambda i: abs(xs[i] - 100 * 4 / 7))  # axis -4 to +3
    assert ys[middle] == pytest.approx(
        100 * (1 - 0.99 / 2), abs=1
    )  # 0.99 of 2, the mean of many curves


def test_a_new_box_is_three_taps_and_no_typing(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    page = client.get(SORREL).text
    assert '<input type="radio" name="batch" value="8" checked>' in page
    answer = client.post(f"{SORREL}/batch", data={"form_id": form_id(SORREL), "batch": "8"})
    assert answer.headers["location"] == "/papers/sorrel-2~8"
    assert desk.book().papers[-1].batch == "8"
    after = client.get(answer.headers["location"]).text
    assert "Batch 8 starts from batch 7, a little wider." in after
    assert "Batch 8 starts from" not in client.get("/papers").text  # said once


def test_a_paper_is_added_by_two_taps(client: TestClient, desk: Desk, form_id: FormId) -> None:
    answer = client.post(
        "/papers/add",
        data={
            "form_id": form_id("/papers/add"),
            "response": "variable_contrast",
            "surface": "matt",
            "name": "Tansy velvet",
        },
    )
    assert answer.status_code == 303
    made = desk.book().papers[-1]
    assert (made.id, made.ei) == ("Tansy velvet", 6.0)
    assert made.dmax < 1.5  # a matt paper reaches less black than a glossy one's 1.9


def test_nobody_knows_the_paper_and_it_starts_wider(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    client.post("/papers/add", data={"form_id": form_id("/papers/add"), "response": "unknown"})
    made = desk.book().papers[-1]
    assert 3 < made.ei < 6
    assert made.ei_sd_stops > 1.0


def test_her_own_strip_is_typed_in_any_order(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    lovage = "/papers/lovage~1"
    client.post(
        f"{lovage}/edit",
        data={
            "form_id": form_id(f"{lovage}/edit"),
            "name": "Lovage pearl",
            "response": "variable_contrast",
            "surface": "pearl",
            "ei": "6",
            "ei_sd_stops": "1.6",
            "contrast_per_stop": "1.5",
            "dmin": "0.08",
            "dmax": "1.9",
            "steps": "0,4 1.86 1.2; 0.85",
        },
    )
    steps = desk.book().papers[1].comparison_strip
    assert [(s.step, s.density) for s in steps] == [(1, 1.86), (2, 1.2), (3, 0.85), (4, 0.4)]
    assert desk.book().papers[1].ei_sd_stops == 1.0  # shown as ±1.6, sent back untouched


def test_black_below_white_is_refused_in_a_sentence(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    answer = client.post(
        "/papers/add",
        data={
            "form_id": form_id("/papers/add"),
            "response": "graded",
            "dmin": "1.2",
            "dmax": "0.4",
        },
    )
    assert answer.status_code == 422
    assert "dmax 0.4 must lie at least 0.3 above dmin 1.2" in unescape(answer.text).replace(
        "Dmax", "dmax"
    )
    assert writes() == 0


def test_an_unknown_paper_is_said(client: TestClient) -> None:
    assert client.get("/papers/nothing~1").status_code == 404


def test_a_name_cannot_smuggle_markup(client: TestClient, form_id: FormId) -> None:
    client.post(
        "/papers/add",
        data={
            "form_id": form_id("/papers/add"),
            "response": "graded",
            "name": "<script>alert(1)</script>",
        },
    )
    page = client.get("/papers").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page
