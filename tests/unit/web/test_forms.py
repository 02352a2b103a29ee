"""Forms: what was typed, read into values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.book import Light, Paper
from stillroom.documents.kit import Head, Meter, Modifier
from stillroom.errors import BadValue
from stillroom.web.forms import Field, Form, Posted, f_number, limits, number


def read(question: Field, *typed: str) -> tuple[Form, object]:
    form, values = Form.read((question,), Posted("", {question.name: typed}))
    return form, values.get(question.name)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("5.6", 5.6),
        ("5,6", 5.6),
        ("1 200", 1200),
        ("1\u202f200,5", 1200.5),
        ("−2.05", -2.05),
        ("–1", -1),
        ("1e3", 1000),
    ],
)
def test_numbers_as_people_type_them(typed: str, value: float) -> None:
    assert number("Energy", typed) == pytest.approx(value)


@pytest.mark.parametrize("typed", ["", "ten", "1,200.5", "5 6 m", "0x10", "½"])
def test_what_is_no_number_is_said(typed: str) -> None:
    with pytest.raises(BadValue, match=r"Energy is .*: not a number; write it in figures"):
        number("Energy", typed)


@pytest.mark.parametrize("typed", ["nan", "inf", "-Infinity", "1e999"])
def test_what_has_no_end_is_out_of_range(typed: str) -> None:
    question = Field("energy_ws", "Energy", "number", "W·s").of(Head)
    form, value = read(question, typed)
    assert value is None
    assert "give a number from 1 to 100000 W·s" in form.faults["energy_ws"]


@pytest.mark.parametrize("typed", ["f/5.6", "5.6", "F 5,6", "f⁄5.6", "f5.6"])
def test_f_numbers_with_and_without_their_f(typed: str) -> None:
    assert f_number("Widest", typed) == 5.6


# The document states these; a form must not state them again.
@pytest.mark.parametrize(
    ("model", "name", "edges"),
    [
        (Head, "energy_ws", (1, 100_000)),
        (Head, "recycle_s", (0, 600)),  # optional: the limits lie one layer deeper
        (Head, "pops_per_minute_full", (0, 600)),  # its lower end is open
        (Light, "distance_m", (0.05, 100)),
        (Modifier, "layers", (0, 20)),
        (Meter, "bias_stops", (-5, 5)),
        (Paper, "name", (None, None)),
    ],
)
def test_limits_come_from_the_document(
    model: type[Head], name: str, edges: tuple[float | None, float | None]
) -> None:
    assert limits(model, name) == edges


def test_a_range_is_typed_as_it_is_printed_and_kept_as_a_standard_uncertainty() -> None:
    question = Field("output_sd_stops", "How unsure", "range", "stops").of(Head)
    _, value = read(question, "±0.5")
    assert value == pytest.approx(0.5 / 1.644854, rel=1e-3)  # 95th percentile of the normal
    shown = Form.filled((question,), {"output_sd_stops": value})
    assert shown.one("output_sd_stops") == "0.5"


@given(st.floats(0.05, 100))
def test_a_length_printed_is_read_again(metres: float) -> None:
    from stillroom.quantity import format_length

    question = Field("distance_m", "Distance", "length").of(Light)
    for preference, step in (("metric", 0.005), ("imperial", 0.0254 / 8)):
        shown = format_length(metres, "imperial" if preference == "imperial" else "metric")
        _, value = read(question, shown)
        # 5 cm is the least there may be, and printing may round below it
        assert value is None or value == pytest.approx(metres, abs=step + 1e-9)


def test_an_empty_answer_is_no_answer() -> None:
    form, values = Form.read((Field("loss", "Loss", "number"),), Posted("", {"loss": ("  ",)}))
    assert form.ok
    assert values == {}


def test_a_needed_answer_is_asked_for() -> None:
    form, _ = read(Field("loss", "Loss", "number", required=True), "")
    assert form.summary == "Loss is '': it is needed; fill it in."


def test_several_faults_are_counted_and_the_first_is_said() -> None:
    questions = (Field("a", "First", "number"), Field("b", "Second", "whole"))
    form, _ = Form.read(questions, Posted("", {"a": ("x",), "b": ("1.5",)}))
    assert form.summary.startswith("2 things to put right. The first: First is 'x'")
    assert form.faults["b"] == "Second is '1.5': give a whole number."


def test_many_answers_are_kept_in_order_and_only_offered_ones() -> None:
    question = Field("why", "Why", "many", choices=(("tones", "tones"), ("face", "face")))
    assert read(question, "face", "tones")[1] == ("face", "tones")
    form, value = read(question, "face", "hat")
    assert value is None
    assert "choose one of: tones, face" in form.faults["why"]
