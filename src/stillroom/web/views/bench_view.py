"""The bench before its script runs: the timetable of one sheet, cautions, baths."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stillroom.documents.wet import Basis, Bench, BenchBath, BenchStep, Caution
from stillroom.telling.words import figure, seconds

STATUSES = {
    "published_seen": "published",
    "published_memory": "published, from memory",
    "common_practice": "common practice, no source",
    "computed": "computed",
    "own": "your own",
    "invented": "invented",
}
"""How a figure is known, as it is told."""
COLDER, WARMER = -0.5, 0.5
"""Taps of the thermometer [degrees C]."""


@dataclass(frozen=True, slots=True)
class StepRow:
    """One row of the timetable.

    Attributes
    ----------
    id : str
        Of the step.
    name : str
        What the tray is called.
    at : str
        When the sheet goes in, counted from the first developer.
    lasts, range : str
        How long it stays, and from what to what it may; the range is empty where there is none.
    ends : str
        How it ends.
    light : str
        What light the sheet bears.
    known : tuple of str
        How each figure is known.
    """

    id: str
    name: str
    at: str
    lasts: str
    range: str
    ends: str
    light: str
    known: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BenchView:
    """What the template shows."""

    plan: str
    line: str
    rows: tuple[StepRow, ...]
    total: str
    step_cautions: tuple[tuple[str, Caution], ...]
    cautions: tuple[Caution, ...]
    baths: tuple[BenchBath, ...]
    temperature: str
    colder_c: float
    warmer_c: float
    process: str
    processes: tuple[tuple[str, str, bool], ...]
    waiting: tuple[str, ...]
    control_strip: str
    """What today's strip says of the baths; empty where none are used."""


def bench_view(
    bench: Bench, processes: Iterable[tuple[str, str]], *, control_strip: str = ""
) -> BenchView:
    """Everything the page needs.

    Parameters
    ----------
    bench : Bench
        The line as it stands.
    processes : iterable of (str, str)
        Id and name of each process that can be chosen.
    control_strip : str
        What today's strip says of the baths.
    """
    rows, ends_s = _rows(bench.steps)
    return BenchView(
        plan=bench.model_dump_json(),
        line=f"{bench.process.name}, {figure(bench.temperature_c)} °C",
        rows=rows,
        total=_clock(ends_s),
        step_cautions=tuple((s.id, s.caution) for s in bench.steps if s.caution is not None),
        cautions=bench.cautions,
        baths=bench.baths,
        temperature=f"{figure(bench.temperature_c)} °C",
        colder_c=bench.temperature_c + COLDER,
        warmer_c=bench.temperature_c + WARMER,
        process=bench.process.id,
        processes=tuple((id_, name, id_ == bench.process.id) for id_, name in processes),
        waiting=tuple(sheet.mark for sheet in bench.sheets if sheet.state == "exposed"),
        control_strip=control_strip,
    )


def _rows(steps: Iterable[BenchStep]) -> tuple[tuple[StepRow, ...], float]:
    found, begins_s = [], 0.0
    for step in steps:
        found.append(
            StepRow(
                id=step.id,
                name=step.name,
                at=_clock(begins_s),
                lasts="till it is dry" if step.seconds is None else seconds(step.seconds),
                range=_range(step),
                ends=_ends(step),
                light="red only" if step.light == "red" else "any",
                known=tuple(dict.fromkeys(_known(basis) for basis in step.statuses)),
            )
        )
        begins_s += step.seconds or 0.0
    return tuple(found), begins_s


def _clock(at_s: float) -> str:
    """Minutes and seconds from the beginning.

    >>> _clock(0), _clock(75), _clock(915)
    ('0:00', '1:15', '15:15')
    """
    minutes, rest = divmod(round(at_s), 60)
    return f"{minutes}:{rest:02d}"


def _range(step: BenchStep) -> str:
    if step.least_s is None or step.longest_s is None or step.least_s == step.longest_s:
        return ""
    return f"{seconds(step.least_s)} to {seconds(step.longest_s)}"


def _ends(step: BenchStep) -> str:
    if step.ends == "eye":
        return f"by eye: {step.eye_text}" if step.eye_text else "by eye"
    return step.then


def _known(basis: Basis) -> str:
    said = f"{basis.figure}: {STATUSES[basis.status]}"
    return f"{said} ({basis.source})" if basis.source else said
