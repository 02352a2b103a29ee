"""Results on disk: written while a run goes on, read again, put together."""

from __future__ import annotations

import json
import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self

from benchmarks.world.records import Key, Outcome
from benchmarks.world.scenario import CAP

Waits = dict[str, list[float]]
_VERSION = 2
_PLACES = 4  # of a wait [s]


class NoResults(ValueError):
    """A file that holds no results, or results that contradict others."""


@dataclass(slots=True)
class Results:
    """What came of a run, or of several put together.

    Parameters
    ----------
    arguments : list of dict
        What was asked, run by run.
    took_s : float
        Wall time of all runs [s].
    waits_s : dict
        Waits for the tool, by what was asked [s].
    outcomes : list of Outcome
        Each (:attr:`Outcome.key`) once.
    """

    arguments: list[dict[str, Any]]
    took_s: float = 0.0
    waits_s: Waits = field(default_factory=lambda: defaultdict(list))
    outcomes: list[Outcome] = field(default_factory=list)

    def take(self, outcomes: Iterable[Outcome], waits_s: Waits) -> None:
        """Add what one task gave."""
        self.outcomes += outcomes
        for op, seconds in waits_s.items():
            self.waits_s.setdefault(op, []).extend(round(one, _PLACES) for one in seconds)

    def sort(self) -> None:
        """Put the outcomes in the order of the tables, however they came."""
        self.outcomes.sort(key=lambda one: one.order)

    @property
    def cap(self) -> int:
        """Most sheets of a sitting, of all runs."""
        return max((int(one["cap"]) for one in self.arguments), default=CAP)

    def write(self, path: Path) -> None:
        """Write everything; a reader never sees half a file."""
        said = {
            "version": _VERSION,
            "arguments": self.arguments,
            "took_s": round(self.took_s, 1),
            "waits_s": self.waits_s,
            "outcomes": [one.as_json() for one in self.outcomes],
        }
        new = path.with_name(path.name + ".new")
        new.write_text(json.dumps(said, allow_nan=False), encoding="utf-8")
        new.replace(path)

    @classmethod
    def read(cls, path: Path) -> Self:
        """Read what :meth:`write` wrote.

        Raises
        ------
        NoResults
            The file is not there, or was not written by this benchmark.
        """
        try:
            said = json.loads(path.read_text(encoding="utf-8"))
            if said["version"] != _VERSION:
                raise NoResults(f"{path} has version {said['version']}, not {_VERSION}.")
            outcomes = [Outcome.from_json(one) for one in said["outcomes"]]
            return cls(said["arguments"], said["took_s"], said["waits_s"], outcomes)
        except (OSError, KeyError, TypeError, json.JSONDecodeError) as error:
            raise NoResults(f"{path} holds no results of this benchmark: {error!r}") from error


def merged(parts: Iterable[Results]) -> Results:
    """Put runs together.

    Parameters
    ----------
    parts : iterable of Results
        Pieces of a long run.

    Returns
    -------
    Results
        Outcomes in the order of the tables.

    Raises
    ------
    NoResults
        Two runs found different sheets for the same sitting, so one of them is of another tool.
    """
    whole = Results([])
    by_key: dict[Key, Outcome] = {}
    for part in parts:
        whole.arguments += part.arguments
        whole.took_s += part.took_s
        whole.take([], part.waits_s)
        for one in part.outcomes:
            other = by_key.setdefault(one.key, one)
            if other.sheets != one.sheets or not math.isclose(other.power, one.power):
                raise NoResults(
                    f"Class {one.cls} by {one.reading}, {one.strategy}, seed {one.seed} took "
                    f"{other.sheets} sheets in one run and {one.sheets} in another: "
                    "they are not pieces of one."
                )
    whole.outcomes = list(by_key.values())
    whole.sort()
    return whole
