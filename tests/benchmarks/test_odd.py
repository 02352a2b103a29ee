"""The benchmark of odd sheets: its world, what each slip does there, and how it is counted."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from benchmarks.odd import NONE_OF, Outcome, main, run_seed, tables
from benchmarks.odd_world import AIMS, KINDS, World
from benchmarks.world.curve import FloatArray
from benchmarks.world.public import REGIONS
from benchmarks.world.truth import MATCHED, ROUGH

KEY, SHADOW, RIM, GROUND = range(4)


@pytest.fixture(scope="module")
def world() -> World:
    return World(MATCHED, 3)


def moved(world: World, kind: str) -> FloatArray:
    """What a slip does to every region [stops], without scatter."""
    plain = world.placements(world.best)
    return world.placements(world.best, world.slip(KINDS[kind])) - plain


def test_a_sheet_is_the_same_whatever_went_wrong_with_another() -> None:
    one, other = World(ROUGH, 5), World(ROUGH, 5)
    other.slip(KINDS["leak"])
    other.sheet(4, "words", other.slip(KINDS["batch"]))
    assert one.sheet(2, "scan") == other.sheet(2, "scan")
    assert World(ROUGH, 6).sheet(2, "scan") != one.sheet(2, "scan")


def test_each_light_is_set_for_its_own_region(world: World) -> None:
    placed = world.placements(world.best)
    for role, region in (("key", "key"), ("fill", "shadow"), ("rim", "rim")):
        off = placed[REGIONS.index(region)] - world.truth.curve.stops(AIMS[region][0])
        assert abs(off) < 0.05 or world.best[role] in (-6.0, 0.0)


def test_a_stop_moves_all_regions_by_its_two_marks(world: World) -> None:
    stops = moved(world, "stop")
    either = (2 * math.log2(5.6 / 4.5), 2 * math.log2(5.6 / 8.0))
    assert any(np.allclose(stops, one) for one in either)


def test_a_dead_head_leaves_the_others_their_light(world: World) -> None:
    key, rim = moved(world, "dead_key"), moved(world, "dead_rim")
    assert key[KEY] < -1
    assert abs(key[RIM]) < 0.2
    assert rim[RIM] < -1
    assert abs(rim[KEY]) < 0.2


def test_a_leak_lifts_the_darkest_most(world: World) -> None:
    lifted = moved(world, "leak")
    assert lifted[GROUND] > lifted[RIM] > 0


def test_pops_leave_steady_light_and_a_late_cap_leaves_the_flash(world: World) -> None:
    assert set(world.slip(KINDS["pops"]).gains) == {"key", "fill", "rim"}
    late = world.slip(KINDS["cap"]).gains
    assert set(late) == {"room"}
    assert 0 < float(late["room"]) < math.log2(6)


def test_twice_is_about_a_stop(world: World) -> None:
    assert moved(world, "twice").mean() == pytest.approx(1.0, abs=0.2)


def test_the_other_batch_has_speed_and_curve_of_its_own(world: World) -> None:
    own, other = world.kit_facts, world.other
    assert own.speed_log2 != other.speed_log2
    assert own.curve != other.curve
    assert own.full_log2_lxs_1m == other.full_log2_lxs_1m


def test_thin_blacks_change_dark_tones_only(world: World) -> None:
    lost = world.densities(4) - world.densities(4, world.slip(KINDS["thin"]))
    assert lost[GROUND] > 2 * lost[RIM] > 0


def outcome(kind: str, odd: tuple[int, ...], named: tuple[str, ...], off: float) -> Outcome:
    return Outcome(kind, "scan", 7, odd, named, {"silent": off, "answered": off / 2})


def test_what_is_counted() -> None:
    """Three sittings counted by hand; a root errs by the error of its square over twice it."""
    found = [
        outcome(NONE_OF[False], (2,), (), 0.1),
        outcome("stop", (4,), ("stop", "pops"), 0.3),
        outcome("stop", (4, 1), ("pops", "tired", "dial-key", "stop"), 0.4),
        outcome("stop", (), (), 0.5),
    ]
    text = tables(found)
    assert "called odd where nothing went wrong: 1 of 4;" in text
    assert "in which a good sheet was: 1 of 3." in text
    assert (
        "| stop | 3 | 2 | 1 | 1 | 2 | 0.31 ± 0.06 | 0.11 ± 0.03 | 0.41 ± 0.06 | 0.20 ± 0.03 |"
        in text
    )


def test_the_light_of_a_role_counts() -> None:
    kind = KINDS["dial_key"]
    assert kind.is_named("dial-key")
    assert not kind.is_named("dial-fill")
    assert KINDS["room"].is_named("room-curtains_open")


@pytest.mark.slow
def test_a_run_is_written_and_printed_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    results = tmp_path / "odd.json"
    given = ["--seeds", "1", "--first-seed", "3", "--kinds", "dead_key", "--out", str(results)]
    assert main(given) == 0
    first = capsys.readouterr().out
    assert main(["--print", str(results)]) == 0
    again = capsys.readouterr().out
    assert first.endswith(again)
    assert "| key did not fire | 1 | 1 | 1 | 1 | 1 |" in again


def test_a_file_without_results_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = tmp_path / "wrong.json"
    wrong.write_text('{"outcomes": [1]}', encoding="utf-8")
    assert main(["--print", str(wrong)]) == 2
    assert "holds no results of this benchmark" in capsys.readouterr().err


@pytest.mark.slow
def test_the_same_seed_gives_the_same() -> None:
    one, other = (run_seed("matched", 11, "words", ["stop"]) for _ in range(2))
    assert one == other
