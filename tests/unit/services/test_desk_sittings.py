"""Sittings: which is current, their aims and lights, and who sits next."""

from __future__ import annotations

from datetime import datetime

import pytest

from stillroom.documents.book import Aim, Book, Settings, Skin
from stillroom.documents.checks import check_references
from stillroom.errors import BadDocument, BadValue, NotPossible, StillroomError, UnknownName
from stillroom.services import LOOKS, Desk, FirstAnswers
from stillroom.store import BookFile


class Asked:
    asked: list[str]


def test_the_current_sitting(empty_desk: Desk, small: Book, store: BookFile) -> None:
    assert empty_desk.current_sitting_id() is None
    store.import_document(small)
    assert empty_desk.current_sitting_id() == "OM"
    earlier = small.sittings[0].model_copy(
        update={"id": "JB", "when": datetime.fromisoformat("2026-11-13T09:00:00+00:00")}
    )
    store.put_sitting(earlier)
    assert empty_desk.current_sitting_id() == "OM"
    empty_desk.finish_sitting("OM")
    assert empty_desk.current_sitting_id() == "JB"
    empty_desk.finish_sitting("JB")
    assert empty_desk.current_sitting_id() == "OM"  # all finished: the latest
    empty_desk.finish_sitting("OM", finished=False)
    assert not empty_desk.book().sittings[0].finished


def test_the_engine_is_asked_once_while_nothing_is_written(desk: Desk, engine: Asked) -> None:
    first = desk.advice("OM")
    assert desk.advice("OM") is first
    settings = Settings(f_number=8)
    assert desk.forecast("OM", settings) is desk.forecast("OM", settings)
    desk.taught("OM")
    desk.taught("OM")
    desk.kit_belief()
    assert engine.asked == ["advise", "predict", "taught"]
    desk.set_room_state("OM", "evening")
    assert desk.advice("OM") is not first


def test_where_and_since_when_it_is_saved(empty_desk: Desk) -> None:
    assert empty_desk.saved().at is None
    empty_desk.add_sitter({"initials": "J. B."})
    assert empty_desk.saved().at is not None


def test_preferences(empty_desk: Desk) -> None:
    empty_desk.set_preference("length unit", "imperial")
    assert empty_desk.preference("length unit", "metric") == "imperial"
    assert empty_desk.preference("dim", "0") == "0"
    with pytest.raises(BadValue, match="a short name"):
        empty_desk.set_preference("", "x")


def test_what_is_said_of_a_sitting(desk: Desk, store: BookFile) -> None:
    desk.set_locks_efforts("OM", ["key distance"], {"dial": 2.0})
    desk.set_dear("OM", "time")
    desk.set_room_state("OM", "evening")
    desk.set_aims("OM", {"key": Aim(density=0.6)}, "mine")
    sitting = desk.book().sittings[0]
    assert (sitting.locks, sitting.efforts, sitting.dear) == (
        ("key distance",),
        {"dial": 2.0},
        "time",
    )
    assert (sitting.room_state, sitting.look, sitting.aims) == (
        "evening",
        "mine",
        {"key": Aim(density=0.6)},
    )
    assert len(sitting.sheets) == 2
    assert len(store.history("sittings", "OM")) == 5


@pytest.mark.parametrize(
    ("aims", "sentence"),
    [
        ({}, "aims is {}: give at least 1 of them"),
        ({"key": Aim(density=3.0)}, "goes from 0.08 to 1.9; aim within it"),
        ({"key": Aim(from_sheet="JB 9")}, "called 'JB 9'; known here: OM 1, OM 2"),
    ],
)
def test_aims_that_cannot_be(desk: Desk, aims: dict[str, Aim], sentence: str) -> None:
    before = desk.book()
    with pytest.raises(StillroomError) as caught:
        desk.set_aims("OM", aims)
    assert sentence in str(caught.value)
    assert desk.book() == before


def test_dear_is_paper_or_time(desk: Desk) -> None:
    with pytest.raises(BadValue, match="dear is 'gold': choose 'paper' or 'time'"):
        desk.set_dear("OM", "gold")  # type: ignore[arg-type]  # a form may send anything


# ── Looks and sheets she loves ──────────────────────────────────────────────────────────────


@pytest.mark.parametrize("look_id", list(LOOKS))
def test_a_look_goes_with_the_set(desk: Desk, look_id: str) -> None:
    desk.set_look("OM", look_id)
    sitting = desk.book().sittings[0]
    assert sitting.look == LOOKS[look_id].name
    assert list(sitting.aims) == ["key", "shadow", "rim", "bg"]
    assert sitting.aims["bg"].tol_stops is None  # no light of its own: shown, not aimed at
    assert [sitting.aims[r].relative_to for r in sitting.aims] == [
        "skin",
        "skin",
        "paper",
        "paper",
    ]
    with pytest.raises(UnknownName, match="no look called 'noir'; known here: low, middle, high"):
        desk.set_look("OM", "noir")


def test_a_rim_is_aimed_at_only_where_there_is_one(empty_desk: Desk) -> None:
    sitting = empty_desk.first_sheet(FirstAnswers())
    empty_desk.set_look(sitting, "low")
    assert list(empty_desk.book().sittings[0].aims) == ["key", "shadow", "bg"]


def test_looks_go_from_dark_to_light_and_the_face_from_shadow_to_key() -> None:
    low, middle, high = (look.aims for look in LOOKS.values())
    for region in ("key", "shadow", "bg"):
        stops = [look[region].placement_stops or 0.0 for look in (low, middle, high)]
        assert stops == sorted(stops)
    for aims in (low, middle, high):
        assert (aims["shadow"].placement_stops or 0) < (aims["key"].placement_stops or 0)


def test_aiming_like_a_sheet(desk: Desk) -> None:
    desk.aims_like("OM", "OM 2")
    aims = desk.book().sittings[0].aims
    before = {
        "rim": Aim(placement_stops=1.67, tol_stops=0.67),
        "brim": Aim(density=1.5, tol_stops=0.67),
    }
    assert aims == {
        # the dry scan, not the wet word; against O. M.'s skin, with the tolerance it had
        "key": Aim(density=1.31, relative_to="skin", for_reflectance=0.19, tol_stops=1 / 3),
        "shadow": Aim(
            density=1.82,
            relative_to="skin",
            for_reflectance=0.19,
            tol_stops=0.5,
            eye_tol_density=0.22,
        ),
        **before,
    }
    assert desk.book().sittings[0].look == "like OM 2"


def test_aiming_like_another_sitters_sheet_keeps_what_was_as_wanted(desk: Desk) -> None:
    from stillroom.documents.book import Reading

    reading = {"regions": {"key": {"verdict": "as_wanted"}, "bg": {"density": 1.95}}}
    desk.undo_last("OM")
    desk.read_sheet("OM", 2, Reading.model_validate(reading))
    new = desk.next_sitter("OM", "T. R.", Skin(guess="dark"))
    desk.set_aims(new, {"key": Aim(placement_stops=0.0, tol_stops=0.25)})
    desk.aims_like(new, "OM 2")
    aims = desk.book().sittings[1].aims
    assert aims["key"] == Aim(
        placement_stops=0.67, relative_to="skin", for_reflectance=0.19, tol_stops=0.25
    )
    assert aims["bg"] == Aim(density=1.9)  # it read blacker than the paper's black


def test_nothing_to_aim_like(desk: Desk) -> None:
    with pytest.raises(NotPossible, match="OM 1 has no density and nothing read as wanted"):
        desk.aims_like("OM", "OM 1")
    with pytest.raises(UnknownName, match="no sheet called 'JB 1'; known here: OM 1, OM 2"):
        desk.aims_like("OM", "JB 1")


# ── Moving lights ───────────────────────────────────────────────────────────────────────────


def test_a_moved_light_is_how_the_set_stands_until_the_next_sheet(desk: Desk) -> None:
    desk.move_light("OM", "key", distance_m=0.6)
    desk.move_light("OM", "rim", on=False, modifiers=["strip"])
    sitting = desk.book().sittings[0]
    assert sitting.stands is not None
    assert sitting.stands_after == 2
    assert (sitting.stands.lights["key"].distance_m, sitting.stands.lights["key"].dial) == (
        0.6,
        -0.9,
    )
    assert sitting.stands.lights["rim"].modifiers == ("strip",)
    assert not sitting.stands.lights["rim"].on
    assert sitting.lights[0].distance_m == 0.7  # the sheets so far were made there
    desk.shoot("OM", sitting.stands, expected={})
    desk.move_light("OM", "key", distance_m=0.5)
    moved = desk.book().sittings[0]
    assert moved.stands is not None
    assert (moved.stands_after, moved.stands.lights["rim"].on) == (3, False)


@pytest.mark.parametrize(
    ("role", "distance_m", "modifiers", "sentence"),
    [
        ("hair", 1.0, None, "no light called 'hair'; known here: key, rim, room"),
        ("key", 0.01, None, "distance_m is 0.01: give a number from 0.05 to 100"),
        ("key", None, ["fog"], "no modifier .* called 'fog'"),
    ],
)
def test_a_light_that_cannot_be_moved_so(
    desk: Desk, role: str, distance_m: float | None, modifiers: list[str] | None, sentence: str
) -> None:
    before = desk.book()
    with pytest.raises(StillroomError, match=sentence):
        desk.move_light("OM", role, distance_m=distance_m, modifiers=modifiers)
    assert desk.book() == before


# ── The next sitter ─────────────────────────────────────────────────────────────────────────


def test_the_next_sitter_sits_in_the_same_light(desk: Desk) -> None:
    ids = [desk.next_sitter("OM", "K. S.", Skin(guess="light"), 5, "keep", "f-1") for _ in (1, 2)]
    assert ids == ["KS", "KS"]
    last, new = desk.book().sittings
    assert (last.finished, last.set, new.set) == (True, "pump house", "pump house")
    for name in ("lights", "paper", "camera", "lens", "framing", "room_state", "place", "dear"):
        assert getattr(new, name) == getattr(last, name)
    assert new.stands == last.sheets[1].settings.model_copy(update={"steps_pops": None})
    assert (new.sheets, new.meter_readings, new.finished) == ((), (), False)
    assert desk.book().sitters[2].holds_still_s == 5
    assert desk.current_sitting_id() == "KS"
    assert desk.shoot("KS", Settings(f_number=8), expected={}) == 1
    assert desk.book().sittings[1].sheets[0].mark == "KS 1"


def test_keeping_the_light_binds_the_face_to_the_earlier_skin(desk: Desk) -> None:
    desk.next_sitter("OM", "T. R.", Skin(guess="unknown"))
    last, new = desk.book().sittings
    assert new.aims == last.aims  # they were bound to O. M.'s skin already


def test_a_sitter_who_comes_back_keeps_what_is_known(desk: Desk) -> None:
    desk.next_sitter("OM", "TR", Skin(guess="unknown"), 4)
    assert [(s.id, s.skin.guess, s.holds_still_s) for s in desk.book().sitters] == [
        ("OM", None, 2),
        ("TR", "dark", 4),
    ]
    desk.next_sitter("TR", "t.r.x", Skin(guess="light"))
    desk.next_sitter("trx", "O. M.", Skin(actinic_reflectance=0.2))
    assert [s.id for s in desk.book().sittings] == ["OM", "TR", "trx", "OM-2"]
    assert desk.book().sitters[0].skin == Skin(actinic_reflectance=0.2)


def test_without_a_set_the_two_sittings_get_one(desk: Desk, small: Book, store: BookFile) -> None:
    store.put_sitting(small.sittings[0].model_copy(update={"set": None}))
    desk.next_sitter("OM", "K. S.", Skin(guess="light"))
    assert [s.set for s in desk.book().sittings] == ["OM", "OM"]


def test_the_one_question_has_figures(desk: Desk) -> None:
    question = desk.skin_question("OM", Skin(actinic_reflectance=0.095))
    keep, lift, same = question.options
    assert [o.tone for o in question.options] == ["keep", "lift", "same"]
    assert keep.key_placement_stops == pytest.approx(0.67 - 1)
    assert keep.light_change_stops == 0
    assert same.light_change_stops == pytest.approx(1)
    assert lift.light_change_stops == pytest.approx(0.116 / 1.574, abs=0.001)
    assert same.key_placement_stops == pytest.approx(0.67)


@pytest.mark.parametrize(
    ("initials", "tone", "sentence"),
    [
        ("?", "keep", "initials is '\\?': write one letter"),
        ("K", "glow", "choose keep, lift, same"),
    ],
)
def test_who_cannot_sit(desk: Desk, initials: str, tone: str, sentence: str) -> None:
    before = desk.book()
    with pytest.raises(BadValue, match=sentence):
        desk.next_sitter("OM", initials, Skin(guess="light"), 2, tone)  # type: ignore[arg-type]
    assert desk.book() == before


def test_a_sitting_of_ones_own(desk: Desk, small: Book) -> None:
    fields = small.sittings[0].model_dump(include={"paper", "camera", "lens", "framing", "lights"})
    assert desk.add_sitting(
        {**fields, "id": "spring", "aims": {"key": {"placement_stops": 0}}}
    ) == ("spring")
    assert desk.current_sitting_id() == "spring"
    with pytest.raises(BadDocument, match="framing takes exactly one"):
        desk.add_sitting({**fields, "framing": {}, "aims": {"key": {"density": 1.0}}})
    check_references(desk.book())
