"""Baths that were mixed last: through a document and back, with every version kept."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.documents.mixing import Mix
from stillroom.documents.read import read_book
from stillroom.errors import BadDocument, BadValue, DuplicateName
from stillroom.store import BookFile, open_book

SMALL = read_book((Path(__file__).parents[1] / "data/quarry_lane_small.json").read_bytes())
NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)
BATH = Mix(id="b", recipe="permanganate", when=NOON, volume_ml=800)


@pytest.fixture
def small(tmp_path: Path) -> BookFile:
    book = open_book(tmp_path / "book.db", clock=lambda: NOON)
    book.import_document(SMALL)
    return book


def test_a_book_without_baths_does_not_mention_them(small: BookFile) -> None:
    assert "mixes" not in small.export_document()


def test_every_version_of_a_bath_stays(small: BookFile) -> None:
    out = BATH.model_copy(update={"thrown_out": NOON})
    small.put("mixes", BATH)
    small.put("mixes", out)
    assert small.load().mixes == (out,)
    assert [version.part for version in small.history("mixes", "b")] == [BATH, out]


def test_baths_go_out_and_come_in_and_are_merged_once(small: BookFile, tmp_path: Path) -> None:
    small.put("mixes", BATH)
    document = read_book(small.export_document())
    assert document.mixes == (BATH,)
    with open_book(tmp_path / "other.db", clock=lambda: NOON) as other:
        other.import_document(document)
        other.import_document(document)
        assert other.load().mixes == (BATH,)
        changed = document.model_copy(
            update={"mixes": (BATH.model_copy(update={"volume_ml": 900.0}),)}
        )
        with pytest.raises(DuplicateName):
            other.import_document(changed)
        other.import_document(changed, replace=True)
        assert other.load().mixes[0].volume_ml == 900


@pytest.mark.parametrize(
    "wrong",
    [
        '{"volume_ml": -5}',
        '{"volume_ml": 1e9}',
        '{"steps": ["tea"]}',
        '{"stock": {"substance": "sulfuric acid", "percent": 0}}',
        '{"timed": [{"when": "2026-11-14T12:00:00Z", "seconds": 0}]}',
        '{"when": "2026-11-14T12:00:00"}',
    ],
)
def test_a_document_with_a_bath_that_cannot_be_is_refused(wrong: str) -> None:
    import json

    bath = {"id": "b", "recipe": "mq", "when": "2026-11-14T12:00:00Z", "volume_ml": 500}
    text = json.dumps({"stillroom": "book/1", "mixes": [{**bath, **json.loads(wrong)}]})
    with pytest.raises((BadValue, BadDocument)):
        read_book(text)
