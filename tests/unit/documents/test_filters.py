"""Filters and pre-flash in a document: what may stand there, and how a sheet was really made."""

from __future__ import annotations

import json
from typing import Any

import pytest
from pydantic import ValidationError

from stillroom.documents.book import Made, Settings
from stillroom.documents.filters import Filter
from stillroom.documents.making import as_made
from stillroom.documents.read import read_book
from stillroom.errors import BadDocument, StillroomError
from tests.unit.book_cases import book_of, head_and_shoulders

SOFT: dict[str, Any] = {"id": "soft", "grade": 0}


def on_soft(**settings: Any) -> dict[str, Any]:
    """A sitting on variable-contrast paper whose set stands with a soft filter. Invented."""
    data = head_and_shoulders(stands={"f_number": 8, "filter": "soft", **settings})
    data["kit"]["filters"] = [dict(SOFT), {"id": "grey", "loss_stops": 3.0}]
    data["papers"][0]["response"] = "variable_contrast"
    return data


def refused(data: dict[str, Any]) -> str:
    with pytest.raises(StillroomError) as caught:
        book_of(data)
    return str(caught.value)


def test_a_book_with_filters_goes_together_and_one_without_is_as_it_was() -> None:
    book = book_of(on_soft(pre_flash_stops=3))
    assert book.sittings[0].stands is not None
    assert (book.sittings[0].stands.filter, book.sittings[0].stands.pre_flash_stops) == ("soft", 3)
    plain = head_and_shoulders(stands={"f_number": 8})
    written = json.loads(book_of(plain).model_dump_json(exclude_unset=True))
    assert "filters" not in written["kit"]
    assert written["sittings"][0]["stands"] == {"f_number": 8.0}


def test_a_filter_nobody_has_is_refused() -> None:
    assert refused(on_soft(filter="hard")) == (
        "There is no filter (for stands of sitting 'S1') called 'hard'; known here: soft, grey."
    )


def test_graded_paper_takes_no_contrast_filter_but_a_grey_one() -> None:
    data = on_soft()
    data["papers"][0]["response"] = "graded"
    assert refused(data) == (
        "filter of stands of sitting 'S1' is 'soft': graded paper such as 'sorrel/7' does not "
        "change contrast, it would only lose light; leave it off."
    )
    data["sittings"][0]["stands"]["filter"] = "grey"
    book_of(data)


def test_a_sheet_and_what_was_really_made_of_it_are_asked_alike() -> None:
    data = on_soft()
    data["sittings"][0]["sheets"] = [{"number": 1, "settings": {"f_number": 8},
                                      "made": {"filter": "hard"}}]  # fmt: skip
    assert "no filter (for made of sheet 1 of sitting 'S1') called 'hard'" in refused(data)


def test_no_light_may_be_called_what_the_pre_flash_is() -> None:
    data = on_soft(pre_flash_stops=3)
    data["sittings"][0]["lights"][1]["role"] = "pre-flash"
    assert refused(data).endswith(
        "a light of the sitting is called 'pre-flash'; give that light another role."
    )
    data["sittings"][0]["stands"].pop("pre_flash_stops")
    book_of(data)


def test_a_filter_tells_its_grade_or_its_loss() -> None:
    with pytest.raises(ValidationError, match="filter 'x' needs its grade, or loss_stops"):
        Filter(id="x")
    assert not Filter(id="grey", loss_stops=3).changes_contrast
    assert Filter(id="yellow", loss_stops=1, contrast_log=-0.2).changes_contrast
    assert Filter(id="soft", grade=0).changes_contrast


@pytest.mark.parametrize(
    ("wrong", "part"),
    [({"grade": 6}, "grade"), ({"loss_stops": -0.1}, "loss_stops"),
     ({"contrast_log": 2.1}, "contrast_log"), ({"grade": 0.5}, "grade")],
)  # fmt: skip
def test_numbers_out_of_range_are_told(wrong: dict[str, Any], part: str) -> None:
    data = on_soft()
    data["kit"]["filters"][0] |= wrong
    with pytest.raises((BadDocument, StillroomError), match=part):
        read_book(json.dumps(data))


def test_a_pre_flash_lies_below_the_mid_tone() -> None:
    for wrong in (-1, 10.5):
        with pytest.raises(StillroomError, match="pre_flash_stops"):
            read_book(json.dumps(on_soft(pre_flash_stops=wrong)))


def test_left_out_is_as_planned_and_none_is_none() -> None:
    plan = Settings(f_number=8, filter="soft", pre_flash_stops=3)
    assert as_made(plan, Made(pops=2)).filter == "soft"
    assert as_made(plan, Made(pops=2)).pre_flash_stops == 3
    assert as_made(plan, Made(filter=None)).filter is None
    assert as_made(plan, Made(filter=None)).pre_flash_stops == 3
    assert as_made(plan, Made(pre_flash_stops=None)).pre_flash_stops is None
    assert as_made(plan, Made(f_number=None)).f_number == 8
    other = as_made(Settings(f_number=8), Made(filter="soft", pre_flash_stops=2))
    assert (other.filter, other.pre_flash_stops) == ("soft", 2)
