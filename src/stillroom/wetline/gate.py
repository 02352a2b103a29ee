"""Which light a sheet bears in each step, and when white light may come on for a whole bench."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import UnknownName
from stillroom.wetline.process import STEPS

Response = Literal["graded", "variable_contrast", "own"]
BenchLight = Literal["red", "white"]

RED_STEPS = ("first_development", "first_wash", "bleach", "second_wash")
"""Until the water after the bleach has run clear a sheet is a live exposure (published)."""
SAFELIGHT: Mapping[Response, str] = {
    "graded": "amber, orange, light brown or red",
    "variable_contrast": "red, or the deep amber made for the paper",
    "own": "red",
}
"""Colours by what the paper sees (graded: published; the others: from memory)."""
TEST_MIN = (8.0, 12.0)
"""How long a sheet is out under the lamp before it bears white light, so how long to test [min]:
loading 2, first development 2 to 3, wash 1 to 3, bleach 2 to 4 (computed)."""


def light_of(step: str) -> BenchLight:
    """What light a sheet bears in a step.

    Raises
    ------
    UnknownName
        If there is no such step.

    Examples
    --------
    >>> light_of("bleach"), light_of("clear")
    ('red', 'white')
    """
    if step not in STEPS:
        raise UnknownName("step", step, STEPS)
    return "red" if step in RED_STEPS else "white"


@dataclass(frozen=True, slots=True)
class Gate:
    """Whether white light may come on over a bench.

    Attributes
    ----------
    light : str
        ``red`` or ``white``.
    waits_for : tuple of str
        Marks of the sheets that do not bear white light yet, in the order given.
    sentence : str
        The same in words.
    """

    light: BenchLight
    waits_for: tuple[str, ...]
    sentence: str


def gate(sheets: Iterable[tuple[str, str]]) -> Gate:
    """Whether white light may come on, counting every sheet on the bench.

    Parameters
    ----------
    sheets : iterable of (str, str)
        Mark of each sheet in work and the step it is in.

    Returns
    -------
    Gate

    Examples
    --------
    >>> gate([("TR 1", "first_development"), ("OM 5", "bleach"), ("OM 4", "fix")]).sentence
    'Red only. TR 1 and OM 5 are not through the bleach.'
    >>> gate([("OM 4", "clear")]).sentence
    'White light may come on.'
    """
    waiting = [(mark, step) for mark, step in sheets if light_of(step) == "red"]
    if not waiting:
        return Gate("white", (), "White light may come on.")
    not_through = [mark for mark, step in waiting if step != "second_wash"]
    in_water = [mark for mark, step in waiting if step == "second_wash"]
    said = ["Red only."]
    if not_through:
        verb = "is" if len(not_through) == 1 else "are"
        said.append(f"{_and(not_through)} {verb} not through the bleach.")
    if in_water:
        verb = "is" if len(in_water) == 1 else "are"
        said.append(f"{_and(in_water)} {verb} still in the water after the bleach.")
    return Gate("red", tuple(mark for mark, _ in waiting), " ".join(said))


def _and(names: list[str]) -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
