"""What is told of a sheet's way through the wet line."""

from __future__ import annotations

from stillroom.documents.book import Book, Sheet, Sitting
from stillroom.documents.wet import WetRun
from stillroom.errors import UnknownName
from stillroom.quantity import NINE_IN_TEN
from stillroom.services.bench_words import NAMES, seconds_in_words
from stillroom.services.first_term import FirstDevelopment, first_development
from stillroom.services.processes import process_called

ESTIMATE = "An estimate from habits of the trade; measured sheets overrule it."


def wet_told(book: Book, sitting: Sitting, sheet: Sheet) -> tuple[str, ...]:
    """A sentence each on how a sheet went through the line; empty of one without a run."""
    run = sheet.wet
    if run is None:
        return ()
    told = [_run(book, run)]
    longer = [
        f"{NAMES[step.step]} {seconds_in_words(step.longer_s)} longer"
        for step in run.steps
        if step.longer_s
    ]
    if longer:
        told.append(f"By hand: {', '.join(longer).lower()}.")
    if run.first_black_s is not None:
        told.append(f"First sign of black after {seconds_in_words(run.first_black_s)}.")
    found = first_development(book, sitting, sheet)
    if found is not None:
        told.append(first_told(found))
    return tuple(told)


def first_told(found: FirstDevelopment) -> str:
    """What the first development did to a sheet, in one or two sentences."""
    as_it_was = f"{seconds_in_words(found.seconds)} at {found.temperature_c:g} °C"
    asked = f"{seconds_in_words(found.process_s)} at {found.process_c:g} °C"
    half = NINE_IN_TEN * found.sd_stops
    way = "lighter" if found.stops >= 0 else "darker"
    said = f"First development {as_it_was} instead of {asked}: "
    if found.shift.is_beyond and found.shift.stops < 0:
        said += "far too little, darker by a stop or more than any estimate tells."
    elif found.shift.is_beyond:
        said += "longer than this paper may bear without a veil."
    else:
        said += f"{abs(found.stops):.2f} stop {way}, give or take {half:.2f}."
    if found.in_strip_stops:
        said += " What the day's sheets have in common is in the control strip already."
    return f"{said} {ESTIMATE}"


def _run(book: Book, run: WetRun) -> str:
    try:
        name = process_called(book, run.process).name or run.process
    except UnknownName:
        name = run.process
    said = f"{name}, at {run.temperature_c:g} °C"
    if run.ended_at is None:
        return f"{said}: in work."
    minutes = (run.ended_at - run.began_at).total_seconds() / 60
    if run.outcome == "stopped":
        return f"{said}: stopped after {minutes:.0f} minutes."
    return f"{said}: through in {minutes:.0f} minutes."
