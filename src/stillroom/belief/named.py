"""A joint Gaussian over named terms: what is carried from sitting to sitting."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.exposure import Life, Term
from stillroom.quantity import FloatArray


@dataclass(frozen=True, slots=True)
class Belief:
    """Means and joint covariance of named terms, with how long each stays what it is.

    Attributes
    ----------
    names : tuple of str
    mean : array (terms,)
        In stops, the four terms of a tone curve in their own units.
    covariance : array (terms, terms)
    lives : tuple of Life
    day : float or None
        The day of the last sitting that is in it.
    """

    names: tuple[str, ...]
    mean: FloatArray
    covariance: FloatArray
    lives: tuple[Life, ...]
    day: float | None = None

    @staticmethod
    def empty() -> Belief:
        """Nothing believed yet."""
        return Belief((), np.zeros(0), np.zeros((0, 0)), ())

    def extended(self, terms: Iterable[Term]) -> Belief:
        """With terms not known here added, each at its own prior."""
        known = set(self.names)
        new = [t for t in terms if t.name not in known]
        if not new:
            return self
        old = len(self.names)
        size = old + len(new)
        covariance = np.zeros((size, size))
        covariance[:old, :old] = self.covariance
        covariance[range(old, size), range(old, size)] = [t.sd**2 for t in new]
        return Belief(
            self.names + tuple(t.name for t in new),
            np.concatenate([self.mean, [t.mean for t in new]]),
            covariance,
            self.lives + tuple(t.life for t in new),
            self.day,
        )

    def positions(self, names: Iterable[str]) -> NDArray[np.intp]:
        """Where the named terms stand here."""
        where = {name: i for i, name in enumerate(self.names)}
        return np.array([where[name] for name in names], dtype=np.intp)

    def keeping(self, wanted: Callable[[str, Life], bool]) -> Belief:
        """Only the terms for which `wanted(name, life)` holds."""
        both = enumerate(zip(self.names, self.lives, strict=True))
        return self._taking([i for i, (name, life) in both if wanted(name, life)])

    def with_last(self, last: Callable[[str], bool]) -> Belief:
        """The same, the terms for which `last(name)` holds behind all others."""
        return self._taking(sorted(range(len(self.names)), key=lambda i: last(self.names[i])))

    def _taking(self, order: list[int]) -> Belief:
        return Belief(
            tuple(self.names[i] for i in order),
            self.mean[order],
            self.covariance[np.ix_(order, order)],
            tuple(self.lives[i] for i in order),
            self.day,
        )

    def widened(self, extra_variance: Callable[[str], float]) -> Belief:
        """With independent variance added to each term, as time adds it."""
        added = np.diag([extra_variance(n) for n in self.names])
        return Belief(self.names, self.mean, self.covariance + added, self.lives, self.day)

    def on_day(self, day: float) -> Belief:
        """The same belief, dated."""
        return Belief(self.names, self.mean, self.covariance, self.lives, day)


def stream(sitting_id: str) -> np.random.Generator:
    """The one fixed stream of random numbers of a sitting: same book, same answer."""
    digest = hashlib.blake2b(sitting_id.encode(), digest_size=8).digest()
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest)))


def standard_normal(rng: np.random.Generator, rows: int, columns: int) -> FloatArray:
    """Normal draws whose sample mean is exactly 0 and covariance exactly 1.

    With more than half as many columns as rows the draws are left as they are.
    """
    draws = rng.standard_normal((rows, columns))
    if columns == 0 or 2 * columns > rows:
        return draws
    draws -= draws.mean(axis=0)
    root = np.linalg.cholesky(draws.T @ draws / rows)
    return np.linalg.solve(root, draws.T).T
