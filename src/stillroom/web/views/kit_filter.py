"""Filters for the lens: questions, and what the answers mean."""

from __future__ import annotations

import math

from stillroom.documents.filters import Filter
from stillroom.paper import FILTER_WORDS
from stillroom.telling.words import figure
from stillroom.web.forms import Field
from stillroom.web.views.kit_kind import NAME, NOTE, Answers, Data, Kind, plain

NO_GRADE = "none"
_FACTORS = (math.exp(-2.0), math.exp(2.0))
_SAID = {
    0: "the softest, deep yellow",
    1: "soft, yellow",
    2: "hardly any colour",
    3: "a little harder, pale magenta",
    4: "hard, magenta",
    5: "the hardest, deep magenta",
}


def grade_word(grade: int) -> str:
    """What filters of a grade are called.

    Examples
    --------
    >>> grade_word(0), grade_word(3)
    ('soft', 'medium')
    """
    return next(word for word, grades in FILTER_WORDS.items() if grade in grades)


def _filter_data(answers: Answers) -> Data:
    data = plain(("name", "note", "loss_stops", "loss_sd_stops", "contrast_log_sd"))(answers)
    if answers.get("grade", NO_GRADE) != NO_GRADE:
        data["grade"] = int(answers["grade"])
    if "contrast_factor" in answers:
        data["contrast_log"] = math.log(float(answers["contrast_factor"]))
    return data


def _filter_answers(found: Filter) -> Data:
    answers = found.model_dump(exclude_none=True, exclude={"grade", "contrast_log"})
    answers["grade"] = NO_GRADE if found.grade is None else str(found.grade)
    if found.contrast_log is not None:
        answers["contrast_factor"] = f"{math.exp(found.contrast_log):.10g}"
    return answers


def _usual_name(found: Filter) -> str:
    if found.grade is None:
        return f"Filter, {figure(found.loss_stops or 0.0)} stops"
    return f"Filter {found.grade}, {grade_word(found.grade)}"


FILTERS = Kind(
    "filters",
    "Filters for the lens",
    "filter",
    Filter,
    (
        Field("grade", "Which grade does it give?", "choice", start="0", choices=(
            *((str(grade), str(grade), said) for grade, said in _SAID.items()),
            (NO_GRADE, "none", "any other filter: type its loss below"),
        )),
    ),
    (
        NAME,
        Field("loss_stops", "Loss", "number", "stops",
              hint="left out: from its grade, the paper and the light").of(Filter),
        Field("loss_sd_stops", "How unsure", "range", "stops").of(Filter),
        Field("contrast_factor", "Contrast with it, over that without", "number",
              low=_FACTORS[0], high=_FACTORS[1],
              hint="below 1 is softer; left out: from its grade, the paper and the light"),
        Field("contrast_log_sd", "How unsure of that", "range",
              hint="0.2 is a fifth either way").of(Filter),
        NOTE,
    ),
    _filter_data,
    _filter_answers,
    _usual_name,
    follows={"grade": ("loss_stops", "loss_sd_stops", "contrast_factor", "contrast_log_sd")},
    lasting=("grade",),
)  # fmt: skip


def filter_facts(found: Filter) -> tuple[str, str]:
    """What a filter is in figures, and how they are known."""
    parts = []
    if found.grade is not None:
        parts.append(f"contrast grade {found.grade}, {grade_word(found.grade)}")
    if found.loss_stops is not None:
        parts.append(f"loss {figure(found.loss_stops)} stops")
    if found.contrast_log is not None:
        parts.append(f"contrast × {figure(math.exp(found.contrast_log))}")
    own = found.loss_stops is not None or found.contrast_log is not None
    return ", ".join(
        parts
    ), "as written down" if own else "from its grade, the paper and the light"
