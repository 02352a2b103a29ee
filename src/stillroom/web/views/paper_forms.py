"""What is asked about a batch of paper, and what its answers mean in the book."""

from __future__ import annotations

import re

from stillroom.documents.book import Paper
from stillroom.paper import EI_SD_STOPS, NOMINAL_EI, dmax_of_surface
from stillroom.telling.words import figure, range_of_sd
from stillroom.web.forms import Field
from stillroom.web.views.kit_kind import NOTE, Answers, Data, Kind, dumped, plain
from stillroom.web.views.kit_process import PROCESS, process_choices

_SUGGESTED = 4
_UNKNOWN_SD_STOPS = 1.25  # invented: neither paper nor its kind is known


def _response_choices() -> tuple[tuple[str, ...], ...]:
    usual = range_of_sd(EI_SD_STOPS)
    return (
        ("graded", "Graded", f"sees blue only; about EI {figure(NOMINAL_EI['graded'])} {usual}"),
        (
            "variable_contrast",
            "Variable contrast",
            f"sees blue and green; about EI {figure(NOMINAL_EI['variable_contrast'])} {usual}",
        ),
        ("unknown", "Don’t know", "it starts wider"),
    )


def next_batches(batch: str) -> tuple[str, ...]:
    """Names to tap for a new box: the numbers after this one, if it has a number.

    Examples
    --------
    >>> next_batches("7"), next_batches("12 B"), next_batches("")
    (('8', '9', '10', '11'), ('13 B', '14 B', '15 B', '16 B'), ('2', '3', '4', '5'))
    """
    number = re.search(r"\d+", batch or "1")
    if number is None:
        return (f"{batch} 2", f"{batch} 3")
    start, end = number.span()
    source = batch or "1"
    return tuple(
        f"{source[:start]}{int(number[0]) + step}{source[end:]}"
        for step in range(1, _SUGGESTED + 1)
    )


def _paper_data(answers: Answers) -> Data:
    data = plain(
        ("name", "note", "batch", "surface", "grade", "ei", "ei_sd_stops", "contrast_per_stop",
         "dmin", "dmax", "process")
    )(answers)  # fmt: skip
    response = answers.get("response")
    if response in NOMINAL_EI:
        data["response"] = response
        data.setdefault("ei", NOMINAL_EI[response])
    elif response == "unknown":
        data.setdefault("ei", (NOMINAL_EI["graded"] * NOMINAL_EI["variable_contrast"]) ** 0.5)
        data.setdefault("ei_sd_stops", _UNKNOWN_SD_STOPS)
    if "surface" in data:
        data.setdefault("dmax", round(dmax_of_surface(data["surface"]), 3))
    if "steps" in answers:
        darkest_first = sorted(answers["steps"], reverse=True)
        data["comparison_strip"] = [
            {"step": number, "density": density}
            for number, density in enumerate(darkest_first, start=1)
        ]
    return data


def _paper_answers(paper: Paper) -> Data:
    steps = " ".join(f"{step.density:g}" for step in paper.comparison_strip)
    return dumped(paper) | {"steps": steps}


PAPER = Kind(
    "papers",
    "Papers",
    "paper",
    Paper,
    (
        Field("response", "What does it see?", "choice", choices=_response_choices(),
              start="graded"),
        Field("surface", "Which surface?", "choice", start="glossy", choices=(
            ("glossy", "glossy"), ("pearl", "pearl"), ("matt", "matt"),
        )),
    ),
    (
        Field("name", "Name", hint="as the box has it"),
        Field("batch", "Batch", hint="as you number your boxes"),
        Field("ei", "Exposure index", "number",
              hint="about what you set on an incident meter").of(Paper),
        Field("ei_sd_stops", "How unsure", "range", "stops").of(Paper),
        Field("grade", "Grade", "number").of(Paper),
        Field("contrast_per_stop", "Steepness", "number", hint="1.5 is usual").of(Paper),
        Field("dmin", "Density of bare paper", "number").of(Paper),
        Field("dmax", "Density of the blackest black", "number").of(Paper),
        Field("steps", "Your own strip", "figures",
              hint="density of each step, with spaces: 1.86 1.7 1.45"),
        PROCESS,
        NOTE,
    ),
    _paper_data,
    _paper_answers,
    lambda _: "",
    follows={"surface": ("dmax",), "response": ("ei",)},
    lasting=("response", "surface"),
    offered=process_choices,
)  # fmt: skip
