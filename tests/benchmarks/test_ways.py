"""The loop and the search are about the same candidates, and what is missed is told."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks import ways
from stillroom.services.demo import demo_beliefs, demo_book


def test_the_search_is_near_the_loop_and_a_wrong_one_is_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(ways, "SAMPLE", 20)
    ground = ways.ground_of(demo_book(), ways.Memo(demo_beliefs()))
    candidates = ways.candidates_of(ground)
    assert len(candidates) >= ways.LEAST_CANDIDATES
    assert ways.apart(ground, candidates).max() < ways.LARGEST_APART
    right = ways.looped
    monkeypatch.setattr(ways, "looped", lambda g, c, d: right(g, c, d - 1.0))
    assert ways.apart(ground, candidates).max() > ways.LARGEST_APART


def test_a_target_that_is_missed_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    slow = [("loop", 40_000.0), ("search", 1500.0), ("whole", 100.0)]
    monkeypatch.setattr(ways, "timings", lambda *_: slow)
    monkeypatch.setattr(ways, "apart", lambda *_: np.array([0.01, 0.3]))
    with pytest.raises(SystemExit) as left:
        ways.main([])
    said = str(left.value.code)
    assert said == (
        "Missed: the search took 1500 ms, wanted 1000; 27 times the loop, wanted 50; "
        "odds 0.30 apart."
    )
    assert "the loop over the search" in capsys.readouterr().out
