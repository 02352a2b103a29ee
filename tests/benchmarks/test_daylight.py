"""The library's two ways give the same light, and what is too far off or too slow is told."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks import daylight
from stillroom.light.daylight import sky_table, year_slots
from stillroom.quantity.spectra import GRADED, old330, uvcut370

PLACE = daylight.PLACES["52 N"]
PLANES = list(daylight.PLANES.values())


def test_the_loop_gives_what_one_call_gives() -> None:
    few = year_slots(PLACE, 2026).posix_s[50::5000]
    looped, at_once = (way(few, PLACE, PLANES) for way in (daylight.loop, daylight.whole))
    assert looped == pytest.approx(at_once, rel=1e-9)
    assert np.any(at_once > 0)
    assert np.any(at_once == 0)


def test_ours_is_near_the_library_and_another_lens_is_not() -> None:
    right, wrong = (
        daylight.apart_stops(PLACE, PLANES[:1], sky_table(GRADED, [lens]))
        for lens in (old330(), uvcut370())
    )
    assert right.max() < daylight.LARGEST_STOPS < wrong.max()


def test_a_target_that_is_missed_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(
        daylight,
        "timings",
        lambda *_: [
            ("a loop", 40_000.0),
            ("at once", 300.0),
            ("ours, from nothing", 10.0),
        ],
    )
    monkeypatch.setattr(daylight, "apart_stops", lambda *_: np.array([0.001, 0.03]))
    with pytest.raises(SystemExit) as left:
        daylight.main([])
    assert left.value.code
    said = capsys.readouterr().out
    assert "Missed: a loop: 4000 times ours, wanted 5000; 52 N: 0.030 stop apart" in said
