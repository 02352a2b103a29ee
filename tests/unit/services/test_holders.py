"""Holders: the next loaded side by itself, none exposed twice, out by itself once it is read."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.book import Reading, Settings
from stillroom.documents.holders import Holder
from stillroom.errors import BadDocument, BadValue, NotPossible, OutOfRange, UnknownName
from stillroom.services.desk import Desk
from stillroom.services.holders import fits, next_side, side_title, why_none
from stillroom.services.recording import Entry, enter

sys.path.insert(0, str(Path(__file__).parents[2] / "doors"))
from sitting_book import sitting_desk  # type: ignore[import-not-found]

PAPER = "sorrel-2/7"
PLAN = Settings.model_validate(
    {"lights": {"key": {"dial": -0.6}, "rim": {"dial": 0.5}}, "f_number": 5.6}
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        for name in ("1", "2"):
            opened.add_thing("holders", {"id": name, "format_mm": (130, 180)})
        opened.add_thing("holders", {"id": "big", "format_mm": (203, 254)})
        yield opened


def states(desk: Desk) -> dict[str, str]:
    return {side.key: side.state for side in desk.holder_sides()}


def shoot(desk: Desk, **said: Any) -> int:
    return desk.shoot("OM", PLAN, expected={}, **said)


def last_side(desk: Desk) -> str | None:
    return desk.book().sittings[0].sheets[-1].holder_side


def test_sides_are_taken_in_order_and_carry_the_mark(desk: Desk) -> None:
    for key in ("2 A", "1 B"):
        desk.load_side(key, PAPER)
    assert shoot(desk) == 5
    assert last_side(desk) == "1 B"
    exposed = next(s for s in desk.holder_sides() if s.key == "1 B")
    assert (exposed.state, exposed.mark, exposed.sheet) == ("exposed", "OM 5", 5)
    shoot(desk)
    assert last_side(desk) == "2 A"
    shoot(desk)
    assert last_side(desk) is None  # by the verb alone nothing is refused: no side was named


def test_a_side_is_not_exposed_twice_and_nothing_is_lost(desk: Desk) -> None:
    desk.load_side("1 A", PAPER)
    shoot(desk)
    before = desk.book()
    with pytest.raises(NotPossible, match="Holder 1, side A holds OM 5, which is exposed"):
        shoot(desk, holder_side="1 A")
    assert desk.book() == before
    assert shoot(desk, holder_side="1 A", loaded_again=True) == 6
    assert next(s.mark for s in desk.holder_sides() if s.key == "1 A") == "OM 6"


@pytest.mark.parametrize(
    ("paper", "why"), [(None, "is empty as far as is known"), ("lovage/1", "loaded with lovage/1")]
)
def test_an_empty_side_or_another_paper_is_refused(
    desk: Desk, paper: str | None, why: str
) -> None:
    if paper:
        desk.load_side("2 B", paper)
    with pytest.raises(NotPossible, match=why):
        shoot(desk, holder_side="2 B")
    assert shoot(desk, holder_side="2 B", loaded_again=True) == 5


def test_another_paper_or_format_is_never_taken_by_itself(desk: Desk) -> None:
    desk.load_side("1 A", "lovage/1")
    desk.load_side("big A", PAPER)
    book = desk.book()
    assert next_side(book, book.sittings[0]) is None
    assert "only with lovage/1" in why_none(book, book.sittings[0])


def test_a_sheet_that_is_read_is_out_of_its_holder(desk: Desk) -> None:
    desk.load_side("1 A", PAPER)
    shoot(desk)
    assert states(desk)["1 A"] == "exposed"
    desk.read_sheet("OM", 5, Reading.model_validate({"regions": {"key": {"density": 0.6}}}))
    assert states(desk)["1 A"] == "empty"
    desk.load_side("1 A", PAPER)
    assert states(desk)["1 A"] == "loaded"


def test_a_sheet_in_the_developer_is_out_of_its_holder(desk: Desk) -> None:
    desk.load_side("1 A", PAPER)
    shoot(desk)
    begun = {
        "id": "event-begin-0001",
        "run": "run-of-om-5-0001",
        "kind": "begin",
        "at": desk.now().isoformat(),
        "sitting": "OM",
        "sheet": 5,
        "process": desk.bench().process.id,
        "temperature_c": 20.0,
    }
    answer = desk.bench_events([begun])
    assert not answer.refused
    assert states(desk)["1 A"] == "empty"


def test_all_at_once(desk: Desk) -> None:
    assert desk.load_empty("OM") == 4
    with pytest.raises(NotPossible, match="No side is empty"):
        desk.load_empty("OM")
    shoot(desk)
    shoot(desk)
    assert desk.unload_exposed() == 2
    assert sorted(states(desk).values()) == ["empty"] * 4 + ["loaded"] * 2
    with pytest.raises(NotPossible, match="No side holds an exposed sheet"):
        desk.unload_exposed()


def test_a_form_sent_twice_loads_once(desk: Desk) -> None:
    desk.load_side("1 A", PAPER, "form-1")
    desk.unload_side("1 A")
    desk.load_side("1 A", PAPER, "form-1")
    assert states(desk)["1 A"] == "empty"


def test_every_state_stays_in_the_history(desk: Desk) -> None:
    desk.load_side("1 A", PAPER)
    desk.unload_side("1 A")
    parts = [v.part for v in desk._store.history("holders", "1")]
    assert [tuple(p.holds) for p in parts if isinstance(p, Holder)] == [(), ("A",), ()]


def test_what_is_not_there_is_refused(desk: Desk) -> None:
    with pytest.raises(UnknownName, match="holder side"):
        desk.load_side("9 A")
    with pytest.raises(UnknownName, match="paper"):
        desk.load_side("1 A", "gone/1")
    with pytest.raises((BadValue, BadDocument, OutOfRange), match="sides"):
        desk.add_thing("holders", {"id": "3", "format_mm": (130, 180), "sides": 0})
    desk.load_side("1 B")
    with pytest.raises((BadValue, BadDocument), match="has no side 'B'"):
        desk.edit_thing("holders", "1", {"sides": 1})


def test_without_holders_a_sheet_is_made_as_ever(tmp_path: Path) -> None:
    with sitting_desk(tmp_path / "none") as plain:
        assert plain.shoot("OM", PLAN, expected={}) == 5
        assert plain.book().sittings[0].sheets[-1].holder_side is None


def test_a_sheet_written_down_by_command_takes_the_next_loaded_side_too(desk: Desk) -> None:
    desk.load_side("2 A", PAPER)
    for side in ("2 A", None):
        enter(desk._store, desk, "OM", Entry(as_advised=True))
        assert last_side(desk) == side


def test_names_and_formats() -> None:
    single = Holder(id="box", name="Box", format_mm=(130, 180), sides=1)
    assert side_title(single, "A") == "holder Box"
    assert fits((127, 178), (180, 130))
    assert not fits((102, 127), (130, 180))
