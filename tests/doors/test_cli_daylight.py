"""The commands about daylight, as they are typed."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from stillroom.documents.daylight import (
    DaylightCompared,
    DaylightDay,
    DaylightNow,
    DaylightWhen,
    DaylightYear,
)
from stillroom.documents.read import read_book
from stillroom.documents.seats import SkySeen
from stillroom.services.daylight_answers import daylight_now
from stillroom.services.daylight_asked import Asked
from stillroom.services.demo import demo_book, demo_document

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]

BY_THE_WINDOW = ("--sitter", "KS", "--f", "5.6", "--sky", "dull")


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def example(tmp_path: Path) -> str:
    path = tmp_path / "example.json"
    path.write_text(demo_document(), encoding="utf-8")
    return str(path)


def test_now_is_the_answer_of_the_library(cli: Cli, example: str) -> None:
    said = cli("daylight", "now", example, *BY_THE_WINDOW, "--at", "2026-12-14 11:30", "--json")
    answer = DaylightNow.model_validate_json(said.out)
    asked = Asked(
        seat="north-east window",
        paper="sorrel-2/6",
        lens="tele300",
        camera="field",
        f_number=5.6,
        sitter="KS",
        sky=SkySeen(word="dull"),
    )
    moment = answer.now.when
    assert moment.isoformat() == "2026-12-14T11:30:00+00:00"
    assert answer == daylight_now(demo_book(), asked, moment)


def test_people_get_a_sentence_and_what_would_change_it(cli: Cli, example: str) -> None:
    out = cli("daylight", "now", example, *BY_THE_WINDOW, "--at", "2026-12-14 11:30").out
    assert "pump house, north-east window" in out
    assert "Good until " in out
    assert "The chair 0.5 m" in out
    assert all(len(line) <= 80 for line in out.splitlines())


@pytest.mark.parametrize(
    ("verb", "more", "model"),
    [
        ("day", ("--date", "2026-12-14"), DaylightDay),
        ("year", ("--year", "2026"), DaylightYear),
        ("when", ("--at", "2026-03-27 09:00", "--days", "3"), DaylightWhen),
    ],
)
def test_each_answers_people_and_pipes(
    cli: Cli, example: str, verb: str, more: tuple[str, ...], model: type
) -> None:
    arguments = ("daylight", verb, example, "--sitter", "KS", "--f", "5.6", *more)
    model.model_validate_json(cli(*arguments, "--json").out)  # type: ignore[attr-defined]
    out = cli(*arguments).out
    assert "north-east window" in out
    assert all(len(line) <= 80 for line in out.splitlines())


def test_two_sheets_are_compared(cli: Cli, example: str) -> None:
    arguments = ("daylight", "compare", "KS December/2", "KS June/1", example)
    answer = DaylightCompared.model_validate_json(cli(*arguments, "--json").out)
    assert answer.seen_stops is not None
    out = cli(*arguments).out
    assert "Expected: " in out
    assert "Seen: " in out


def test_the_hours_go_into_a_calendar(cli: Cli, example: str, tmp_path: Path) -> None:
    hours = tmp_path / "hours.ics"
    when = ("--at", "2026-06-01 09:00", "--days", "2", "--within", "8", "--calendar", hours)
    said = cli("daylight", "when", example, "--sitter", "KS", "--f", "5.6", *when, "--json")
    answer = DaylightWhen.model_validate_json(said.out)
    events = sum(len(day.by_sky["middling"]) for day in answer.days)
    assert events
    assert hours.read_text().count("BEGIN:VEVENT") == events
    nowhere = tmp_path / "no" / "hours.ics"
    refused = cli.refused("daylight", "when", example, "--days", "1", "--calendar", nowhere)
    assert str(nowhere)[:20] in refused


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--at", "2026-03-29 01:30"), "clocks in Europe/London skip it"),
        (("--at", "2026-10-25 01:30"), "show it twice; write +01:00 or +00:00 after it"),
        (("--at", "1700-06-01"), "year is 1700: give a number from 1900 to 2200"),
        (("--at", "soon"), "--at is 'soon': give day and time"),
        (("--sky", "pink"), "word is 'pink': choose 'clear'"),
        (("--sky", "9/8", "--sun", "no"), "okta is 9"),
        (("--sky", "5/9", "--sun", "no"), "give eighths of cloud from 0/8 to 8/8"),
        (("--sky", "5/8"), "say with --sun whether the sun is out"),
        (("--sky", "0/8", "--sun", "no"), "without cloud the sun is out"),
        (("--sky", "clear", "--sun", "no"), "a word for the sky says it already"),
        (("--sun", "no"), "it goes with eighths of cloud"),
        (("--seat", "moon"), "There is no seat called 'moon'"),
        (("--f", "7"), "is marked 5.6, 8"),
    ],
)
def test_what_cannot_be_is_one_sentence(
    cli: Cli, example: str, arguments: tuple[str, ...], says: str
) -> None:
    assert says in cli.refused("daylight", "now", example, *arguments)


def test_twice_the_same_clock_is_two_moments(cli: Cli, example: str) -> None:
    when = [
        cli("daylight", "now", example, "--at", f"2026-10-25T01:30{zone}", "--json").json["now"]
        for zone in ("+01:00", "+00:00")
    ]
    assert [w["when"] for w in when] == ["2026-10-25T01:30:00+01:00", "2026-10-25T01:30:00Z"]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"latitude_deg": 91}, "latitude_deg of place 'quarry lane' of kit is 91"),
        ({"longitude_deg": 181}, "longitude_deg of place 'quarry lane' of kit is 181"),
        ({"zone": "Europe/Quarry"}, "zone of place 'quarry lane' is 'Europe/Quarry'"),
    ],
)
def test_a_place_that_is_nowhere_is_refused(
    cli: Cli, tmp_path: Path, changes: dict[str, object], says: str
) -> None:
    book = read_book(demo_document()).model_dump(mode="json", exclude_unset=True)
    book["kit"]["places"][0] |= changes
    assert says in cli.refused("check", _written(tmp_path, book))


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"width_m": 0}, "width_m of window of seat 'north-east window' of kit is 0"),
        ({"turn_deg": 180, "room": None}, "no light of the window reaches it"),
        ({"distance_m": 0.1, "inner_reveal_m": 0.3}, "that lies in the wall"),
        ({"room": {"width_m": 4, "depth_m": 4, "height_m": 3, "walls": "moss"}}, "'moss'"),
    ],
)
def test_a_window_that_gives_no_light_is_refused(
    cli: Cli, tmp_path: Path, changes: dict[str, object], says: str
) -> None:
    book = read_book(demo_document()).model_dump(mode="json", exclude_unset=True)
    book["kit"]["seats"][0]["window"] |= changes
    assert says in cli.refused("check", _written(tmp_path, book))


def test_a_book_without_a_seat_says_what_is_missing(cli: Cli, tmp_path: Path) -> None:
    book = read_book(demo_document()).model_dump(mode="json", exclude_unset=True)
    book["kit"]["seats"] = []
    book["sittings"] = [s for s in book["sittings"] if s["lights"][0]["kind"] != "window"]
    path = _written(tmp_path, book)
    assert "write a place and a seat into the kit first" in cli.refused("daylight", "now", path)


def _written(folder: Path, book: dict[str, object]) -> str:
    import json

    path = folder / "changed.json"
    path.write_text(json.dumps(book), encoding="utf-8")
    return str(path)
