"""The timetable of the wet line as both doors print it."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from stillroom.documents.timetable import Call, Timetable
from stillroom.documents.wet import Basis, BenchStep, Process
from stillroom.services.bench import AT_TEMPERATURE

Row = tuple[str, str, str]
STATUS_WORDS = {
    "published_seen": "published, seen",
    "published_memory": "published, from memory",
    "common_practice": "common practice, no source",
    "computed": "computed",
    "own": "your own",
    "invented": "invented",
}
"""How a figure is known, in words."""
_SHORT = {
    "published_seen": "seen",
    "published_memory": "memory",
    "common_practice": "practice",
    "computed": "computed",
    "own": "own",
    "invented": "invented",
}


def minutes_text(seconds: float | None) -> str:
    """A length of time in figures, as a table has it.

    Examples
    --------
    >>> minutes_text(90), minutes_text(50), minutes_text(1200), minutes_text(None)
    ('1:30', '0:50', '20:00', '')
    """
    if seconds is None:
        return ""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def step_time(step: BenchStep) -> str:
    """How long a tray takes, and how it ends.

    Examples
    --------
    >>> from stillroom.documents.wet import BenchStep
    >>> step = BenchStep(
    ...     id="bleach",
    ...     name="Bleach",
    ...     word="Look",
    ...     voice="",
    ...     ends="eye",
    ...     seconds=90.0,
    ...     least_s=60.0,
    ...     longest_s=180.0,
    ...     lift_s=10.0,
    ...     light="red",
    ... )
    >>> step_time(step)
    'by eye, about 1:30'
    """
    if step.ends == "open":
        return "as long as it takes"
    told = minutes_text(step.seconds)
    return f"by eye, about {told}" if step.ends == "eye" else told


def step_range(step: BenchStep) -> str:
    """The range in which a tray works; empty where nothing is said of it."""
    if step.least_s is None or step.longest_s is None:
        return ""
    return f"{minutes_text(step.least_s)} to {minutes_text(step.longest_s)}"


def known_by(bases: Iterable[Basis]) -> str:
    """How the time of a step is known, in a word or two."""
    found = {basis.figure: basis.status for basis in bases}
    told = [_SHORT[found[name]] for name in ("seconds", "range") if name in found]
    if AT_TEMPERATURE in found:
        told.append("computed")
    return ", ".join(dict.fromkeys(told))


def head(table: Timetable) -> str:
    """What line it is, in one line."""
    sheets = len(table.sheets)
    many = "one sheet" if sheets == 1 else f"{sheets} sheets"
    return f"{table.process.name}, {table.temperature_c:g} °C, {many}"


def summary(table: Timetable) -> str:
    """How long it takes."""
    one = f"A sheet takes {minutes_text(table.one_sheet_s)} min to the end of its last wash"
    if len(table.sheets) == 1:
        return f"{one}."
    together = ""
    if table.process.vessel == "trays":
        together = (
            f" No two are moved within {table.spacing_s:g} s of each other; where it helps, one "
            "waits in water."
        )
    return (
        f"{one}; the last of {len(table.sheets)} is through at {minutes_text(table.finish_s)}."
        f"{together}"
    )


def call_text(call: Call) -> str:
    """What is called at one moment."""
    if call.until_s is None:
        return call.voice
    if call.is_by_eye:
        return f"{call.voice}, till about {minutes_text(call.until_s)}: look"
    return f"{call.voice}, till {minutes_text(call.until_s)}"


def agenda(table: Timetable) -> tuple[tuple[str, str, str], ...]:
    """Moment, sheet and call in order of time; what the light does stands among them."""
    rows: list[tuple[float, int, str, str]] = [
        (call.at_s, 0, call.sheet, call_text(call)) for call in table.calls
    ]
    rows += [(change.at_s, 1, "", change.sentence) for change in table.lights]
    return tuple((minutes_text(at), sheet, text) for at, _, sheet, text in sorted(rows))


def sources(table: Timetable) -> tuple[str, ...]:
    """How the figures are known, each source once."""
    found: dict[str, None] = {}
    for step in table.steps:
        for basis in step.statuses:
            if basis.source and basis.figure != AT_TEMPERATURE:
                told = (
                    f"{step.name}, {basis.figure}: {STATUS_WORDS[basis.status]}; {basis.source}."
                )
                found.setdefault(told)
    return tuple(found)


def process_rows(processes: Iterable[Process], own: Collection[str]) -> tuple[Row, ...]:
    """Id and name of each process, and whether it is one's own."""
    return tuple(
        (one.id, one.name or one.id, "your own" if one.id in own else "") for one in processes
    )
