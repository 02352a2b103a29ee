"""What is believed after more sheets than weighted draws can follow: the method, not its luck.

Against the same frozen walks as in ``test_against_nuts.py``, averaged over eight random streams.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from proof.engine import believed, exact, thawed

LONGER = [h for h in thawed() if not h["begin"]["past"] and len(h["records"]) >= 3]
STREAMS = 8


@pytest.mark.slow
@pytest.mark.parametrize("history", LONGER, ids=lambda h: h["name"])
def test_predictions_are_those_of_the_exact_posterior(history: dict[str, Any]) -> None:
    """Mean and spread under both plans, averaged over eight streams of the cloud's states."""
    found = [believed(history, f"stream {n}") for n in range(STREAMS)]
    mean = np.mean([one.mean for one in found], axis=0)
    spread = np.mean([one.sd for one in found], axis=0) / exact(history, "sd")
    assert np.abs(mean - exact(history, "mean")).max() < 0.06
    assert spread.min() > 0.9
    assert spread.max() < 1.1


def test_there_are_longer_ones_of_every_kind() -> None:
    kinds = {h["kind"] for h in LONGER}
    assert {"saturated by scan", "saturated by words"} <= kinds
    assert {"scan", "words", "patch", "spoiled", "stepped"} <= kinds
    assert max(len(h["records"]) for h in LONGER) == 12
