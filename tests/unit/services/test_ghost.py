"""Second edges and the dark test, asked of a book. Everything in it is invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from stillroom.belief import exposures
from stillroom.documents.book import Book, LightSetting, RegionReading, Settings
from stillroom.documents.ghost import Ghost
from stillroom.errors import BadValue, NotPossible, OutOfRange, UnknownName
from stillroom.light.window import Opening, Outside, Spot, leak
from stillroom.paper import incident_meter_sheet_exposure_lxs
from stillroom.services import Desk
from stillroom.services.chair import card_reflectance
from stillroom.services.dark_test import dark_test, dark_test_read
from stillroom.services.ghost import Asked, GhostLight
from stillroom.services.ghost_answers import WALK_S, GhostAsked, ghost
from stillroom.services.ghost_numbers import Numbers, ghost_of_numbers, share_of_levels
from stillroom.services.stillness import held_as
from stillroom.services.worktable import Worktable, worktable
from stillroom.store import BookFile
from stillroom.telling.ghost_told import dark_read_told, dark_told, told
from stillroom.web.page import environment
from tests.unit.book_cases import book_of, head_and_shoulders

FLASH_LXS = 32 * 250 / 3.0
"""What an incident meter asks of the flash for f/5.6 on paper of EI 3: 2667 lx·s."""
KEY = {"role": "key", "kit_id": "A", "modifiers": ["box"], "distance_m": 0.9}
SET = {"lights": {"key": {"dial": -1.0}}, "f_number": 5.6, "open_s": 2.0}


def room(lx: float, sd: float) -> dict[str, Any]:
    return {"role": "room", "kind": "room", "metered_lx": lx, "metered_sd_stops": sd}


def book(
    lx: float | None = 5.0, *, sd: float = 0.5, modelling: float = 0.0, **sitting: Any
) -> Book:
    """A key in a softbox and, unless None, so much light of the room at the face."""
    lights = [KEY] if lx is None else [KEY, room(lx, sd)]
    data = head_and_shoulders(
        lights=lights,
        aims={"key": {"placement_stops": 0.3}},
        stands=SET,
        **({"room_state": "curtains closed"} | sitting),
    )
    data["kit"]["rooms"] = [{"id": "hall"}]
    if modelling:
        data["kit"]["heads"][0]["modelling_w"] = modelling
    return book_of(data)


def asked(of: Book, **said: Any) -> Ghost:
    return ghost(of, "S1", Settings.model_validate(SET), GhostAsked(**said))


# ---- what practice says, with no source --------------------------------------------------------


@pytest.mark.parametrize("open_s", [2.0, 3.0])
def test_two_or_three_seconds_by_room_light_with_a_pop_ghost(open_s: float) -> None:
    """A room one can read in, 150 lx at the face, beside a metered flash; in the dark none."""
    for lx, ghosts in ((150.0, True), (1.0, False)):
        share = share_of_levels(lx, FLASH_LXS, open_s)
        answer = ghost_of_numbers(Numbers(share, open_s, beside_stops=-3, allowed_mm=0.1))
        assert (answer.p_shows > 0.7) is ghosts
        assert (answer.p_shows < 0.05) is not ghosts


def test_five_or_six_seconds_beside_a_bright_gap_spoil_a_side_of_the_face() -> None:
    """A gap of 5 cm, the far cheek a metre from it, three stops under the flash of the near one.

    A shutter's eighth of a second spoils nothing.
    """
    gap = Opening(0.05, 1.5, sill_m=0.9, azimuth_deg=45)
    lx = leak(gap, Spot(1.0, turn_deg=20), Outside(15_000.0)).total_lx
    for open_s, spoils in ((5.0, True), (6.0, True), (0.125, False)):
        share = share_of_levels(lx, FLASH_LXS / 8, open_s)
        said = Numbers(share, open_s, light_stops=-1.5, beside_stops=-3.0, allowed_mm=0.1)
        answer = ghost_of_numbers(said)
        assert (answer.p_shows > 0.7) is spoils
        assert (share > 0.4) is spoils


# ---- the answer of a sitting--------------------------------------------------------------------


def test_the_share_is_that_of_the_engine_and_has_a_spread() -> None:
    of = book()
    answer = asked(of)
    table = worktable(of, "S1")
    settings = Settings.model_validate(SET)
    layout = table.layout(settings)
    states = table.posterior().states(layout)
    light = exposures(states, layout, table.bare_settings(settings))[:, 0]
    at = layout.regions.index("key")
    share = light[:, at, layout.roles.index("room")] / light[:, at].sum(axis=1)
    found = answer.regions[0].steady
    assert found.q50 == pytest.approx(float(np.median(share)), rel=0.15)
    assert found.q05 < 0.6 * found.q50 < found.q50 < 0.6 * found.q95


def test_a_brighter_room_and_a_longer_time_show_more() -> None:
    shown = [asked(book(lx)).p_shows for lx in (2.0, 60.0, 600.0)]
    assert shown == sorted(shown)
    assert shown[0] < 0.05
    assert shown[2] > 0.5
    longer = [asked(book(60.0), open_s=t).p_shows for t in (0.125, 1.0, 8.0)]
    assert longer == sorted(longer)


@pytest.mark.parametrize("odds", [0.7, 0.9, 0.95])
def test_the_longest_time_and_the_darkest_room_give_the_odds_asked_for(odds: float) -> None:
    of = book(200.0)
    answer = asked(of, odds=odds)
    assert answer.longest_s is not None
    assert answer.longest_s < 2.0
    assert asked(of, open_s=answer.longest_s).p_shows == pytest.approx(1 - odds, abs=0.03)
    darker = book(200.0 * 2**-answer.darker_stops)
    assert asked(darker).p_shows <= 1 - odds + 0.02
    assert asked(book(200.0 * 2 ** (0.5 - answer.darker_stops))).p_shows > 1 - odds
    assert [way.kind for way in answer.ways] == ["shorter", "darker", "support"]
    assert all(way.p_shows < answer.p_shows for way in answer.ways)


def test_a_head_rest_helps_and_a_card_has_no_second_edge() -> None:
    assert asked(book(60.0), support="head_rest").p_shows < asked(book(60.0)).p_shows
    of = book(60.0)
    card = of.sitters[0].model_copy(update={"initials": "card"})
    of = of.model_copy(update={"sitters": (card,)})
    assert asked(of).p_shows == 0
    assert told(asked(of)).line.startswith("Second edge: none to expect")


def test_a_hand_on_a_cap_is_open_longer_than_planned() -> None:
    of = book(5.0, holding={"fires": "cap_in_light"})
    answer = asked(of, open_s=0.125)
    assert (answer.open_s, answer.planned_s, answer.open_sd_s) == (2.0, 0.125, 0.2)
    assert "shortest by hand" in answer.sentence
    assert answer.p_shows > asked(of, open_s=0.125, fires="sync_shutter").p_shows
    short = next(way for way in asked(book(400.0), fires="cap_in_dark").ways if way.open_s)
    assert "take a shutter" in short.text


def test_modelling_lamps_are_steady_light_through_the_same_fronts() -> None:
    """250 W at 15 lm/W against 1000 W·s at 40 lm·s/W·s, a stop below full, open 2 s.

    The same reflector, cloth and distance for both, so that only these and the colour count.
    """
    of = book(None, modelling=250.0)
    settings = Settings.model_validate(SET)
    table = worktable(of, "S1")
    light = GhostLight(table, settings, table.posterior(), held_as(of, of.sittings[0]), Asked())
    lamps, whole = light.modelling(2.0), light.parts(2.0)[1]
    colour = -1.229 - light.layout.sitting.sources[0].actinic_stops  # tungsten, from the tables
    by_hand = 250 * 15 * 2 / (1000 * 40 / 2) * 2 ** (colour - 0.1)
    at = light.layout.regions.index("key")
    assert float(np.median(lamps[:, at] / whole[:, at])) == pytest.approx(by_hand, rel=0.25)
    with_them = asked(of, modelling=True)
    assert with_them.has_steady
    assert with_them.modelling is not None
    assert with_them.p_shows > 0.25
    assert asked(of).p_shows == 0
    assert with_them.ways[0].kind == "modelling_off"
    assert "left on" in " ".join(told(asked(of)).notes)


def test_who_walks_in_and_out_lets_the_ground_shine_through() -> None:
    own = {"is_self_portrait": True, "fires": "cap_in_dark"}
    of = book(40.0, holding=own)
    answer = asked(of, open_s=1.0)
    assert answer.walk is not None
    assert answer.walk.away_s == WALK_S
    assert answer.open_s == 1.0 + WALK_S
    quick, slow = (asked(of, open_s=1.0, away_s=t).walk for t in (1.0, 20.0))
    assert quick is not None
    assert slow is not None
    assert quick.p_shows_through < slow.p_shows_through
    assert asked(book(40.0, holding={**own, "fires": "remote"})).walk is None


@pytest.mark.parametrize("wanted", [0.1, 0.3, 0.5])
def test_mixing_on_purpose_gives_the_share_asked_for(wanted: float) -> None:
    of = book(200.0)
    mixing = asked(of, mix=wanted).mixing
    assert mixing is not None
    assert mixing.open_s is not None
    found = asked(of, open_s=mixing.open_s).regions[0].steady.mean
    assert found == pytest.approx(wanted, abs=0.02)
    dark = asked(book(0.01), mix=0.5)
    assert dark.mixing is not None
    assert dark.mixing.open_s is None
    assert "change a light" in " ".join(told(dark).notes)


def test_other_states_of_the_room_are_told() -> None:
    answer = asked(book(5.0))
    odds = {x.room_state: x.p_shows for x in answer.states}
    assert set(odds) == {"curtains open", "evening"}
    assert odds["curtains open"] > answer.p_shows
    assert asked(book(5.0), room_state="curtains open").p_shows == odds["curtains open"]


def test_without_flash_or_without_steady_light_nothing_is_doubled() -> None:
    off = Settings(f_number=5.6, open_s=2.0, lights={"key": LightSetting(on=False)})
    by_room = ghost(book(60.0), "S1", off)
    assert (by_room.p_shows, by_room.has_flash) == (0.0, False)
    assert "No flash" in told(by_room).line
    nothing = asked(book(None))
    assert (nothing.p_shows, nothing.has_steady, nothing.longest_s) == (0.0, False, None)
    assert "dark test" in told(nothing).dark_test


def test_no_light_at_all_and_times_without_sense_are_refused_with_what_would_do() -> None:
    off = Settings(f_number=5.6, lights={"key": LightSetting(on=False)})
    with pytest.raises(BadValue, match="switch at least one light on"):
        ghost(book(None), "S1", off)
    for open_s in (0.0, 3600.0):
        with pytest.raises(BadValue, match=r"^open time is .*no second edge shows 9 in 10 up to"):
            asked(book(5.0), open_s=open_s)
    for wrong in ({"odds": 1.0}, {"mix": 0.0}, {"away_s": -1.0}):
        with pytest.raises(OutOfRange):
            asked(book(5.0), **wrong)
    with pytest.raises(UnknownName):
        ghost(book(), "nobody", off)


def test_numbers_without_flash_or_without_a_safe_time_promise_nothing() -> None:
    """All light steady: nothing is drawn twice. Edges told from 0.001 mm: no time is short."""
    alone = ghost_of_numbers(Numbers(1.0, 1.0))
    assert (alone.p_shows, alone.has_flash) == (0.0, False)
    assert told(alone).line.startswith("No flash is on")
    never = ghost_of_numbers(Numbers(0.9, 0.01, allowed_mm=0.001))
    assert never.p_shows > 0.9
    assert never.longest_s == 0
    assert "no time is short enough" in told(never).line
    assert "shorter" not in [way.kind for way in never.ways]


# ---- the dark test -----------------------------------------------------------------------------


@pytest.fixture
def desk(tmp_path: Path) -> Any:
    from datetime import UTC, datetime

    from stillroom.store import open_book

    def clock() -> datetime:
        return datetime(2026, 11, 14, 11, tzinfo=UTC)

    def begun(of: Book) -> Desk:
        store: BookFile = open_book(tmp_path / "book.db", clock=clock)
        store.import_document(of)
        return Desk(store, clock)

    return begun


def test_black_is_a_bound_that_the_one_engine_learns(desk: Any) -> None:
    at = desk(book(20.0))
    before = at.ghost("S1", GhostAsked(open_s=2.0))
    stood = at.forecast("S1").settings
    number = at.make_dark_test("S1", "form", open_s=2.0)
    assert at.make_dark_test("S1", "form", open_s=2.0) == number
    sitting = at.book().sittings[0]
    sheet = sitting.sheets[-1]
    assert sheet.settings.open_s == 32.0
    assert not sheet.settings.lights["key"].on
    assert card_reflectance(sheet) == 0.85
    assert at.forecast("S1").settings == stood
    said = at.read_dark_test("S1", number, verdict="black")
    assert said.is_bound
    assert said.after.share.q95 < 0.7 * said.before.share.q95
    assert said.after.share.q50 < said.before.share.q50
    assert said.after.under_stops > said.before.under_stops
    assert at.ghost("S1", GhostAsked(open_s=2.0)).p_shows < before.p_shows
    assert dark_read_told(said).line == said.sentence


@pytest.mark.parametrize("times", [4.0, 16.0, 64.0])
def test_what_is_proved_is_proved_for_the_time_it_was_planned_for(desk: Any, times: float) -> None:
    at = desk(book(5.0))
    number = at.make_dark_test("S1", open_s=2.0, times=times)
    sheet = at.book().sittings[0].sheets[-1]
    assert sheet.settings.open_s == 2.0 * times
    assert card_reflectance(sheet) == 0.85
    said = at.read_dark_test("S1", number, verdict="black")
    assert "open 2 s, the room light" in said.sentence


@pytest.mark.parametrize(("lx", "open_s"), [(2.0, 1.0), (5.0, 8.0), (200.0, 2.0)])
def test_light_that_grew_by_what_is_proved_still_shows_nothing_19_in_20(
    lx: float, open_s: float
) -> None:
    """A place lit brighter by the margin, and a head that moves far: asked as any sheet is."""
    of = book(lx)
    table, settings = worktable(of, "S1"), Settings.model_validate(SET)
    held = replace(held_as(of, of.sittings[0]), allowed_mm=1e-3)
    light = GhostLight(table, settings, table.posterior(), held, Asked())
    under = light.under_stops(open_s, "key", 0.95)
    assert light.darker(-under).p_shows(open_s, "key") <= 0.05
    assert light.darker(-under - 0.5).p_shows(open_s, "key") > 0.05


def test_grey_teaches_the_level_itself(desk: Any, tmp_path: Path) -> None:
    """A grey card tells its light from both sides, on a paper that is known.

    Two truths, made with the engine's own chain, lie two stops apart: a stop below and a stop
    above the guess. What is learned lies nearly as far apart, for the guess counts too.
    """
    learned = []
    for shift in (-1.0, 1.0):
        of = book(60.0, sd=1.5)
        known = of.papers[0].model_copy(update={"ei_sd_stops": 0.05})
        (tmp_path / "book.db").unlink(missing_ok=True)
        at = desk(of.model_copy(update={"papers": (known,)}))
        number = at.make_dark_test("S1", open_s=2.0)
        table = Worktable(at.book(), "S1")
        sheet = table.sitting.sheets[-1]
        layout = table.layout(sheet.settings, number=number)
        states = table.posterior(number).states(layout)
        light = exposures(states, layout, table.bare_settings(sheet.settings))[:, 0]
        region = layout.regions.index("key")
        middle = float(np.median(np.log2(light[:, region].sum(axis=1))))
        tones = states.curves.density(np.full((len(light), 1), middle + shift))
        said = at.read_dark_test("S1", number, density=round(float(np.median(tones)), 2))
        assert not said.is_bound
        was, now = (np.log2(x.share.q95 / x.share.q05) for x in (said.before, said.after))
        assert now < 0.7 * was
        learned.append(float(np.log2(said.after.share.q50 / said.before.share.q50)))
    assert 1.4 < learned[1] - learned[0] < 2.6


def test_the_card_is_not_taken_for_the_sitter(desk: Any) -> None:
    """What a white card shows must not make the sitter's skin white."""
    of = book(60.0)
    at = desk(of)
    number = at.make_dark_test("S1", open_s=2.0)
    skin = "shared/skin of OM"

    def skin_now() -> tuple[float, float]:
        table = Worktable(at.book(), "S1")
        belief = table.posterior().belief
        i = belief.names.index(skin)
        return float(belief.mean[i]), float(belief.covariance[i, i])

    before = skin_now()
    at.read_dark_test("S1", number, verdict="bare_paper")
    assert skin_now() == pytest.approx(before, abs=0.03)


def test_where_no_light_of_the_room_stands_one_is_written_in_as_a_guess(desk: Any) -> None:
    at = desk(book(None))
    plan = at.dark_test("S1", open_s=2.0)
    assert not plan.has_steady
    assert "writes one in" in " ".join(dark_told(plan).notes)
    number = at.make_dark_test("S1", open_s=2.0)
    assert [x.role for x in at.book().sittings[0].lights] == ["key", "room"]
    said = at.read_dark_test("S1", number, verdict="black")
    assert said.after.under_stops > said.before.under_stops


def test_the_plan_tells_what_each_outcome_would_prove() -> None:
    of = book(5.0)
    plan = dark_test(
        of, "S1", Settings.model_validate(SET), of.sittings[0].when, open_s=2.0, times=16
    )
    assert plan.open_s == 32.0
    assert sum(x.p for x in plan.sees) == pytest.approx(1.0)
    brighter = dark_test(
        book(60.0), "S1", Settings.model_validate(SET), of.sittings[0].when, open_s=2.0
    )
    assert brighter.sees[0].p < plan.sees[0].p
    assert brighter.sees[2].p > plan.sees[2].p


def test_dark_tests_without_sense_are_refused(desk: Any) -> None:
    at = desk(book(5.0))
    for wrong in ({"times": 1.0}, {"card": 0.0}, {"open_s": 0.0}):
        with pytest.raises(OutOfRange):
            at.dark_test("S1", **wrong)
    with pytest.raises(BadValue, match=r"would take 9600 s; give fewer than 6 times"):
        at.dark_test("S1", open_s=600.0)
    with pytest.raises(UnknownName):
        at.read_dark_test("S1", 7, verdict="black")
    number = at.make_dark_test("S1")
    with pytest.raises(NotPossible, match="not read yet"):
        dark_test_read(at.book(), "S1", number)
    with pytest.raises(BadValue, match="one of them"):
        at.read_dark_test("S1", number)
    with pytest.raises(BadValue, match="black or bare_paper"):
        at.read_dark_test("S1", number, verdict="as_wanted")
    plain = at.shoot("S1", at.advice("S1").settings)
    with pytest.raises(NotPossible, match="no dark test"):
        at.read_dark_test("S1", plain, verdict="black")
    assert RegionReading(verdict="black").verdict == "black"


# ---- as it is told -----------------------------------------------------------------------------


def test_the_partial_holds_line_ways_and_offer() -> None:
    view = told(asked(book(20.0)))
    page = environment().get_template("parts/ghost.html").render(ghost=view)
    assert view.line in page
    assert all(way in page for way in view.ways)
    assert "%" not in page.replace("{%", "")
    assert view.dark_test in page


def test_the_mid_tone_of_the_meter_is_what_the_flash_was_metered_for() -> None:
    """2667 lx·s at the sitter are what the incident equation asks for: B-15 of the flash table."""
    assert pytest.approx(2666.7, rel=0.005) == FLASH_LXS
    assert incident_meter_sheet_exposure_lxs(3.0) > 0
