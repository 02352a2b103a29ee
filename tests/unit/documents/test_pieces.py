"""A test piece in a document: one region, no box, no more than a sheet."""

from __future__ import annotations

import json
from typing import Any

import pytest

from stillroom.documents.checks import check_references
from stillroom.documents.kit import Camera
from stillroom.documents.piece import Piece
from stillroom.documents.pieces import region_of_piece, tightest
from stillroom.documents.read import read_book
from stillroom.errors import StillroomError
from stillroom.services.pieces import share_of
from tests.unit.book_cases import book_of, head_and_shoulders, scanned


def with_piece(piece: dict[str, Any], **sheet: Any) -> dict[str, Any]:
    """One sitting with one sheet, made as a test piece on 102 x 127 mm."""
    data = head_and_shoulders()
    data["sittings"][0]["sheets"] = [scanned(1, sheet.pop("key", 0.9), sheet.pop("shadow", None))]
    data["sittings"][0]["sheets"][0] |= {"piece": piece} | sheet
    return data


def refusal(data: dict[str, Any]) -> str:
    with pytest.raises(StillroomError) as caught:
        check_references(read_book(json.dumps(data)))
    return str(caught.value)


@pytest.mark.parametrize(
    "piece",
    [
        {},
        {"region": "key"},
        {"region": "key", "width_mm": 40, "height_mm": 60, "centre_mm": [10, -20]},
        {"width_mm": 127, "height_mm": 102},  # turned, it is as large as the sheet
        {"width_mm": 40, "height_mm": 60, "centre_mm": [0, 0]},
    ],
)
def test_what_a_piece_may_be(piece: dict[str, Any]) -> None:
    sheet = book_of(with_piece(piece)).sittings[0].sheets[0]
    assert sheet.piece is not None
    assert region_of_piece(book_of(with_piece(piece)).sittings[0], sheet) == "key"


def test_a_document_goes_round_with_its_piece() -> None:
    data = with_piece({"region": "key", "width_mm": 40, "height_mm": 60})
    again = json.loads(book_of(data).model_dump_json(exclude_unset=True))
    assert again["sittings"][0]["sheets"][0]["piece"] == data["sittings"][0]["sheets"][0]["piece"]


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (
            with_piece({"region": "nose"}),
            "no region (for the piece of sheet 1 of sitting 'S1') called 'nose'; known here: key,",
        ),
        (
            with_piece({"region": "shadow"}),
            "reading no. 1 of sheet 1 of sitting 'S1' is 'key': the test piece shows shadow alone",
        ),
        (
            with_piece({"region": "key"}, shadow=1.5),
            "is 'shadow': the test piece shows key alone; read only key.",
        ),
        (
            with_piece({"region": "key"}, kept=True),
            "kept of sheet 1 of sitting 'S1' is True: a test piece never goes in the box",
        ),
        (
            with_piece({"region": "key"}, kept=False, not_kept_because=["tones"]),
            "kept of sheet 1 of sitting 'S1' is False: a test piece never goes in the box",
        ),
        (
            with_piece({"region": "key"}, not_kept_because=["tones"]),
            "not_kept_because of sheet 1 of sitting 'S1' is 'tones': a test piece never",
        ),
        (
            with_piece({"region": "key", "width_mm": 130, "height_mm": 40}),
            "width_mm of the piece of sheet 1 of sitting 'S1' is 130.0: give a number from 1 to",
        ),
        (
            with_piece({"region": "key", "width_mm": 110, "height_mm": 120}),
            "width_mm of the piece of sheet 1 of sitting 'S1' is 110.0: give a number from 1 to",
        ),
        (
            with_piece({"region": "key", "width_mm": 40}),
            "takes both width_mm and height_mm, or neither",
        ),
        (with_piece({"region": "key", "width_mm": 0, "height_mm": 40}), "width_mm"),
        (
            with_piece(
                {"region": "key"},
                settings={"f_number": 5.6, "steps_pops": [1, 2, 4, 8]},
                readings=[],
            ),
            "steps_pops of sheet 1 of sitting 'S1' is '1, 2, 4, 8': it is a test piece, which",
        ),
        (
            with_piece(
                {"region": "key"},
                readings=[
                    {
                        "by": "early_look",
                        "state": "pale",
                        "regions": {"face": {"verdict": "too_dark"}},
                    }
                ],
            ),
            "is 'face': the test piece shows key alone",
        ),
    ],
)
def test_what_it_may_not_be(data: dict[str, Any], sentence: str) -> None:
    said = refusal(data)
    assert sentence in said
    assert "\n" not in said


def test_the_least_tolerance_is_where_no_region_is_said() -> None:
    """The key is aimed to a third of a stop there, the shadow to a half."""
    data = with_piece({}, readings=[])
    assert tightest(book_of(data).sittings[0].aims) == "key"
    data["sittings"][0]["aims"]["shadow"]["tol_stops"] = 0.2
    sitting = book_of(data).sittings[0]
    assert region_of_piece(sitting, sitting.sheets[0]) == "shadow"


def test_a_share_is_its_area_and_a_fifth_where_no_size_is_said() -> None:
    """By hand: 90 x 120 of 203 x 254 mm is 0.209."""
    whole = Camera(id="8x10", format_mm=(203, 254))
    assert share_of(Piece(width_mm=90, height_mm=120), whole) == pytest.approx(0.2095, abs=1e-4)
    assert share_of(Piece(region="key"), whole) == 0.2
    assert share_of(None, whole) == 0.2
