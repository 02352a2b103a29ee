"""The dials of a sitting: where they can stand, and where they would put the middle state."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from stillroom.quantity import FloatArray

SOLVE_ROUNDS = 12
LONGEST_STEP_STOPS = 3.0
RIDGE = 0.02


class Dials:
    """Where each source's dial can stand; one place for those without a dial or locked.

    Parameters
    ----------
    scales : sequence of FloatArray
        By source, every setting [stops below full], ascending.
    stood : FloatArray
        Where the dials stand now (sources,) [stops below full].
    """

    def __init__(self, scales: Sequence[FloatArray], stood: FloatArray) -> None:
        self.scales = scales
        self.stood = stood
        self.free = tuple(j for j, steps in enumerate(scales) if len(steps) > 1)
        self._low = np.array([s.min() for s in scales])
        self._high = np.array([s.max() for s in scales])

    def solved(
        self, centre: FloatArray, shifts: FloatArray, target: FloatArray, tol: FloatArray
    ) -> dict[tuple[int, ...], FloatArray]:
        """Dials that put the middle state on its aims, for each choice of dials to turn.

        Parameters
        ----------
        centre : FloatArray
            Light over the mid-tone's at full (regions, sources).
        shifts : FloatArray
            What each camera setting does to each source (cameras, sources) [stops].
        target : FloatArray
            Aims (regions,) [stops].
        tol : FloatArray
            Their tolerances (regions,) [stops].

        Returns
        -------
        dict
            Choice of dials to (cameras, sources), on their steps; the other dials stand.
        """
        return {
            turned: self._solve(centre, shifts, target, 1 / tol, turned)
            for turned in self._choices()
        }

    def _choices(self) -> list[tuple[int, ...]]:
        """All choices of up to four dials; of more dials none, one, two or all."""
        n = len(self.free)
        counts = [0, 1, 2, 3, 4] if n <= 4 else [0, 1, 2, n]
        return [c for k in counts if k <= n for c in combinations(self.free, k)]

    def _solve(
        self,
        centre: FloatArray,
        shifts: FloatArray,
        target: FloatArray,
        weight: FloatArray,
        turned: tuple[int, ...],
    ) -> FloatArray:
        dials = np.repeat(self.stood[None], len(shifts), axis=0)
        at = list(turned)
        if not at:
            return dials
        low, high = self._low[at], self._high[at]
        home = np.clip(self.stood[at], low, high)
        dials[:, at] = home
        for _ in range(SOLVE_ROUNDS):
            parts = centre[None] * np.exp2(dials + shifts)[:, None, :]
            total = parts.sum(axis=2)
            miss = (target - np.log2(total)) * weight
            share = parts[:, :, at] / total[:, :, None] * weight[:, None]
            normal = share.transpose(0, 2, 1) @ share + RIDGE * np.eye(len(at))
            pull = np.einsum("krs,kr->ks", share, miss) + RIDGE * (home - dials[:, at])
            step = np.linalg.solve(normal, pull[..., None])[..., 0]
            step = np.clip(step, -LONGEST_STEP_STOPS, LONGEST_STEP_STOPS)
            dials[:, at] = np.clip(dials[:, at] + step, low, high)
        return self._on_steps(dials, turned)

    def _on_steps(self, dials: FloatArray, turned: Sequence[int]) -> FloatArray:
        snapped = dials.copy()
        for j in turned:
            steps = self.scales[j]
            snapped[:, j] = steps[np.abs(dials[:, j, None] - steps).argmin(axis=1)]
        return snapped

    def around(self, dials: FloatArray, turned: Sequence[int]) -> FloatArray:
        """The dials around one setting: singles, pairs and all together; the rest stays."""
        steps = {j: float(self.scales[j][1] - self.scales[j][0]) for j in turned}
        moves: list[dict[int, float]] = [{}]
        for j in turned:
            moves += [{j: n * steps[j]} for n in (-4, -2, -1, 1, 2, 4)]
        for i, j in combinations(turned, 2):
            moves += [{i: m * steps[i], j: n * steps[j]} for m in NEAR for n in NEAR]
        if turned:
            moves += [{j: n * max(steps.values()) for j in turned} for n in NEAR]
        trials = np.repeat(dials[None], len(moves), axis=0)
        for row, move in zip(trials, moves, strict=True):
            for j, change in move.items():
                row[j] = min(max(row[j] + change, self._low[j]), self._high[j])
        return np.unique(self._on_steps(trials, turned), axis=0)

    def beside(self, dials: FloatArray, turned: Sequence[int]) -> FloatArray:
        """One setting, and those with one dial a step away (trials, sources)."""
        rows = [dials]
        for j in turned:
            steps = self.scales[j]
            at = int(np.abs(steps - dials[j]).argmin())
            for k in (at - 1, at + 1):
                if 0 <= k < len(steps):
                    row = dials.copy()
                    row[j] = steps[k]
                    rows.append(row)
        return np.array(rows)


NEAR = (-2, -1, 1, 2)
