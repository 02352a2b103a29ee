"""Baths in the book: which sheets count for which, and what is told of their life."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from stillroom.documents.book import Book, Sheet
from stillroom.documents.mixing import Mix
from stillroom.documents.read import validated
from stillroom.documents.wet import WetRun
from stillroom.errors import BadValue, NotPossible, OutOfRange, UnknownName
from stillroom.services import Desk
from stillroom.services.baths import baths_of, bench_baths
from stillroom.services.mixing import Asked
from stillroom.wetline.chemistry import Bottle
from tests.unit.services.conftest import SMALL

SITTING = SMALL.sittings[0]
NOON = datetime(2026, 11, 14, 12, 0, tzinfo=UTC)
AREA = SMALL.kit.cameras[0].format_mm[0] * SMALL.kit.cameras[0].format_mm[1] / (203.2 * 254)


def mix(name: str = "b", recipe: str = "permanganate", hour: float = 12, **said: Any) -> Mix:
    when = NOON.replace(hour=0) + timedelta(hours=hour)
    return validated(Mix, {"id": name, "recipe": recipe, "when": when, "volume_ml": 1000, **said})


def book(*mixes: Mix, sheets: tuple[tuple[float, WetRun | None], ...] = ()) -> Book:
    """The small book with its sheets at given hours of the day."""
    model = SITTING.sheets[0]
    made = tuple(
        Sheet(
            number=number,
            settings=model.settings,
            when=NOON.replace(hour=0) + timedelta(hours=hour),
            wet=run,
        )
        for number, (hour, run) in enumerate(sheets, 1)
    )
    sitting = SITTING.model_copy(update={"sheets": made})
    return SMALL.model_copy(update={"sittings": (sitting,), "mixes": mixes})


def run(number: int, hour: float, bath: str | None, **said: Any) -> WetRun:
    began = NOON.replace(hour=0) + timedelta(hours=hour)
    return validated(
        WetRun,
        {
            "id": f"run-{number}",
            "sitting": SITTING.id,
            "sheet": number,
            "process": "rc-trays/permanganate",
            "temperature_c": 20,
            "began_at": began,
            "steps": [{"step": "bleach", "began_at": began, "bath": bath}],
            **said,
        },
    )


def at(hour: float) -> datetime:
    return NOON.replace(hour=0) + timedelta(hours=hour)


def test_sheets_count_by_their_area_from_when_the_bath_was_mixed() -> None:
    sheets = tuple((hour, None) for hour in (11.0, 12.5, 13.0, 13.5))
    (bath,) = baths_of(book(mix(), sheets=sheets), at(14))
    assert bath.sheets_used == pytest.approx(3 * AREA, abs=1e-3)
    assert bath.sheets_good == pytest.approx(12)
    assert bath.life == "good"
    assert "of about 12 sheets of 8x10" in bath.told
    assert bath.good_until == at(16)


def test_the_newest_bath_in_a_tray_takes_the_sheet() -> None:
    sheets = tuple((hour, None) for hour in (12.5, 13.5, 14.5))
    old, new = mix("old", hour=12), mix("new", hour=13)
    found = {b.id: b.sheets_used for b in baths_of(book(old, new, sheets=sheets), at(15))}
    assert found == {
        "old": pytest.approx(AREA, abs=1e-3),
        "new": pytest.approx(2 * AREA, abs=1e-3),
    }


def test_a_bath_thrown_out_is_gone_and_its_sheets_with_it() -> None:
    thrown = mix("old", thrown_out=at(13))
    sheets = tuple((hour, None) for hour in (12.5, 13.5))
    assert baths_of(book(thrown, sheets=sheets), at(15)) == ()
    (bath,) = baths_of(book(thrown, mix("new", hour=13), sheets=sheets), at(15))
    assert bath.id == "new"
    assert bath.sheets_used == pytest.approx(AREA, abs=1e-3)


def test_a_run_that_names_its_bath_counts_there_and_only_there() -> None:
    sheets = ((12.5, run(1, 13.5, "old")), (12.6, run(2, 13.6, None)))
    old, new = mix("old", hour=12), mix("new", hour=13)
    found = {b.id: b.sheets_used for b in baths_of(book(old, new, sheets=sheets), at(15))}
    assert found == {"old": pytest.approx(AREA, abs=1e-3), "new": pytest.approx(AREA, abs=1e-3)}


def test_a_sheet_stopped_before_the_bleach_does_not_tire_it() -> None:
    stopped = run(1, 12.5, None).model_copy(
        update={
            "steps": (
                run(1, 12.5, None).steps[0].model_copy(update={"step": "first_development"}),
            )
        }
    )
    (bath,) = baths_of(book(mix(), sheets=((12.5, stopped),)), at(14))
    assert bath.sheets_used == 0
    assert "no sheet yet, mixed at 12:00" in bath.told


def test_a_developer_in_both_trays_counts_a_sheet_once() -> None:
    mq = mix("d", recipe="mq", dilution="1+1")
    (bath,) = baths_of(book(mq, sheets=((12.5, None),)), at(14))
    assert bath.sheets_used == pytest.approx(AREA, abs=1e-3)
    assert bath.sheets_good == pytest.approx(20)


@pytest.mark.parametrize(
    ("said", "hour", "life", "told"),
    [
        ({}, 15.5, "last", "mixed 3.5 h ago"),
        ({}, 16.0, "past", "is past its life: mixed 4 h ago, and good for 4 h"),
        ({"used_before": 12.0}, 12.5, "past", "12 of about 12 sheets"),
        ({"used_before": 11.8}, 12.5, "last", "on its last"),
        ({"recipe": "dichromate-mild"}, 23.0, "good", "no sheet yet"),
        ({"recipe": "dichromate-mild", "used_before": 25.0}, 13.0, "past", "25 of about 20"),
        (
            {"timed": [{"when": at(12), "seconds": 40}, {"when": at(13), "seconds": 85}]},
            13.5,
            "past",
            "2.1 times as long as at first",
        ),
        (
            {"timed": [{"when": at(12), "seconds": 40}, {"when": at(13), "seconds": 50}]},
            13.5,
            "good",
            "no sheet yet",
        ),
    ],
)
def test_the_first_clock_to_stop_is_told(
    said: dict[str, Any], hour: float, life: str, told: str
) -> None:
    (bath,) = baths_of(book(mix(**{"hour": 12, **said})), at(hour))
    assert bath.life == life
    assert told in bath.told


def test_the_first_black_tells_of_a_developer() -> None:
    def black(number: int, hour: float, seconds: float) -> WetRun:
        first = run(number, hour, None)
        step = first.steps[0].model_copy(update={"step": "first_development"})
        return first.model_copy(update={"steps": (step,), "first_black_s": seconds})

    tray = mix("d", recipe="developer-first")
    sheets = ((12.5, black(1, 12.5, 10.0)), (13.0, black(2, 13.0, 21.0)))
    (bath,) = baths_of(book(tray, sheets=sheets), at(13.5))
    assert bath.life == "past"
    assert "2.1 times as long" in bath.told


def test_baths_stand_in_the_order_of_the_line_and_the_bench_has_them() -> None:
    line = (
        mix("fix", recipe="fixer"),
        mix("bleach"),
        mix("clear", recipe="clear-permanganate"),
        mix("first", recipe="developer-first"),
    )
    whole = book(*line)
    assert [b.id for b in baths_of(whole, at(13))] == ["first", "bleach", "clear", "fix"]
    on_bench = bench_baths(whole, at(13))
    assert [b.id for b in on_bench] == ["first", "bleach", "clear", "fix"]
    assert all(len(b.told) <= 200 for b in on_bench)


def test_a_recipe_of_another_version_is_told_of_all_the_same() -> None:
    (bath,) = baths_of(book(mix(recipe="from tomorrow", steps=["bleach"])), at(13))
    assert bath.sheets_good is None
    assert bath.name == "from tomorrow"


# ── The desk ────────────────────────────────────────────────────────────────────────────────


def test_a_bath_is_written_timed_and_thrown_out(desk: Desk) -> None:
    asked = Asked(stock=Bottle("sulfuric acid", 37))
    name = desk.mix_written("permanganate", 800, "f" * 16, asked=asked)
    assert desk.mix_written("permanganate", 800, "f" * 16, asked=asked) == name  # sent twice
    (bath,) = desk.baths()
    assert (bath.id, bath.life) == (name, "good")
    assert bath.sheets_good == pytest.approx(9.6)
    assert desk.bench().baths[0].id == name
    desk.mix_timed(name, 40)
    desk.mix_timed(name, 90)
    assert desk.baths()[0].life == "past"
    desk.mix_thrown_out(name)
    assert desk.baths() == ()
    (kept,) = desk.mixes()
    assert kept.stock is not None
    assert kept.stock.percent == 37
    assert len(kept.timed) == 2
    assert desk.mix_written("permanganate", 800) == f"{name}-2"
    for refused in (desk.mix_thrown_out, lambda m: desk.mix_timed(m, 30)):
        with pytest.raises(NotPossible, match="thrown out already"):
            refused(name)


def test_its_label_says_what_it_must(desk: Desk) -> None:
    name = desk.mix_written(
        "dichromate-mild", 1000, asked=Asked(stock=Bottle("sulfuric acid", 37))
    )
    label = desk.label(name)
    assert label.hazard.signal == "Danger"
    assert label.volume == "1000 ml"
    assert label.strength[0] == "potassium dichromate 5 g per litre"
    assert "out of 37 % w/w" in label.strength[1]
    assert label.collect.startswith("Collect it")
    assert "drain" not in label.model_dump_json().lower()
    assert label.stands_in == "bleach"


def test_baths_go_out_and_come_in_with_the_document(desk: Desk) -> None:
    name = desk.mix_written("mq", 500, steps=("first_development",))
    (stands,) = desk.mixes()
    assert stands.dilution == "1+1"
    again = Book.model_validate_json(desk.book().model_dump_json(exclude_unset=True))
    assert again.mixes[0].id == name
    assert again == desk.book()


@pytest.mark.parametrize(
    ("write", "error", "said"),
    [
        (lambda d: d.mix_written("permanganate", -1), OutOfRange, "from 10 to 200000 ml"),
        (lambda d: d.mix_written("potion", 500), UnknownName, "no recipe"),
        (
            lambda d: d.mix_written("permanganate", 500, steps=("first_development",)),
            NotPossible,
            "Never a bleach into a developer",
        ),
        (
            lambda d: d.mix_written("mq", 500, steps=("bleach",)),
            NotPossible,
            "Never a developer into a bleach",
        ),
        (lambda d: d.mix_written("fixer", 500, steps=("bleach",)), BadValue, "belongs in: fix"),
        (
            lambda d: d.mix_written("mq", 500, when=datetime(2027, 1, 1, tzinfo=UTC)),
            BadValue,
            "still to come",
        ),
        (
            lambda d: d.mix_written(
                "permanganate", 500, asked=Asked(stock=Bottle("hydrochloric acid", 37))
            ),
            NotPossible,
            "chlorine",
        ),
        (lambda d: d.mix_thrown_out("nothing"), UnknownName, "no bath"),
        (lambda d: d.label("nothing"), UnknownName, "no bath"),
        (lambda d: d.mix_timed(d.mix_written("mq", 500), 0), BadValue, "seconds"),
        (lambda d: d.mix_timed(d.mix_written("mq", 500), -3), BadValue, "seconds"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    desk: Desk, write: Any, error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        write(desk)
    assert all(not m.timed and m.thrown_out is None for m in desk.mixes())


def test_a_sheet_through_the_bench_counts_for_the_baths_it_met(desk: Desk) -> None:
    first = desk.mix_written("developer-first", 1000, steps=("first_development",))
    bleach = desk.mix_written("permanganate", 1000)
    fixer = desk.mix_written("fixer", 1000)
    mixed_at = desk.mixes()[0].when
    before = {bath.id: bath.sheets_used for bath in desk.baths()}
    told: list[tuple[str, int, dict[str, Any]]] = [
        ("begin", 60, {"sitting": SITTING.id, "sheet": 2, "process": "rc-trays/permanganate",
                       "temperature_c": 20.0}),
        ("black", 70, {"seconds": 9.0}),
        ("step", 190, {"step": "first_wash"}),
        ("step", 250, {"step": "bleach"}),
        ("stop", 400, {}),
    ]  # fmt: skip
    taken = desk.bench_events(
        [
            {
                "id": f"e-{at}",
                "run": "run-1",
                "kind": kind,
                "at": (mixed_at + timedelta(seconds=at)).isoformat(),
                **said,
            }
            for kind, at, said in told
        ]
    )
    assert taken.refused == ()
    desk._clock.now += timedelta(minutes=20)  # type: ignore[attr-defined]
    after = {bath.id: bath.sheets_used for bath in desk.baths()}
    assert before == {first: 0, bleach: 0, fixer: 0}
    assert after[first] == pytest.approx(AREA, abs=1e-3)
    assert after[bleach] == pytest.approx(AREA, abs=1e-3)
    assert after[fixer] == 0  # it was stopped before
