"""Sheets planned together: how long a plan holds, and that it outlives the desk."""

from __future__ import annotations

from pathlib import Path

import pytest

from stillroom.documents.book import Aim, MeterReading, Reading
from stillroom.documents.shows import Shows
from stillroom.errors import NotPossible
from stillroom.services import Desk
from stillroom.store import open_book

SEEN = Reading.model_validate({"by": "strip", "regions": {"key": {"density": 0.7}}})


def test_a_plan_is_made_sheet_by_sheet(desk: Desk) -> None:
    plan = desk.plan_together("OM", 3)
    assert (plan.first, len(plan.settings)) == (3, 3)
    for made in range(3):
        left = desk.planned_together("OM")
        assert left == plan
        assert desk.plan_holds("OM", plan)
        advice = desk.advice_as_planned("OM", plan)
        assert advice.settings == plan.settings[made]
        assert advice.note.split() == list(plan.marks[:made])
        desk.shoot("OM", advice.settings)
    assert desk.planned_together("OM") is None
    with pytest.raises(NotPossible, match="No sheet of this plan is left"):
        desk.advice_as_planned("OM", plan)


def test_a_plan_outlives_the_desk(desk: Desk, tmp_path: Path, engine: object) -> None:
    plan = desk.plan_together("OM", 2)
    desk.shoot("OM", plan.settings[0])
    with open_book(tmp_path / "book.db", clock=desk._clock) as again:
        other = Desk(again, desk._clock, engine)  # type: ignore[arg-type]  # the fixture's own
        assert other.planned_together("OM") == plan
        assert other.plan_holds("OM", plan)
        assert other.advice_as_planned("OM", plan).settings == plan.settings[1]


def test_a_plan_ends_when_it_is_given_up_or_made_anew(desk: Desk) -> None:
    desk.plan_together("OM", 2)
    desk.drop_plan("OM")
    assert desk.planned_together("OM") is None
    desk.plan_together("OM", 2)
    assert desk.plan_together("OM", 4) == desk.planned_together("OM")
    assert desk.planned_together("nobody") is None


@pytest.mark.parametrize("what", ["reading", "kept", "aim", "room", "light", "meter", "earlier"])
def test_once_more_is_known_a_plan_no_longer_holds(desk: Desk, what: str) -> None:
    plan = desk.plan_together("OM", 2)
    desk.shoot("OM", plan.settings[0])
    assert desk.plan_holds("OM", plan)
    if what == "reading":
        desk.read_sheet("OM", 3, SEEN)
    elif what == "kept":
        desk.read_sheet("OM", 3, Reading(by="words", regions={}), kept=False, because=["tones"])
    elif what == "aim":
        desk.set_aims("OM", {"key": Aim(placement_stops=1.0, tol_stops=0.5)})
    elif what == "room":
        desk.set_room_state("OM", "evening")
    elif what == "light":
        desk.move_light("OM", "key", distance_m=2.0)
    elif what == "meter":
        shows = Shows(f_number=11, iso=100)
        desk.meter("OM", MeterReading(region="key", lights_on=("key",), shows=shows))
    else:
        desk.read_sheet("OM", 1, SEEN)
    assert not desk.plan_holds("OM", plan)
    assert desk.planned_together("OM") == plan  # the page says that it was given up


def test_what_does_not_bear_on_the_light_leaves_a_plan(desk: Desk) -> None:
    plan = desk.plan_together("OM", 2)
    desk.set_dear("OM", "time")
    desk.set_locks_efforts("OM", [], {"stand": 3.0})
    desk.shoot("OM", plan.settings[0])
    assert desk.plan_holds("OM", plan)


def test_a_plan_of_another_version_is_no_plan(desk: Desk) -> None:
    desk._store.set_preference("together/OM", '{"stillroom": "together/0"}')
    assert desk.planned_together("OM") is None


def test_sheets_in_hand_are_worked_out_once(desk: Desk, engine: object) -> None:
    assert desk.several("OM", 2) == desk.several("OM", 2)
    asked: list[str] = engine.asked  # type: ignore[attr-defined]  # the fixture counts
    assert asked.count("advise_several") == 1
    assert asked.count("advise") == 1
