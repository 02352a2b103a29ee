"""Processes of the wet line: copied, renamed, timed."""

from __future__ import annotations

from stillroom.documents.book import Book
from stillroom.documents.wet import Process
from stillroom.services.bench_words import seconds_in_words
from stillroom.services.own_process import own_steps
from stillroom.services.processes import process_called, processes
from stillroom.web.forms import Field
from stillroom.web.views.kit_kind import NAME, NOTE, Answers, Data, Kind, plain

_LINES = (
    ("rc-trays", "RC in trays", "about a quarter of an hour"),
    ("fibre-trays", "Fibre in trays", "longer washes, a wash aid"),
    ("rc-tank", "RC in one tank", "fill and drain, also in a box camera"),
    ("rc-drum", "RC in a drum", "fill and drain, rolled"),
)
_BLEACHES = (
    ("permanganate", "Permanganate", "mixed the same day, up to 22 °C"),
    ("dichromate", "Dichromate", "chromium(VI): poisonous, often restricted"),
    ("peroxide", "Peroxide", "warm, slow, not for every paper"),
)
TIMED: dict[str, str] = {
    "first_development": "First development",
    "first_wash": "Wash after the developer",
    "bleach": "Bleach, about",
    "second_wash": "Wash after the bleach",
    "clear": "Clear, about",
    "third_wash": "Wash after the clear",
    "lights": "Lights",
    "second_development": "Second development",
    "rinse": "Rinse",
    "fix": "Fix",
    "wash_aid": "Wash aid",
    "last_wash": "Last wash",
}
"""Steps whose time may be typed."""
_MAY_GO = ("rinse", "fix", "wash_aid")
_LINE_OF = {"trays": "", "one_tank": "rc-tank", "drum": "rc-drum"}
_NO_BOOK = Book()


def process_choices(book: Book) -> dict[str, tuple[tuple[str, str], ...]]:
    """How sheets of a paper or camera may go through the line, the usual way first."""
    usual = ("", "as usual")
    known = ((p.id, (p.name or p.id).removesuffix(" bleach")) for p in processes(book))
    return {"process": (usual, *known)}


PROCESS = Field(
    "process",
    "Through the line",
    "choice",
    choices=process_choices(_NO_BOOK)["process"],
)
"""Asked of a camera and of a paper."""


def _base(answers: Answers) -> Process:
    return process_called(_NO_BOOK, f"{answers['line']}/{answers['bleach']}")


def _process_data(answers: Answers) -> Data:
    data = plain(("name", "note", "temperature_c"))(answers)
    base = _base(answers)
    known: set[str] = {step.id for step in base.steps}
    times: dict[str, float] = {
        step: float(answers[f"{step}_s"])
        for step in TIMED
        if f"{step}_s" in answers and step in known
    }
    without = [step for step in answers.get("without", ()) if step in known]
    told = ("paper", "vessel", "bleach", "load_s", "fill_drain_s", "bases")
    said = base.model_dump(exclude_unset=True, include=set(told))
    return {**said, **data, "based_on": base.id, "steps": own_steps(base, times, without)}


def _process_answers(process: Process) -> Data:
    """What stands in the form: the nearest process that comes along, and what differs from it."""
    bleach = "permanganate" if process.bleach == "own" else process.bleach
    line = _LINE_OF[process.vessel]
    if process.vessel == "trays":
        line = f"{process.paper}-trays"
    answers: Data = {
        "name": process.name,
        "note": process.note,
        "line": line,
        "bleach": bleach,
        "temperature_c": process.temperature_c,
    }
    if without := tuple(step.id for step in process.steps if step.is_left_out):
        answers["without"] = without
    base = {step.id: step.seconds for step in _base(answers).steps}
    for step in process.steps:
        if step.id in TIMED and step.seconds != base.get(step.id):
            answers[f"{step.id}_s"] = step.seconds
    return answers


PROCESSES = Kind(
    "processes",
    "Processes of your own",
    "process",
    Process,
    (
        Field("line", "Which line does it start from?", "choice", choices=_LINES,
              start="rc-trays"),
        Field("bleach", "Which bleach?", "choice", choices=_BLEACHES, start="permanganate"),
    ),
    (
        NAME,
        *(
            Field(f"{step}_s", label, "number", "s", low=1, high=7200,
                  hint="left out: as copied")
            for step, label in TIMED.items()
        ),
        Field("temperature_c", "Times are for", "number", "°C", low=14, high=27,
              hint="left out: 20"),
        Field("without", "Left out", "many",
              choices=tuple((step, TIMED[step]) for step in _MAY_GO)),
        NOTE,
    ),
    _process_data,
    _process_answers,
    lambda process: f"My {process.bleach}" if process.bleach != "own" else "My process",
    lasting=("line", "bleach"),
    gone="No longer used",
)  # fmt: skip


def facts_of_process(process: Process) -> tuple[str, str]:
    """What a process is, and whence."""
    first = process.step("first_development")
    told = [{"rc": "RC", "fibre": "fibre"}[process.paper], process.vessel.replace("_", " ")]
    if first is not None and first.seconds is not None:
        told.append(
            f"first development {seconds_in_words(first.seconds)} at {process.temperature_c:g} °C"
        )
    how = f"copied from {process.based_on}" if process.based_on else "as written down"
    return ", ".join(told), how
