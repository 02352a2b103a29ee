"""Which of a sheet's readings count, and what an aim comes to."""

from __future__ import annotations

import math
from typing import Any

import pytest

from stillroom.documents.book import Book, Reading, Sheet
from stillroom.errors import BadValue, UnknownName
from stillroom.paper import placement
from stillroom.services.readings import (
    bare_reading,
    best_regions,
    best_strips,
    is_read,
    landed,
)
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

BOOK = book_of(head_and_shoulders())
MADE = {"f_number": 5.6}


def look(state: str, by: str, **regions: Any) -> dict[str, Any]:
    seen = {
        r: {"density": v} if isinstance(v, float) else {"verdict": v} for r, v in regions.items()
    }
    return {"state": state, "by": by, "regions": seen}


def sheet(*readings: dict[str, Any], **more: Any) -> Sheet:
    return Sheet.model_validate({"number": 1, "settings": MADE, "readings": readings} | more)


def counted(*readings: dict[str, Any]) -> dict[str, object]:
    """Region to what counts."""
    found: dict[str, object] = {}
    for _, regions in best_regions(sheet(*readings).readings):
        for region, value in regions.items():
            assert region not in found
            found[region] = value.density if value.verdict is None else value.verdict
    return found


def test_dry_counts_before_wet_however_it_was_read() -> None:
    assert counted(look("wet", "scan", key=0.7), look("dry", "words", key="too_dark")) == {
        "key": "too_dark"
    }
    assert counted(look("dry", "words", key="too_dark"), look("wet", "scan", key=0.7)) == {
        "key": "too_dark"
    }


@pytest.mark.parametrize(
    ("better", "worse"),
    [("densitometer", "scan"), ("scan", "strip"), ("strip", "words"), ("densitometer", "words")],
)
def test_of_two_ways_the_surer_counts(better: str, worse: str) -> None:
    a = look("dry", better, key=0.7 if better != "words" else "black")
    b = look("dry", worse, key=0.9 if worse != "words" else "black")
    assert counted(a, b) == counted(b, a) == {"key": 0.7}


def test_of_two_alike_the_latest_counts() -> None:
    assert counted(look("dry", "scan", key=0.7), look("dry", "scan", key=0.8)) == {"key": 0.8}


def test_each_region_has_its_own_best_reading() -> None:
    found = counted(
        look("dry", "scan", key=0.7), look("wet", "words", key="black", shadow="black")
    )
    assert found == {"key": 0.7, "shadow": "black"}


def test_who_could_not_tell_takes_nothing_from_who_could() -> None:
    wet, dry = look("wet", "scan", key=0.7), look("dry", "words", key="cant_tell")
    assert counted(wet, dry) == counted(dry, wet) == {"key": 0.7}
    assert counted(dry) == {"key": "cant_tell"}
    word = look("dry", "words", key="too_dark")
    assert counted(word, dry) == {"key": "cant_tell"}  # taken back by the same eye
    assert counted(dry, word) == {"key": "too_dark"}


@pytest.mark.parametrize("state", ["negative", "pale"])
def test_a_density_of_an_unfinished_tone_is_kept_and_not_learned_from(state: str) -> None:
    assert counted(look(state, "scan", key=0.7)) == {}
    assert bare_reading(BOOK, sheet(look(state, "scan", key=0.7))) is None
    assert bare_reading(BOOK, sheet(look(state, "early_look", key=0.7))) is None


def early(*readings: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Region to the word of an early look that counts."""
    found = bare_reading(BOOK, sheet(*readings, **more))
    regions = {} if found is None else found.regions
    return {r: v.verdict for r, v in regions.items() if v.by == "early_look"}


def test_an_early_look_counts_by_three_words() -> None:
    ends = look("negative", "early_look", key="black", shadow="too_dark", bg="bare_paper")
    assert early(ends) == {"key": "too_dark", "shadow": "too_dark", "bg": "too_light"}
    assert early(look("negative", "early_look", key="cant_tell")) == {}


def test_a_look_at_the_pale_positive_stands_before_one_at_the_negative() -> None:
    pale, negative = (
        look("pale", "early_look", key="as_wanted"),
        look("negative", "early_look", key="too_dark", shadow="too_dark"),
    )
    assert (
        early(pale, negative)
        == early(negative, pale)
        == {"key": "as_wanted", "shadow": "too_dark"}
    )
    again = look("pale", "early_look", key="too_light")
    assert early(pale, again)["key"] == "too_light"


@pytest.mark.parametrize("state", ["wet", "dry"])
def test_a_reading_of_the_finished_sheet_replaces_an_early_look_region_by_region(
    state: str,
) -> None:
    seen = look("negative", "early_look", key="too_dark", shadow="too_dark")
    assert early(seen, look(state, "scan", key=0.7)) == {"shadow": "too_dark"}
    assert early(look(state, "words", key="cant_tell"), seen) == {
        "key": "too_dark",
        "shadow": "too_dark",
    }


def test_an_early_look_says_nothing_of_what_goes_in_the_box() -> None:
    seen = look("pale", "early_look", key="too_dark")
    assert landed(sheet(seen, kept=True)) is True
    assert early(seen, kept=True) == {"key": "too_dark"}


def test_what_is_said_of_the_whole_face_counts_for_one_region_of_it() -> None:
    data = head_and_shoulders()
    of_face = look("negative", "early_look", face="too_dark")
    made = {"number": 1, "settings": MADE}
    data["sittings"][0]["sheets"] = [
        made | {"readings": [of_face]},
        made | {"number": 2, "readings": [look("pale", "early_look", key="as_wanted"), of_face]},
    ]
    book = book_of(data)
    first, second = (bare_reading(book, s) for s in book.sittings[0].sheets)
    assert first is not None
    assert {r: v.verdict for r, v in first.regions.items()} == {"key": "too_dark"}
    assert second is not None
    assert {r: v.verdict for r, v in second.regions.items()} == {"key": "as_wanted"}


def test_an_early_look_at_a_stepped_sheet_says_nothing() -> None:
    stepped = MADE | {"steps_pops": [1, 2]}
    assert early(look("negative", "early_look", key="too_dark"), settings=stepped) == {}


def test_a_sheet_is_read_when_its_finished_tones_are() -> None:
    assert not is_read(sheet(look("negative", "early_look", key="too_dark")))
    assert is_read(sheet(look("wet", "words", key="too_dark")))


def test_each_tone_says_how_it_was_read_and_whether_wet() -> None:
    made = sheet(look("wet", "strip", key=0.7, shadow="black"), look("dry", "words", bg="black"))
    reading = bare_reading(BOOK, made)
    assert reading is not None
    assert {r: (v.by, v.wet) for r, v in reading.regions.items()} == {
        "key": ("strip", True),
        "shadow": ("strip", True),
        "bg": ("words", False),
    }


@pytest.mark.parametrize(
    ("state", "by", "sd"),
    [
        ("dry", "densitometer", 0.03),
        ("dry", "scan", 0.04),
        ("dry", "strip", 0.08),
        ("wet", "densitometer", math.hypot(0.03, 0.02)),
        ("wet", "scan", math.hypot(0.04, 0.02)),
    ],
)
def test_each_way_of_reading_has_its_spread(state: str, by: str, sd: float) -> None:
    reading = bare_reading(BOOK, sheet(look(state, by, key=0.7)))
    assert reading is not None
    assert reading.regions["key"].density_sd == pytest.approx(sd)


def test_a_spread_that_was_given_wins_and_a_scanner_has_its_own() -> None:
    data = head_and_shoulders()
    data["kit"]["scanners"] = [{"id": "flatbed", "sd_density": 0.02}]
    scanner = book_of(data)
    own = look("dry", "scan", key=0.7)
    reading = bare_reading(scanner, sheet(own))
    assert reading is not None
    assert reading.regions["key"].density_sd == 0.02
    own["regions"]["key"]["density_sd"] = 0.1
    reading = bare_reading(scanner, sheet(own))
    assert reading is not None
    assert reading.regions["key"].density_sd == 0.1


def strips(state: str, by: str, *, step: int = 2, **regions: float) -> dict[str, Any]:
    seen = {region: {"density": density} for region, density in regions.items()}
    return {"state": state, "by": by, "strips": [{"step": step, "regions": seen}]}


def read_strips(*readings: dict[str, Any]) -> dict[int, dict[str, float | None]]:
    """Multiple of each strip to what counts of it."""
    made = sheet(*readings, settings=MADE | {"steps_pops": [1, 2, 4]})
    reading = bare_reading(BOOK, made)
    assert reading is not None
    assert reading.regions == {}
    return {step: {r: v.density for r, v in found.items()} for step, found in reading.strips}


def test_a_stepped_sheet_is_read_by_its_strips() -> None:
    found = read_strips(
        strips("wet", "scan", key=0.9),
        strips("dry", "scan", key=0.8),
        strips("dry", "scan", key=0.7),
    )
    assert found == {2: {"key": 0.7}}
    whole = sheet(look("dry", "scan", key=0.7), settings=MADE | {"steps_pops": [1, 2, 4]})
    assert bare_reading(BOOK, whole) is None  # of which strip it is cannot be told


def test_each_strip_and_each_region_of_it_has_its_own_best_reading() -> None:
    """A dry reading of one strip hides neither the others nor its own other regions."""
    wet = strips("wet", "strip", key=0.9, shadow=1.5)
    wet["strips"].append({"step": 4, "regions": {"key": {"density": 0.5}}})
    dry = strips("dry", "scan", key=0.85)
    expected = {2: {"key": 0.85, "shadow": 1.5}, 4: {"key": 0.5}}
    assert read_strips(wet, dry) == read_strips(dry, wet) == expected
    made = sheet(wet, dry, settings=MADE | {"steps_pops": [1, 2, 4]})
    states = {
        (step, region): reading.state
        for step, best in best_strips(made.readings).items()
        for reading, regions in best
        for region in regions
    }
    assert states == {(2, "key"): "dry", (2, "shadow"): "wet", (4, "key"): "wet"}


def test_a_slip_teaches_nothing_and_what_is_real_does() -> None:
    read = look("dry", "scan", key=0.7)
    assert bare_reading(BOOK, sheet(read, odd_is="slip")) is None
    assert landed(sheet(odd_is="slip", kept=False, not_kept_because=["tones"])) is None
    assert bare_reading(BOOK, sheet(read, odd_is="real")) == bare_reading(BOOK, sheet(read))


def test_a_head_that_did_not_fire_keeps_the_sheet_out() -> None:
    made = sheet(look("dry", "scan", key=1.8), what_else_moved=["a head did not fire"])
    assert bare_reading(BOOK, made) is None
    binned = {"kept": False, "not_kept_because": ["tones"]}
    for box in (binned, {"kept": True}):
        assert landed(sheet(what_else_moved=["a head did not fire"], **box)) is None


def test_a_kept_sheet_on_which_nothing_could_be_told_did_land() -> None:
    assert landed(sheet(look("dry", "words", key="cant_tell"), kept=True)) is True


@pytest.mark.parametrize(
    ("kept", "why", "read", "said"),
    [
        (False, ["tones"], True, False),
        (False, ["tones", "face"], False, False),
        (False, ["face"], True, None),
        (False, ["focus", "blemish"], False, None),
        (False, [], False, None),
        (True, [], False, True),
        (True, [], True, None),  # the reading says more
        (None, [], True, None),
    ],
)
def test_only_tones_speak_to_exposure(
    *, kept: bool | None, why: list[str], read: bool, said: bool | None
) -> None:
    readings = [look("dry", "scan", key=0.7)] if read else []
    assert landed(sheet(*readings, kept=kept, not_kept_because=why)) is said


# ---- aims -----------------------------------------------------------------------------------


def aim(data: dict[str, Any], region: str = "key") -> tuple[object, object]:
    table = Worktable(book_of(data), data["sittings"][-1]["id"])
    found = table.layout(table.standing()).aims[region]
    return found.density, found.placement_stops


def with_aim(**said: Any) -> dict[str, Any]:
    data = head_and_shoulders()
    data["sittings"][0]["aims"]["key"] = said
    return data


def test_an_aim_is_a_placement_or_a_density() -> None:
    assert aim(with_aim(placement_stops=0.6)) == (None, 0.6)
    assert aim(with_aim(density=0.7)) == (0.7, None)


def test_an_aim_written_for_another_skin_follows_the_sitters() -> None:
    """Skin of half the reflectance: a stop darker, as this face should be."""
    data = with_aim(placement_stops=0.6, relative_to="skin", for_reflectance=0.38)
    assert aim(data) == (None, pytest.approx(0.6 - 1.0))
    same = with_aim(placement_stops=0.6, relative_to="skin", for_reflectance=0.19)
    assert aim(same) == (None, pytest.approx(0.6))
    own = with_aim(placement_stops=0.6, relative_to="skin")
    assert aim(own) == (None, 0.6)
    on_paper = with_aim(density=0.7, relative_to="skin", for_reflectance=0.38)
    moved = float(placement(0.7, 1.5, 1.0, 0.08, 1.9)) - 1.0
    assert aim(on_paper) == (None, pytest.approx(moved))


def test_an_aim_like_an_earlier_sheet_takes_the_tone_that_was_read() -> None:
    data = with_aim(from_sheet="OM 1")
    data["sittings"][0]["sheets"] = [scanned(1, 0.72, 1.4, mark="OM 1")]
    assert aim(data) == (0.72, None)


def test_of_two_sheets_with_one_mark_the_nearest_before_is_meant() -> None:
    """Numbers start again with each sitting, so one who returns has two sheets OM 1."""
    data = with_aim(from_sheet="OM 1")
    now = data["sittings"][0] | {"id": "S5", "when": "2026-11-20T10:00:00+00:00"}
    others = []
    for day, density in ((10, 0.5), (19, 0.6), (21, 0.7)):
        made = [scanned(1, density, 1.4, mark="OM 1")]
        aims = {"key": {"placement_stops": 0.0}}
        when = f"2026-11-{day}T10:00:00+00:00"
        others.append(now | {"id": f"S{day}", "when": when, "aims": aims, "sheets": made})
    data["sittings"] = [others[2], others[0], others[1], now]
    assert aim(data) == (0.6, None)
    data["sittings"] = [others[2], now]
    assert aim(data) == (0.7, None)
    now["sheets"] = [scanned(1, 0.8, 1.4, mark="OM 1")]
    data["sittings"] = [*others, now]
    assert aim(data) == (0.8, None)


def test_an_aim_like_a_sheet_nobody_read_says_so() -> None:
    data = with_aim(from_sheet="OM 1")
    data["sittings"][0]["sheets"] = [scanned(1, None, 1.4, mark="OM 1")]
    with pytest.raises(BadValue, match="no density of that region was read on that sheet"):
        aim(data)
    data["sittings"][0]["sheets"] = []
    book = Book.model_validate(data)
    with pytest.raises(UnknownName, match="There is no sheet called 'OM 1'"):
        Worktable(book, "S1").layout(Worktable(book, "S1").standing())


def test_reading_models_refuse_both_a_density_and_a_word() -> None:
    with pytest.raises(ValueError, match="exactly one of density"):
        Reading.model_validate({"regions": {"key": {"density": 0.7, "verdict": "black"}}})
