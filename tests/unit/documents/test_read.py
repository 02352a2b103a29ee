"""What a document may not do, and the sentence that says so."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.base import Strict
from stillroom.documents.book import Book, Sitting
from stillroom.documents.kit import Lens
from stillroom.documents.read import (
    LARGEST_BYTES,
    check_size,
    read_as,
    read_book,
    read_json,
    sentence_for,
    validated,
)
from stillroom.errors import BadDocument, BadValue, StillroomError

LENS = {"id": "tele300", "focal_mm": 300, "f_numbers": [5.6, 8, 11]}
SITTING: dict[str, Any] = {
    "id": "OM",
    "when": "2026-11-14T10:30:00+00:00",
    "paper": "sorrel-2/7",
    "camera": "field",
    "lens": "tele300",
    "framing": {"magnification": 0.3},
    "lights": [{"role": "key", "kit_id": "A", "distance_m": 0.7}],
    "aims": {"key": {"placement_stops": 0.67}},
}


def book_text(**parts: Any) -> str:
    return json.dumps({"stillroom": "book/1", **parts})


def said(text: str | bytes) -> str:
    with pytest.raises(StillroomError) as caught:
        read_book(text)
    sentence = str(caught.value)
    assert sentence.endswith(".")
    assert "\n" not in sentence
    return sentence


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('{"stillroom": "book/1", "kit": {}, "kit": {}}', "names 'kit' twice in one place"),
        ('{"stillroom": "book/1", "x": NaN}', "holds NaN"),
        ('{"stillroom": "book/1", "x": Infinity}', "holds Infinity"),
        ('{"stillroom": "book/1", "x": -Infinity}', "holds -Infinity"),
        ('{"stillroom": "book/1", "x": 1e999}', "holds 1e999"),
        ('{"stillroom": "book/1", "x": ' + "9" * 400 + "}", "too large to be a number"),
        ("[" * 41 + "]" * 41, "nested deeper than 40"),
        ("[" * 1_000_000, "nested deeper than 40"),
        (b'{"stillroom": "book/1", "x": "\xff"}', "not UTF-8 text (byte 31)"),
        ('{"stillroom": "book/1", "x": "\\ud800"}', "half a character"),
        ("{'stillroom': 'book/1'}", "not JSON: expecting property name"),
        ("", "not JSON: expecting value in line 1, column 1"),
        ("[]", "is a list: it must be one JSON object"),
        ("null", "is empty (null)"),
        ("7", "is a number"),
        ("{}", "its field stillroom must be 'book/1'"),
        ('{"stillroom": "book/2"}', "says stillroom 'book/2' and 'book/1' is understood here"),
    ],
)
def test_what_cannot_be_read_as_a_whole(text: str | bytes, sentence: str) -> None:
    assert sentence in said(text)


def test_forty_levels_and_brackets_inside_text_pass() -> None:
    assert read_json("[" * 40 + "]" * 40)
    assert read_json(json.dumps({"note": "[{" * 100})) == {"note": "[{" * 100}


def test_a_quoted_text_that_never_ends_is_refused_in_linear_time() -> None:
    assert "not JSON" in said('{"a": "' + '\\"' * 2_000_000 + "[" * 41)


def test_too_large_is_said_by_name_and_limit() -> None:
    assert said(" " * (LARGEST_BYTES + 1)).startswith("The document is 8.0 MB and at most 8 MB")
    with pytest.raises(BadDocument, match=r"^season\.json is 50\.0 MB and at most 8 MB"):
        check_size(50_000_000, "season.json")
    with pytest.raises(BadDocument, match="at most 8 MB"):
        read_json('"' + "é" * 4_500_000 + '"')  # 9 MB as UTF-8


def test_a_byte_order_mark_and_paired_surrogates_are_no_fault() -> None:
    assert read_json(b'\xef\xbb\xbf{"a": "\\ud83d\\ude00"}') == {"a": "😀"}


def test_an_object_with_many_names_and_one_twice_is_refused_quickly() -> None:
    many = ", ".join(f'"k{i}": 0' for i in range(200_000))
    assert "'k7' twice" in said("{" + many + ', "k7": 1}')


def test_whole_numbers_are_integers_however_written() -> None:
    assert read_json("[2.0, 1e3, -0.0, 0.5, 1e300]") == [2, 1000, 0, 0.5, 1e300]
    assert [type(n) for n in read_json("[2.0, 0.5, 1e300]")] == [int, float, float]


@pytest.mark.parametrize(
    ("kit", "sentence"),
    [
        (
            {"lenses": [{**LENS, "focal_mm": 3}]},
            "focal_mm of lens 'tele300' of kit is 3: give a number from 5 to 5000.",
        ),
        (
            {"lenses": [{**LENS, "focal_mm": "300"}]},
            "focal_mm of lens 'tele300' of kit is '300': give a number from 5 to 5000.",
        ),
        (
            {"lenses": [{"id": "tele300", "f_numbers": [8]}]},
            "focal_mm of lens 'tele300' of kit is missing: it is needed; write it down.",
        ),
        (
            {"lenses": [{**LENS, "f_numbers": [8, 0.1]}]},
            (
                "number 2 of f_numbers of lens 'tele300' of kit is 0.1: "
                "give a number from 0.5 to 512."
            ),
        ),
        (
            {"lenses": [{**LENS, "f_numbers": []}]},
            "f_numbers of lens 'tele300' of kit is []: give at least 1 of them.",
        ),
        (
            {"heads": [{"id": "A", "energy_ws": 1200, "dial": {"step": 0}}]},
            "step of dial of head 'A' of kit is 0: give a number above 0 and of at most 100000.",
        ),
        (
            {"lenses": [{**LENS, "spectral": "blue"}]},
            "spectral of lens 'tele300' of kit is 'blue': choose 'old', 'modern' or 'own'.",
        ),
        (
            {"rooms": [{"id": "!"}]},
            (
                "id of room '!' of kit is '!': a name takes 1 to 64 letters, digits, spaces and "
                ". _ / + -, the first a letter or digit."
            ),
        ),
    ],
)
def test_a_value_in_the_kit_is_named_with_its_range(kit: dict[str, Any], sentence: str) -> None:
    assert said(book_text(kit=kit)) == sentence


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"aims": {"key": {"placement_stops": 0.5, "tol_stops": 9}}},
            "tol_stops of aim 'key' of sitting 'OM' is 9: give a number above 0 and of at most 4.",
        ),
        (
            {"aims": {"?": {"placement_stops": 0.5}}},
            "a name in aims of sitting 'OM' is '?': a name takes 1 to 64 letters",
        ),
        (
            {"framing": {}},
            (
                "In framing of sitting 'OM', framing takes exactly one of magnification, "
                "subject_distance_m and draw_mm."
            ),
        ),
        (
            {"when": "2026-11-14T10:30"},
            "when of sitting 'OM' is '2026-11-14T10:30': add the offset from universal time",
        ),
        ({"when": "tea time"}, "write the moment as 2026-11-14T10:30:00+00:00"),
        (
            {"sheets": [{"number": 4, "settings": {"f_number": 8, "pops": True}}]},
            (
                "pops of settings of sheet 4 of sitting 'OM' is True: "
                "give a whole number from 1 to 64."
            ),
        ),
        (
            {
                "sheets": [
                    {
                        "number": 4,
                        "settings": {"f_number": 8},
                        "readings": [{"regions": {"key": {"density": 9}}}],
                    }
                ]
            },
            (
                "density of region 'key' of reading no. 1 of sheet 4 of sitting 'OM' is 9: "
                "give a number from -0.1 to 4."
            ),
        ),
        ({"sheets": 3}, "sheets of sitting 'OM' is 3: give a list."),
    ],
)
def test_a_value_in_a_sitting_is_found_by_its_names(change: dict[str, Any], sentence: str) -> None:
    assert sentence in said(book_text(sittings=[{**SITTING, **change}]))


def test_an_unknown_field_is_named_with_the_known_ones() -> None:
    sentence = said(book_text(kit={"lenses": [{**LENS, "colour": "red"}]}))
    assert sentence.startswith("colour of lens 'tele300' of kit is 'red': nothing there has that")
    assert "focal_mm, flange_at_infinity_mm, f_numbers" in sentence


def test_a_value_keeps_its_name_for_the_form() -> None:
    with pytest.raises(BadValue) as caught:
        validated(Lens, {**LENS, "focal_mm": 9000})
    assert (caught.value.name, caught.value.value) == ("focal_mm", 9000)


def test_a_form_may_send_numbers_as_text() -> None:
    assert validated(Lens, {**LENS, "focal_mm": "300"}).focal_mm == 300


def test_a_good_book_survives_being_written_and_read() -> None:
    book = read_book(book_text(kit={"lenses": [LENS]}, sittings=[SITTING]))
    assert read_book(book.model_dump_json()) == book


def test_a_model_without_a_version_asks_for_none() -> None:
    assert read_as(Sitting, json.dumps(SITTING)).id == "OM"


def test_a_model_defined_elsewhere_gives_its_ranges_too() -> None:
    class Cup(Strict):
        tea_celsius: int

    class Tray(Strict):
        cups: tuple[Cup, ...] = ()

    with pytest.raises(BadValue, match=r"^tea_celsius of number 1 of cups is 'hot': give a whole"):
        validated(Tray, {"cups": [{"tea_celsius": "hot"}]})


def test_sentence_for_is_the_sentence_of_the_error() -> None:
    from pydantic import ValidationError

    with pytest.raises(ValidationError) as caught:
        Book.model_validate({"kit": {"lenses": [{**LENS, "focal_mm": -1}]}})
    assert sentence_for(caught.value) == (
        "focal_mm of lens no. 1 of kit is -1: give a number from 5 to 5000."
    )


@given(st.text() | st.binary())
def test_any_text_is_read_or_refused_in_one_sentence(text: str | bytes) -> None:
    try:
        read_json(text)
    except BadDocument as error:
        assert str(error).endswith(".")  # noqa: PT017 - reading may also succeed


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(codec="utf-8")),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["kit", "sittings", "id", "lenses", "lights", "aims", "x"])
            | st.text(st.characters(codec="utf-8"), max_size=5),
            inner,
            max_size=4,
        )
    ),
    max_leaves=20,
)


@given(json_values)
def test_json_values_come_back(value: Any) -> None:
    assert read_json(json.dumps(value)) == value


@given(st.dictionaries(st.sampled_from(["kit", "papers", "sitters", "sittings"]), json_values))
def test_any_book_is_read_or_refused_in_one_sentence(parts: dict[str, Any]) -> None:
    try:
        read_book(book_text(**parts))
    except StillroomError as error:
        assert str(error).endswith(".")  # noqa: PT017 - reading may also succeed
        assert "pydantic" not in str(error)  # noqa: PT017 - the same
