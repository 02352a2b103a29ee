"""Whatever is asked of the desk in whatever order: the book goes together and reads back."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.documents.book import Aim, Book, Made, MeterReading, Reading, Settings, Skin
from stillroom.documents.checks import check_references
from stillroom.documents.read import read_book
from stillroom.errors import StillroomError
from stillroom.services import Desk, FirstAnswers
from stillroom.services.next_sitter import TONES
from stillroom.store import open_book

REGIONS = ["key", "shadow", "bg", "brim", "elbow"]
verdicts = st.sampled_from(["black", "too_dark", "as_wanted", "bare_paper", "cant_tell"])
readings = st.builds(
    lambda region, seen: Reading.model_validate({"regions": {region: seen}}),
    st.sampled_from(REGIONS),
    st.one_of(
        st.fixed_dictionaries({"verdict": verdicts}),
        st.fixed_dictionaries({"density": st.floats(0, 2.5)}),
    ),
)
metered = st.builds(
    lambda role, lx: MeterReading.model_validate(
        {
            "region": "key",
            "lights_on": [role],
            "shows": {"lx": lx},
            "settings": {"f_number": 8},
        }
    ),
    st.sampled_from(["key", "rim", "hair"]),
    st.floats(1, 1000),
)
numbers = st.integers(1, 4)
verbs = st.one_of(
    st.tuples(st.just("first_sheet"), st.builds(FirstAnswers)),
    st.tuples(
        st.just("shoot"),
        st.builds(Settings, f_number=st.sampled_from([5.6, 8.0, 9.0])),
        st.sampled_from(["", "form one", "form two"]),
    ),
    st.tuples(st.just("read_sheet"), numbers, readings),
    st.tuples(
        st.just("correct_made"), numbers, st.builds(Made, f_number=st.sampled_from([8.0, 9.0]))
    ),
    st.tuples(st.just("undo_last")),
    st.tuples(st.just("meter"), metered),
    st.tuples(st.just("set_look"), st.sampled_from(["low", "high", "noir"])),
    st.tuples(st.just("aims_like"), st.sampled_from(["OM 1", "OM 2", "KS 1"])),
    st.tuples(
        st.just("set_aims"),
        st.dictionaries(
            st.sampled_from(REGIONS), st.builds(Aim, density=st.floats(0, 2.5)), max_size=3
        ),
    ),
    st.tuples(st.just("move_light"), st.sampled_from(["key", "rim", "hair"]), st.floats(0.01, 2)),
    st.tuples(
        st.just("next_sitter"),
        st.sampled_from(["K. S.", "OM", "?"]),
        st.builds(Skin, guess=st.sampled_from(["light", "dark", "unknown"])),
        st.none(),
        st.sampled_from(TONES),
    ),
    st.tuples(st.just("retire_thing"), st.just("heads"), st.sampled_from(["A", "Z"])),
    st.tuples(st.just("edit_paper"), st.fixed_dictionaries({"dmax": st.floats(0.2, 2)})),
)


def do(desk: Desk, verb: str, rest: list[Any]) -> None:
    sitting = desk.current_sitting_id()
    assert sitting is not None
    match verb:
        case "first_sheet" | "retire_thing":
            getattr(desk, verb)(*rest)
        case "edit_paper":
            desk.edit_paper("sorrel-2/7", *rest)
        case "shoot":
            desk.shoot(sitting, *rest, expected={})
        case "move_light":
            desk.move_light(sitting, rest[0], distance_m=rest[1])
        case _:
            getattr(desk, verb)(sitting, *rest)


@given(steps=st.lists(verbs, max_size=12))
@settings(max_examples=40)
def test_any_order_of_verbs_leaves_a_book_that_goes_together(
    steps: list[tuple[Any, ...]], small: Book, repeater: Callable[[], Any]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        moments = iter(range(100_000))

        def clock() -> datetime:
            return datetime.fromtimestamp(1_800_000_000 + next(moments), UTC)

        path = Path(folder, "book.db")
        with open_book(path, clock=clock) as store:
            store._rows.db.execute("PRAGMA synchronous = OFF")  # the disk is not what is tried
            store.import_document(small)
            desk = Desk(store, clock, repeater())
            for verb, *rest in steps:
                before = desk.book()
                with contextlib.suppress(StillroomError):
                    do(desk, verb, rest)
                    continue
                assert desk.book() == before  # what failed wrote nothing
            last = desk.book()
            check_references(last)
            assert read_book(store.export_document()) == last
            assert store.damage() == ()
        with open_book(path, clock=clock) as again:
            assert again.load() == last
