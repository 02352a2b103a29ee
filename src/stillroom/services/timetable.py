"""A timetable of the wet line: when each sheet is where, and what light it bears."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.documents.timetable import BySign, Call, LampTime, LightChange, Timetable
from stillroom.documents.wet import BenchStep
from stillroom.errors import OutOfRange, UnknownName
from stillroom.services.bench import Line
from stillroom.services.bench_words import seconds_in_words
from stillroom.wetline import (
    FACTORS,
    SAFELIGHT,
    TEST_MIN,
    Visit,
    bulb_lx,
    factorial_s,
    gate,
    light_time,
    total_s,
    visits,
)
from stillroom.wetline.first_development import Developer
from stillroom.wetline.spacing import MOST_SHEETS


@dataclass(frozen=True, slots=True)
class Lamp:
    """The lamp over the sheet.

    Attributes
    ----------
    flux_lm : float
        Of the bulb [lm].
    distance_m : float
        From bulb to sheet [m].
    is_warm : bool
        A filament or a warm lamp.
    """

    flux_lm: float
    distance_m: float
    is_warm: bool = False


def timetable(
    line: Line,
    sheets: int | Sequence[str] = 1,
    *,
    paper: doc.Paper | None = None,
    lamp: Lamp | None = None,
    first_sign_s: float | None = None,
    developer: str = "mq",
) -> Timetable:
    """When each of several sheets is where.

    Parameters
    ----------
    line : Line
        A process at its temperature.
    sheets : int or sequence of str
        How many, or their marks.
    paper : Paper, optional
        For what it sees; graded unless given.
    lamp : Lamp, optional
        For the time under it.
    first_sign_s : float, optional
        From the developer to the first sign of black; then the first development is also told
        without a thermometer [s].
    developer : str
        Which one, for that.

    Returns
    -------
    Timetable

    Raises
    ------
    UnknownName
        If there is no such developer.
    OutOfRange
        If there is no sheet, or more than 40.
    """
    if isinstance(sheets, int):
        if not 1 <= sheets <= MOST_SHEETS:
            raise OutOfRange("sheets", sheets, 1, MOST_SHEETS)
        sheets = [str(n + 1) for n in range(sheets)]
    load_s = line.process.load_s
    seen = visits(
        line.timed, len(sheets), one_vessel=line.process.vessel != "trays", load_s=load_s
    )
    first = {visit.sheet: visit.begins_s for visit in reversed(seen)}
    return Timetable(
        process=line.bench_process,
        temperature_c=line.temperature_c,
        sheets=tuple(sheets),
        starts_s=tuple(first[n] for n in range(len(sheets))),
        one_sheet_s=total_s(line.timed, load_s=load_s),
        finish_s=max(visit.ends_s for visit in seen),
        steps=line.steps,
        calls=tuple(_call(visit, sheets, line.steps) for visit in seen),
        lights=_lights(seen, sheets),
        safelight=_safelight(paper),
        cautions=line.cautions,
        lamp=None if lamp is None else _lamp(lamp),
        by_sign=None if first_sign_s is None else _by_sign(first_sign_s, developer),
    )


def _call(visit: Visit, sheets: Sequence[str], steps: Sequence[BenchStep]) -> Call:
    step = next(one for one in steps if one.id == visit.step)
    return Call(
        at_s=visit.begins_s,
        sheet=sheets[visit.sheet],
        step=step.id,
        voice=step.voice,
        until_s=None if step.ends == "open" else visit.ends_s,
        is_by_eye=step.ends == "eye",
    )


def _lights(seen: Sequence[Visit], sheets: Sequence[str]) -> tuple[LightChange, ...]:
    """Every moment at which what the whole bench bears becomes another."""
    found: list[LightChange] = []
    for now in sorted({visit.begins_s for visit in seen}):
        there: dict[int, str] = {}
        for visit in seen:
            if visit.begins_s <= now:
                there[visit.sheet] = visit.step
        said = gate((sheets[sheet], step) for sheet, step in sorted(there.items()))
        if not found or found[-1].light != said.light:
            found.append(LightChange(at_s=now, light=said.light, sentence=said.sentence))
    return tuple(found)


def _safelight(paper: doc.Paper | None) -> str:
    of, sees = "Graded paper", SAFELIGHT["graded"]
    if paper is not None:
        of, sees = paper.name or paper.id, SAFELIGHT[paper.response]
    low, high = TEST_MIN
    return (
        f"{of} bears {sees}, if your own lamp and screen pass the coin test for {low:g} to "
        f"{high:g} minutes; fog shows as grey blacks, for what the lamp adds comes out lighter."
    )


def _lamp(lamp: Lamp) -> LampTime:
    level = bulb_lx(lamp.flux_lm, lamp.distance_m)
    found = light_time(level, is_warm=lamp.is_warm)
    warm = ", twice to four times as long for a warm lamp" if lamp.is_warm else ""
    return LampTime(
        illuminance_lx=level,
        seconds=found.seconds,
        least_s=found.least_s,
        sure_s=found.sure_s,
        sentence=(
            f"Under {lamp.flux_lm:g} lm at {lamp.distance_m:g} m ({level:.0f} lx) "
            f"{seconds_in_words(max(1.0, found.seconds))} give a full black{warm}; "
            f"{seconds_in_words(max(1.0, found.sure_s))} do with nineteen papers in twenty, and "
            "ten times as long does no harm."
        ),
    )


def _by_sign(first_sign_s: float, developer: str) -> BySign:
    known: dict[str, Developer] = {name: name for name in FACTORS}
    if developer not in known:
        raise UnknownName("developer", developer, known)
    low, high = factorial_s(first_sign_s, known[developer])
    return BySign(
        first_sign_s=first_sign_s,
        least_s=low,
        most_s=high,
        sentence=(
            f"First sign of black after {seconds_in_words(first_sign_s)}: develop "
            f"{seconds_in_words(low)} to {seconds_in_words(high)} in all, half as long again as a "
            "print (published factors; the half is common practice)."
        ),
    )
