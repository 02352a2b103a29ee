"""A document and its bare ledger are one engine; the fold over sittings is one truth."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from stillroom.advice import Table
from stillroom.belief import Belief, LaidSheet, Posterior, opened
from stillroom.documents.bare_ledger import LedgerDocument, ledger_document
from stillroom.documents.book import Settings
from stillroom.documents.read import read_as
from stillroom.exposure import BareSettings, BareSheet, Layout, Life
from stillroom.services.loop import LoopSession
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned, small_data


def everything() -> dict[str, Any]:
    """A sitting with heads on each kind of dial, a lamp, a window, the room, and an own region."""
    data = small_data()
    sitting = data["sittings"][0]
    sitting["lights"] += [
        {"role": "fill", "kit_id": "D", "distance_m": 1.6, "geo": "left"},
        {"role": "ground", "kind": "lamp", "kit_id": "flood", "modifiers": ["strip"],
         "distance_m": 2.0},
        {"role": "daylight", "kind": "daylight", "metered_lx": 900, "metered_sd_stops": 0.5},
    ]  # fmt: skip
    sitting["sitters"] = ["TR"]
    sitting["sheets"] = []
    sitting["stands"]["lights"]["fill"] = {"dial": 150}
    return data


def written_and_read(layout: Layout) -> Layout:
    """The layout's bare ledger, written as JSON and parsed as if it came from outside."""
    text = ledger_document(layout.kit, layout.sitting).model_dump_json()
    ledger = read_as(LedgerDocument, text)
    return Layout(ledger.kit.bare(), ledger.sitting.bare())


@pytest.mark.parametrize("data", [small_data(), everything(), head_and_shoulders()])
def test_a_document_and_its_bare_ledger_forecast_alike(data: dict[str, Any]) -> None:
    """The promise of one engine: equal to 1e-9."""
    for sheet in data["sittings"][0].get("sheets", []):
        sheet.pop("what_else_moved", None)  # a bare ledger says nothing of it
    table = Worktable(book_of(data), data["sittings"][0]["id"])
    compiled = table.layout(table.standing())
    spoken = written_and_read(compiled).at_sheet(compiled.nth)
    made = table.bare_settings(table.standing())
    sheets = [
        BareSheet(made, laid.sheet.reading, laid.sheet.kept)
        for laid in table.laid_sheets()
        if laid.sheet.settings.steps_pops is None
    ]
    settings = BareSettings(made.dial_stops, made.f_number, 3, made.seconds)
    odds = []
    for layout in (compiled, spoken):
        posterior = Posterior(Belief.empty(), layout, [LaidSheet(layout, s) for s in sheets])
        odds.append(Table(posterior.states(), layout).odds(settings))
    assert odds[0].p_keeper == pytest.approx(odds[1].p_keeper, abs=1e-9)
    assert odds[0].regions.keys() == odds[1].regions.keys() != set()
    for region, a in odds[0].regions.items():
        b = odds[1].regions[region]
        assert [a.mean, a.sd, *a.quantiles, a.p_lands] == pytest.approx(
            [b.mean, b.sd, *b.quantiles, b.p_lands], abs=1e-9
        )


def test_the_loop_says_of_a_written_ledger_what_the_document_is_told() -> None:
    """Whole way round: document, bare ledger, `begin`, `forecast`; figures have six places."""
    from stillroom.services.plan import predict

    data = everything()
    book = book_of(data)
    table = Worktable(book, "OM")
    layout = table.layout(table.standing())
    written = ledger_document(layout.kit, layout.sitting).model_dump(mode="json")
    made = table.bare_settings(table.standing())
    data["sittings"][0]["meter_readings"] = []  # the ledger holds none
    session = LoopSession()
    begin = {"op": "begin", "kit": written["kit"], "sitting": written["sitting"]}
    assert session.answer(json.dumps(begin)) == {"ok": True}
    said = session.answer(
        json.dumps(
            {
                "op": "forecast",
                "settings": {
                    "dial_stops": dict(made.dial_stops),
                    "f_number": made.f_number,
                    "pops": made.pops,
                    "seconds": made.seconds,
                },
            }
        )
    )["forecast"]
    told = predict(book_of(data), "OM")
    assert told.p_keeper == pytest.approx(said["p_keeper"], abs=2e-6)
    for region in ("key", "shadow", "rim", "brim"):
        spread, aim = told.regions[region].placement_stops, told.regions[region].aim
        assert aim is not None
        assert spread.mean - aim.placement_stops == pytest.approx(
            said[region]["dev_mean"], abs=2e-6
        )


def test_a_mark_is_the_exact_stop_and_the_widest_its_true_number() -> None:
    table = Worktable(book_of(small_data()), "OM")
    assert table.exact(5.6) == 5.4
    assert table.exact(11) == pytest.approx(2**3.5)
    assert table.exact(8.0) == 8


def test_what_was_really_made_lies_over_what_was_planned() -> None:
    table = Worktable(book_of(small_data()), "OM")
    laid = table.laid_sheets()
    assert laid[1].sheet.settings.f_number == 8  # planned at 5.6, made at 8
    assert laid[1].sheet.settings.dial_stops == {"key": -0.9, "rim": pytest.approx(-1.0)}
    assert "rim" not in laid[0].layout.roles  # it was off on the stepped sheet
    assert laid[0].sheet.settings.steps_pops == (1, 2, 4, 8)


def test_held_open_gives_the_steady_light_the_whole_time_once() -> None:
    data = head_and_shoulders(
        stands={"f_number": 5.6, "pops": 4, "open_s": 2.0, "opening": "held_open"}
    )
    table = Worktable(book_of(data), "S1")
    bare = table.bare_settings(table.standing())
    assert bare.seconds * bare.pops == pytest.approx(2.0)
    again = table.document_settings(bare, table.standing())
    assert (again.open_s, again.pops) == (2.0, 4)


def test_settings_come_back_from_the_engine_as_they_went_in() -> None:
    data = everything()
    table = Worktable(book_of(data), "OM")
    stands = table.standing()
    assert table.document_settings(table.bare_settings(stands), stands) == stands


def test_a_moved_light_is_a_new_layout_and_keeps_what_is_believed() -> None:
    data = head_and_shoulders()
    table = Worktable(book_of(data), "S1")
    stands = table.standing()
    near = stands.model_copy(
        update={
            "lights": stands.lights
            | {"key": stands.lights["key"].model_copy(update={"distance_m": 0.45})}
        }
    )
    a, b = table.layout(stands), table.layout(near)
    assert a is not b
    assert table.layout(near) is b  # made once
    assert a.index.keys() == b.index.keys()
    lines = {line.label: line.stops for line in b.lines(table.bare_settings(near), "key", "key")}
    assert lines["distance"] == pytest.approx(-2 * np.log2(0.45))
    # a square face of 0.9 m at 0.45 m falls short of the inverse square by far more
    assert lines["near a large face"] < -1.0


# A dial as its head shows it, and the stops of its last three settings, worked out by hand.
DIALS: list[tuple[dict[str, Any], list[float]]] = [
    ({"kind": "stops", "min": -6, "max": 0, "step": 0.1}, [-0.2, -0.1, 0.0]),
    ({"kind": "stops", "min": -5.3, "max": 0, "step": 1 / 3}, [-2 / 3, -1 / 3, 0.0]),
    ({"kind": "stops", "min": -6.05, "max": -0.05, "step": 0.1}, [-0.25, -0.15, -0.05]),
    ({"kind": "fraction", "min": 1 / 64, "max": 1, "step": 1 / 3}, [-2 / 3, -1 / 3, 0.0]),
    ({"kind": "fraction", "min": 0.1, "max": 0.75, "step": 0.5},
     [math.log2(0.75) - 1, math.log2(0.75) - 0.5, math.log2(0.75)]),
    ({"kind": "energy", "min": 75, "max": 900, "step": 25},
     [math.log2(0.85), math.log2(0.875), math.log2(0.9)]),
]  # fmt: skip


@pytest.mark.parametrize(("dial", "last"), DIALS)
def test_every_setting_of_a_dial_comes_back_as_it_was_set(
    dial: dict[str, Any], last: list[float]
) -> None:
    """Stops to what the dial shows and back; six places are written, hence the tolerance."""
    data = head_and_shoulders()
    data["kit"]["heads"][0]["dial"] = dial
    table = Worktable(book_of(data), "S1")
    stands = table.standing()
    layout = table.layout(stands)
    steps = layout.dials["key"].steps()
    assert steps[-3:].tolist() == pytest.approx(last, abs=1e-9)
    assert written_and_read(layout).dials["key"].steps().tolist() == steps.tolist()
    for stops in steps:
        bare = replace(table.bare_settings(stands), dial_stops={"key": float(stops), "fill": 0.0})
        shown = table.document_settings(bare, stands)
        reading = shown.lights["key"].dial
        assert reading is not None
        assert dial["min"] - 1e-6 <= reading <= dial["max"] + 1e-6
        assert table.bare_settings(shown).dial_stops["key"] == pytest.approx(stops, abs=5e-5)


def chains(table: Worktable, settings: Settings) -> dict[tuple[str, str], float]:
    """Each source at each region at the prior means [stops]."""
    layout = table.layout(settings)
    rows = layout.rows(table.bare_settings(settings))
    found = (rows.c + rows.a @ np.array([t.mean for t in layout.terms]))[0]
    return {
        (role, region): float(found[i, j])
        for i, region in enumerate(layout.regions)
        for j, role in enumerate(layout.roles)
    }


def test_what_is_changed_at_one_light_changes_its_light_as_physics_says() -> None:
    """Inverse square and the square face at its distance, losses added; closed forms.

    The face of a square of side 2a seen from its axis at h gives, against a small source,
    (2 share atan share) h^2 / (2 a^2) with share = a / sqrt(a^2 + h^2).
    """

    def short_of_small(h: float, a: float = 0.45) -> float:
        share = a / math.hypot(a, h)
        return math.log2(2 * share * math.atan(share) * h**2 / (2 * a**2))

    table = Worktable(book_of(head_and_shoulders()), "S1")
    stands = table.standing()
    before = chains(table, stands)

    def moved(**key: Any) -> dict[tuple[str, str], float]:
        setting = stands.lights["key"].model_copy(update=key)
        lights = stands.lights | {"key": setting}
        after = chains(table, stands.model_copy(update={"lights": lights}))
        for chain, stops in after.items():
            if chain[0] != "key":
                assert stops == pytest.approx(before[chain], abs=1e-12)
        return after

    for region in ("key", "shadow", "bg"):
        chain = ("key", region)
        far = moved(distance_m=1.8)[chain] - before[chain]
        assert far == pytest.approx(-2 + short_of_small(1.8) - short_of_small(0.9), abs=0.01)
        gridded = moved(modifiers=("box", "grid"))[chain] - before[chain]
        assert gridded == pytest.approx(-0.75, abs=1e-9)  # its loss; the face stays the box's
        plain = moved(modifiers=())[chain] - before[chain]
        assert plain == pytest.approx(2.5 - short_of_small(0.9), abs=0.01)
    assert {role for role, _ in moved(on=False)} == {"fill", "room"}


# ---- the fold ------------------------------------------------------------------------------


class Memo:
    """Remembers in memory, and counts."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}
        self.hits = 0

    def get(self, key: str) -> bytes | None:
        self.hits += key in self.kept
        return self.kept.get(key)

    def put(self, key: str, value: bytes) -> None:
        self.kept[key] = value


def three_sittings() -> dict[str, Any]:
    data = head_and_shoulders()
    first = data["sittings"][0]
    first["sheets"] = [scanned(1, 0.9, 1.5), scanned(2, 0.6, 1.3, dials={"key": 0.0, "fill": 0.0})]
    for n in (2, 3):
        later = json.loads(json.dumps(first))
        later |= {"id": f"S{n}", "when": f"2026-11-{14 + 3 * n}T10:00:00+00:00"}
        later["sheets"] = [scanned(1, 0.8, 1.4)] if n == 2 else []
        data["sittings"].append(later)
    return data


def same(a: Belief, b: Belief) -> bool:
    return (
        (a.names, a.lives, a.day) == (b.names, b.lives, b.day)
        and bool((a.mean == b.mean).all())
        and bool((a.covariance == b.covariance).all())
    )


def test_a_remembered_belief_is_the_recomputed_one_bit_for_bit() -> None:
    book = book_of(three_sittings())
    memo = Memo()
    first = Worktable(book, "S3", memo=memo).before()
    assert len(memo.kept) == 2
    memo.hits = 0
    second = Worktable(book, "S3", memo=memo).before()
    assert memo.hits == 1
    assert same(first, second)
    assert same(first, Worktable(book, "S3").before())


def test_a_memo_that_lost_or_spoiled_something_changes_nothing() -> None:
    book = book_of(three_sittings())
    memo = Memo()
    wanted = Worktable(book, "S3", memo=memo).before()
    memo.kept = dict.fromkeys(memo.kept, b"not a belief")
    assert same(Worktable(book, "S3", memo=memo).before(), wanted)
    memo.kept = {k: v[: len(v) // 2] for k, v in memo.kept.items()}
    assert same(Worktable(book, "S3", memo=memo).before(), wanted)


def test_correcting_an_old_sheet_recomputes_forward() -> None:
    data = three_sittings()
    memo = Memo()
    old = Worktable(book_of(data), "S3", memo=memo).before()
    data["sittings"][0]["sheets"][0]["readings"][0]["regions"]["key"]["density"] = 0.7
    corrected = Worktable(book_of(data), "S3", memo=memo).before()
    assert not same(old, corrected)
    assert same(corrected, Worktable(book_of(data), "S3").before())


def test_a_sitting_does_not_learn_from_what_came_after_it() -> None:
    data = three_sittings()
    before = Worktable(book_of(data), "S2").before()
    data["sittings"][2]["sheets"] = [scanned(1, 0.3, 0.9)]
    assert same(Worktable(book_of(data), "S2").before(), before)
    data["sittings"].reverse()  # order in the file means nothing, the moments do
    assert same(Worktable(book_of(data), "S2").before(), before)


@pytest.mark.parametrize(
    ("share", "days", "wanted"),
    [
        (0.05, 3.0, 0.12**2 * 3.0),  # at 0.12 stop per root day
        (0.05, 180.0, None),  # a walk from day to day would have it lost: 1.6 stops
        (1.0, 180.0, 0.0),  # known worse than that from the start, and not a whit worse by time
    ],
)
def test_a_batch_drifts_from_day_to_day_and_is_not_lost_in_half_a_year(
    share: float, days: float, wanted: float | None
) -> None:
    """Common practice, no source: a batch kept cool and dark moves by less than half a stop."""
    table = Worktable(book_of(three_sittings()), "S3")
    layout = table.layout(table.standing())
    # The baths of the day were others.
    before = table.before().keeping(lambda _, life: life is not Life.DAY)
    before = replace(before, covariance=share * before.covariance, day=layout.sitting.day - days)
    now = opened(before, layout)
    at = before.names.index("paper/sorrel/7/speed")
    known, then = before.covariance[at, at], now.covariance[at, at]
    if wanted is None:
        assert math.sqrt(then) == pytest.approx(0.4)
    else:
        assert then - known == pytest.approx(wanted)
    assert np.count_nonzero(now.covariance != before.covariance) == (wanted != 0.0)
