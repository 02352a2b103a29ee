"""Whether the parts of a book go together, each rule broken once in a book that keeps them all."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.checks import check_references, check_settings, marked_f_number
from stillroom.documents.kit import Lens
from stillroom.documents.read import read_book
from stillroom.errors import (
    BadValue,
    DuplicateName,
    OutOfRange,
    StillroomError,
    UnknownName,
)

# Invented data: the pump house on Quarry Lane.
SMALL = (Path(__file__).parents[2] / "data/quarry_lane_small.json").read_text(encoding="utf-8")


def refused(break_it: Callable[[Any], object]) -> StillroomError:
    data = json.loads(SMALL)
    break_it(data)
    with pytest.raises(StillroomError) as caught:
        check_references(read_book(json.dumps(data)))
    return caught.value


def sitting(data: Any) -> Any:
    return data["sittings"][0]


def test_the_small_book_goes_together() -> None:
    check_references(read_book(SMALL))


@pytest.mark.parametrize(
    ("break_it", "sentence"),
    [
        (lambda d: sitting(d).update(paper="tansy"), "no paper (for sitting 'OM') called 'tansy'"),
        (lambda d: sitting(d).update(camera="box"), "no camera (for sitting 'OM') called 'box'"),
        (lambda d: sitting(d).update(lens="x"), "no lens (for sitting 'OM') called 'x'"),
        (lambda d: sitting(d).update(sitters=["JB"]), "no sitter (for sitting 'OM') called 'JB'"),
        (
            lambda d: sitting(d)["lights"][0].update(kit_id="B"),
            "no head (for light 'key' of sitting 'OM') called 'B'; known here: A, C, D.",
        ),
        (
            lambda d: sitting(d)["lights"][0].update(kind="lamp"),
            "no lamp (for light 'key' of sitting 'OM') called 'A'; known here: flood.",
        ),
        (
            lambda d: sitting(d)["lights"][2].update(kind="room", kit_id="hall"),
            "no room (for light 'room' of sitting 'OM') called 'hall'",
        ),
        (
            lambda d: sitting(d)["lights"][0].update(modifiers=["umbrella"]),
            "no modifier (for light 'key' of sitting 'OM') called 'umbrella'",
        ),
        (
            lambda d: sitting(d)["stands"]["lights"]["key"].update(modifiers=["umbrella"]),
            "no modifier (for light 'key' of stands of sitting 'OM') called 'umbrella'",
        ),
        (
            lambda d: sitting(d)["sheets"][1]["settings"]["lights"].update(hair={"dial": -1}),
            "no light (for settings of sheet 2 of sitting 'OM') called 'hair'",
        ),
        (
            lambda d: sitting(d)["sheets"][1].update(made={"lights": {"hair": {"on": False}}}),
            "no light (for made of sheet 2 of sitting 'OM') called 'hair'",
        ),
        (
            lambda d: sitting(d)["meter_readings"][0].update(lights_on=["fill"]),
            "no light (for meter reading no. 1 of sitting 'OM') called 'fill'",
        ),
        (
            lambda d: sitting(d)["meter_readings"][0].update(meter="dome"),
            "no meter (for meter reading no. 1 of sitting 'OM') called 'dome'",
        ),
        (
            lambda d: sitting(d)["meter_readings"][0].update(region="elbow"),
            "no region (for meter reading no. 1 of sitting 'OM') called 'elbow'",
        ),
        (
            lambda d: sitting(d)["sheets"][1]["readings"][0]["regions"].update(
                elbow={"verdict": "black"}
            ),
            (
                "no region (for reading no. 1 of sheet 2 of sitting 'OM') called 'elbow'; "
                "known here: key, shadow, forehead, rim, hair, cloth, bg, brim."
            ),
        ),
        (
            lambda d: sitting(d)["aims"].update(rim={"from_sheet": "JB 2"}),
            "no sheet (for aim 'rim' of sitting 'OM') called 'JB 2'; known here: OM 1, OM 2.",
        ),
    ],
)
def test_a_name_that_is_not_there(break_it: Callable[[Any], object], sentence: str) -> None:
    error = refused(break_it)
    assert isinstance(error, UnknownName)
    assert sentence in str(error)


@pytest.mark.parametrize(
    ("break_it", "sentence"),
    [
        *(
            (
                lambda d, kind=kind: d["kit"][kind].append(d["kit"][kind][0]),
                f"Two of the {kind} are called",
            )
            for kind in (
                "cameras",
                "lenses",
                "heads",
                "lamps",
                "modifiers",
                "meters",
                "scanners",
                "rooms",
            )
        ),
        (
            lambda d: d["papers"].append(d["papers"][0]),
            "Two of the papers are called 'sorrel-2/7'",
        ),
        (lambda d: d["sitters"].append(d["sitters"][0]), "Two of the sitters are called 'OM'"),
        (lambda d: d["sittings"].append(d["sittings"][0]), "Two of the sittings are called 'OM'"),
        (
            lambda d: sitting(d).update(sitters=["OM", "OM"]),
            "Two of the sitters of sitting 'OM' are called 'OM'",
        ),
        (
            lambda d: sitting(d)["lights"].append(sitting(d)["lights"][0]),
            "Two of the lights of sitting 'OM' are called 'key'",
        ),
        (
            lambda d: sitting(d)["sheets"][1].update(number=1),
            "Two of the sheets of sitting 'OM' are called '1'",
        ),
        (
            lambda d: d["papers"][0]["comparison_strip"][1].update(step=1),
            "Two of the steps on the comparison strip of paper 'sorrel-2/7' are called '1'",
        ),
        (
            lambda d: sitting(d)["sheets"][0]["readings"][0]["strips"][1].update(step=1),
            "Two of the strips of reading no. 1 of sheet 1 of sitting 'OM' are called '1'",
        ),
        (
            lambda d: sitting(d)["meter_readings"][0].update(lights_on=["key", "key"]),
            "Two of the lights on in meter reading no. 1 of sitting 'OM' are called 'key'",
        ),
    ],
)
def test_a_name_given_twice(break_it: Callable[[Any], object], sentence: str) -> None:
    error = refused(break_it)
    assert isinstance(error, DuplicateName)
    assert sentence in str(error)


@pytest.mark.parametrize(
    ("break_it", "sentence"),
    [
        (
            lambda d: d["kit"]["meters"][0].update(kind="spot"),
            "meter of meter reading no. 1 of sitting 'OM' is 'flat': it is a spot meter, which",
        ),
        (
            lambda d: d["kit"]["heads"][0].update(dial={"min": 0, "max": 0}),
            "min of the dial of head 'A' is 0.0: it must lie below max, which is 0.",
        ),
        (
            lambda d: d["kit"]["heads"][0].update(dial={"min": -2, "max": 0, "step": 3}),
            "step of the dial of head 'A' is 3.0: give at most 2.",
        ),
        (
            lambda d: d["kit"]["heads"][1]["dial"].update(min=0),
            "min of the dial of head 'C' is 0.0: a dial in fraction starts above 0.",
        ),
        (
            lambda d: sitting(d)["sheets"][1]["settings"].update(f_number=6.3),
            (
                "f_number of settings of sheet 2 of sitting 'OM' is 6.3: lens 'tele300' is marked "
                "5.6, 8, 11, 16, 22, 32, 45; choose a mark."
            ),
        ),
        (
            lambda d: sitting(d)["sheets"][1]["made"].update(f_number=9),
            "f_number of made of sheet 2 of sitting 'OM' is 9",
        ),
        (
            lambda d: sitting(d)["sheets"][1]["settings"]["lights"].update(room={"dial": -1}),
            "dial of light 'room' of settings of sheet 2 of sitting 'OM' is -1.0: only a head has",
        ),
        (
            lambda d: sitting(d)["aims"]["brim"].update(density=2.1),
            (
                "density of aim 'brim' of sitting 'OM' is 2.1: paper 'sorrel-2/7' goes from "
                "0.08 to 1.9; aim within it."
            ),
        ),
        (
            lambda d: sitting(d)["aims"]["rim"].update(for_reflectance=0.2),
            "for_reflectance of aim 'rim' of sitting 'OM' is 0.2: it goes with relative_to skin",
        ),
        (
            lambda d: sitting(d)["sheets"][1]["readings"][1]["regions"]["key"].update(
                density=2.06
            ),
            (
                "density of region 'key' of reading no. 2 of sheet 2 of sitting 'OM' is 2.06: "
                "paper 'sorrel-2/7' is held to read from -0.07 to 2.05; read it again, or correct"
            ),
        ),
        (
            lambda d: sitting(d)["sheets"][0]["readings"][0]["strips"][0].update(step=3),
            (
                "step of a strip of reading no. 1 of sheet 1 of sitting 'OM' is 3: the strips "
                "are 1, 2, 4, 8."
            ),
        ),
        (
            lambda d: sitting(d)["sheets"][0]["settings"].update(steps_pops=None),
            "the strips are none, it is not a stepped sheet",
        ),
        (
            lambda d: sitting(d)["sheets"][0].update(kept=True),
            "not_kept_because of sheet 1 of sitting 'OM' is 'tones': the sheet is kept",
        ),
    ],
)
def test_a_value_that_does_not_fit(break_it: Callable[[Any], object], sentence: str) -> None:
    error = refused(break_it)
    assert isinstance(error, BadValue)
    assert sentence in str(error)


@pytest.mark.parametrize(
    ("role", "dial", "scale"),
    [
        ("key", 0.1, "from -7 to 0 stops"),
        ("key", -7.1, "from -7 to 0 stops"),
        ("rim", 1.1, "from 0.0078125 to 1 of full"),
    ],
)
def test_a_dial_reads_within_its_own_scale(role: str, dial: float, scale: str) -> None:
    error = refused(lambda d: sitting(d)["stands"]["lights"][role].update(dial=dial))
    assert isinstance(error, OutOfRange)
    assert f"dial of light '{role}' of stands of sitting 'OM' is {dial}" in str(error)
    assert scale in str(error)


def test_what_adding_tenths_leaves_behind_is_no_fault() -> None:
    book = read_book(SMALL)
    settings = book.sittings[0].sheets[1].settings
    key = settings.lights["key"].model_copy(update={"dial": sum([0.1] * 3) - 0.3})  # 5.6e-17
    check_settings(
        book,
        book.sittings[0],
        settings.model_copy(update={"lights": {"key": key}}),
        "settings",
    )


def test_a_negative_may_be_denser_than_the_finished_paper() -> None:
    data = json.loads(SMALL)
    sitting(data)["sheets"][1]["readings"] = [
        {"state": "negative", "by": "early_look", "regions": {"key": {"density": 2.6}}}
    ]
    check_references(read_book(json.dumps(data)))


def test_a_mark_is_met_within_a_hundredth() -> None:
    lens = Lens(id="tele", focal_mm=300, f_numbers=(5.6, 8.0))
    assert marked_f_number(lens, 8.07) == 8.0
    assert marked_f_number(lens, 8.09) is None
    assert marked_f_number(lens, 5.4) is None  # the true number of the widest stop is no mark
