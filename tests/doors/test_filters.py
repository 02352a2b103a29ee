"""Filters and pre-flash on the pages, as a browser without script sends them. All is invented."""

from __future__ import annotations

import json
import math
import re
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import press, sitting_book, sitting_desk  # type: ignore[import-not-found]

OM, AIMS = "/sitting/OM", "/sitting/OM/aims"
IN_USE = "<small>on the lens</small>"


def on_variable_contrast() -> Book:
    """The example on a hard paper of variable contrast, with filters in the kit."""
    data: dict[str, Any] = json.loads(sitting_book().model_dump_json(exclude_unset=True))
    data["papers"][0] |= {"response": "variable_contrast", "contrast_per_stop": 2.6,
                          "contrast_log_sd": 0.05}  # fmt: skip
    data["kit"]["filters"] = [
        {"id": "00", "name": "soft one", "grade": 0},
        {"id": "5", "grade": 5},
        {"id": "grey", "loss_stops": 3},
        {"id": "lent", "grade": 1, "retired": True},
    ]
    return read_book(json.dumps(data))


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, on_variable_contrast()) as opened:
        yield opened


def page_of(client: TestClient, path: str) -> str:
    return unescape(client.get(path).text)


# ---- the kit --------------------------------------------------------------------------------


def test_a_filter_is_added_by_its_grade_alone(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/kit/filters/add", grade="1")
    assert answer.status_code == 303
    made = desk.book().kit.filters[-1]
    assert (made.id, made.name, made.grade) == ("Filter 1 soft", "Filter 1, soft", 1)
    assert (made.loss_stops, made.contrast_log) == (None, None)
    page = page_of(client, "/kit")
    assert "contrast grade 1, soft" in page
    assert "from its grade, the paper and the light" in page


def test_own_figures_are_written_down_and_stay_what_they_were(
    client: TestClient, desk: Desk
) -> None:
    press(client, "/kit/filters/add", grade="none", name="yellow", loss_stops="1,25",
          loss_sd_stops="0.2", contrast_factor="0.8")  # fmt: skip
    made = desk.book().kit.filters[-1]
    assert (made.grade, made.loss_stops) == (None, 1.25)
    assert made.contrast_log == pytest.approx(math.log(0.8))
    assert made.loss_sd_stops == pytest.approx(0.2 / 1.645, abs=1e-3)  # normal: 0.9 within
    page = page_of(client, "/kit")
    assert "loss 1.25 stops, contrast × 0.8" in page
    press(client, "/kit/filters/yellow", note="from the drawer")
    again = desk.book().kit.filters[-1]
    assert again.model_copy(update={"note": ""}) == made
    press(client, "/kit/filters/yellow", contrast_factor="")
    assert desk.book().kit.filters[-1].contrast_log is None


def test_one_that_tells_neither_grade_nor_loss_is_refused(client: TestClient, desk: Desk) -> None:
    before = desk.book().kit.filters
    answer = press(client, "/kit/filters/add", grade="none", name="odd one")
    assert answer.status_code == 422
    assert "needs its grade, or loss_stops" in unescape(answer.text)
    assert desk.book().kit.filters == before


# ---- aims -----------------------------------------------------------------------------------


def test_aims_further_apart_than_the_paper_takes_and_what_helps(client: TestClient) -> None:
    page = page_of(client, AIMS)
    assert "Rim edge and shadow cheek are wanted 3 stops apart, this paper takes 2⅔" in page
    assert "Soft one on the lens: the paper takes" in page
    assert "Or aim the shadow cheek at −1: there it fits." in page
    assert "A card or lamp" not in page  # the light itself fits
    assert "5 on the lens" not in page
    set_so = re.search(r'href="(/sitting/OM\?[^"]*filter=00)"', page)
    assert set_so is not None
    assert IN_USE in page_of(client, set_so[1])


def test_what_goes_on_the_lens_can_be_said_there(client: TestClient) -> None:
    page = page_of(client, AIMS)
    chooser = page.partition("On the lens, for the next sheet")[2].partition("</fieldset>")[0]
    names = ("soft one", "5", "grey")
    assert all(f">{name}</a>" in chooser for name in names)
    assert ">lent<" not in chooser
    assert 'aria-current="true">nothing ✓</a>' in chooser


def test_graded_paper_offers_no_contrast_filter(client: TestClient, desk: Desk) -> None:
    desk.edit_paper(desk.book().papers[0].id, {"response": "graded"})
    page = page_of(client, AIMS)
    assert ">grey</a>" in page
    assert "soft one" not in page


# ---- the sitting ----------------------------------------------------------------------------


def test_there_is_a_row_only_for_what_is_in_use(client: TestClient) -> None:
    assert IN_USE not in page_of(client, OM)
    page = page_of(client, f"{OM}?filter=00&preflash=3")
    assert f"<b><span data-figure>soft one</span></b>{IN_USE}" in page
    assert "<b><span data-figure>3</span></b><small>below the mid-tone</small>" in page


def test_a_sheet_is_made_behind_a_filter_and_the_next_without(
    client: TestClient, desk: Desk
) -> None:
    press(client, f"{OM}?filter=00&preflash=3", at="/shoot")
    made = desk.book().sittings[0].sheets[-1]
    assert made.made is not None
    assert (made.made.filter, made.made.pre_flash_stops) == ("00", 3)
    page = page_of(client, OM)
    assert IN_USE in page  # it hangs there still
    press(client, f"{OM}?filter=&preflash=", at="/shoot")
    last = desk.book().sittings[0].sheets[-1]
    assert (last.settings.filter, last.settings.pre_flash_stops) == ("00", 3)
    assert last.made is not None
    assert {"filter", "pre_flash_stops"} <= last.made.model_fields_set
    assert IN_USE not in page_of(client, OM)


def test_a_contrast_filter_on_graded_paper_is_refused_in_one_sentence(
    client: TestClient, desk: Desk
) -> None:
    desk.edit_paper(desk.book().papers[0].id, {"response": "graded"})
    answer = press(client, OM, at="/shoot", filter="00")
    assert answer.status_code == 422
    assert "does not change contrast, it would only lose light" in unescape(answer.text)


def test_the_ledger_names_filter_and_pre_flash(client: TestClient) -> None:
    page = page_of(client, f"{OM}/5/ledger?filter=00&preflash=2&region=key")
    assert "Soft one" in page
    assert "How far the loss of soft one is off" in page
    assert "Pre-flash" in page
    assert "test on this paper" in page


def test_efforts_of_filter_and_pre_flash_are_hers(client: TestClient) -> None:
    page = page_of(client, OM)
    assert 'name="effort:filter"' in page
    assert 'name="effort:preflash"' in page
