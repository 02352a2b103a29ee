"""Another sitter in the same light: what becomes of the aims, and what each answer costs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from stillroom.documents.book import Aim
from stillroom.documents.read import validated
from stillroom.errors import UnknownName
from stillroom.quantity import stops_text, stops_words
from stillroom.sitter import REGIONS

Tone = Literal["keep", "lift", "same"]
TONES: tuple[Tone, ...] = ("keep", "lift", "same")
Response = Literal["graded", "variable_contrast", "own"]

# log2 of reflectance for the paper over reflectance for the eye, under D55: an open pigment-based
# chart's fair and dark skin with a reference curve for graded and for variable-contrast paper
# (chart data published, the curves from memory). Between and beyond the two: a straight line over
# log2 of the reflectance for graded paper.
_FAIR, _DARK = 0.1894, 0.0636
_RENDERED_STOPS = {
    "graded": (-0.860, -0.976),
    "variable_contrast": (-0.722, -0.871),
    "own": (-0.860, -0.976),  # not known: as graded
}
SCATTER_STOPS = 0.18  # of one sheet: process and setting together (invented prior)
_NO_CHANGE_STOPS = 1 / 6  # prints as nothing in thirds


@dataclass(frozen=True, slots=True)
class ToneOption:
    """One answer to the one question at a change of sitter.

    Parameters
    ----------
    tone : {"keep", "lift", "same"}
        What it is called on a form.
    title, text : str
        What a page says.
    key_placement_stops : float or None
        Where the key cheek then falls [stops from the mid-tone]; None where it is not aimed at.
    light_change_stops : float
        What it asks of the light, compared with leaving it [stops].
    """

    tone: Tone
    title: str
    text: str
    key_placement_stops: float | None
    light_change_stops: float


@dataclass(frozen=True, slots=True)
class SkinQuestion:
    """Keep the light? The question with its three answers, the default first."""

    sentence: str
    options: tuple[ToneOption, ...]


def rendered_stops(reflectance: float, response: Response) -> float:
    """How much darker the paper renders skin than the eye sees it.

    Parameters
    ----------
    reflectance : float
        Of the skin, in the band of graded paper [1].
    response : {"graded", "variable_contrast", "own"}
        What the paper sees.

    Returns
    -------
    float
        Negative: darker than the eye sees it [stops].

    Examples
    --------
    >>> rendered_stops(0.1894, "graded"), round(rendered_stops(0.0636, "graded"), 3)
    (-0.86, -0.976)
    """
    fair, dark = _RENDERED_STOPS[response]
    share = math.log2(reflectance / _FAIR) / math.log2(_DARK / _FAIR)
    return fair + share * (dark - fair)


def light_change_stops(
    tone: Tone, *, before: float, after: float, response: Response = "graded"
) -> float:
    """What an answer asks of the light, compared with leaving it as it is.

    Parameters
    ----------
    tone : {"keep", "lift", "same"}
        The answer: leave the light; lift the face by what the paper darkens this skin more than
        the last; give the face the last sitter's tone.
    before, after : float
        Reflectance of the last and the next sitter's skin in the paper's band [1].
    response : {"graded", "variable_contrast", "own"}
        What the paper sees.

    Returns
    -------
    float
        More light is positive [stops].

    Examples
    --------
    >>> light_change_stops("same", before=0.2, after=0.1)
    1.0
    """
    if tone == "keep":
        return 0.0
    if tone == "lift":
        return rendered_stops(before, response) - rendered_stops(after, response)
    if tone == "same":
        return math.log2(before / after)
    raise UnknownName("answer", tone, TONES)


def carried_aims(
    aims: Mapping[str, Aim],
    tone: Tone,
    *,
    before: float,
    after: float,
    response: Response = "graded",
) -> dict[str, Aim]:
    """Aims for the next sitter: those of the face follow the answer, the others stay.

    A face aim is written for one skin. Kept, it stays bound to that skin, so that the next face
    falls as much darker or lighter as it is; each stop more light is a stop less of that
    reflectance.

    Parameters
    ----------
    aims : mapping
        Region to aim, for the last sitter.
    tone : {"keep", "lift", "same"}
        The answer.
    before, after : float
        Reflectance of the last and the next sitter's skin in the paper's band [1].
    response : {"graded", "variable_contrast", "own"}
        What the paper sees.

    Returns
    -------
    dict
        Region to aim, for the next sitter.

    Examples
    --------
    >>> aims = {"key": Aim(placement_stops=0.5, relative_to="skin")}
    >>> carried_aims(aims, "keep", before=0.2, after=0.1)["key"].for_reflectance
    0.2
    """
    change = light_change_stops(tone, before=before, after=after, response=response)
    carried: dict[str, Aim] = {}
    for region, aim in aims.items():
        face = region in REGIONS and REGIONS[region].is_skin
        on_paper = aim.relative_to == "paper"
        own_tone = tone == "same" and (on_paper or aim.for_reflectance is None)
        if (on_paper and not face) or own_tone:
            carried[region] = aim  # the same placement, whoever sits
            continue
        written_for = before if on_paper or aim.for_reflectance is None else aim.for_reflectance
        bound = {"relative_to": "skin", "for_reflectance": written_for * 2.0**-change}
        carried[region] = validated(Aim, {**aim.model_dump(), **bound})
    return carried


def skin_question(
    key_placement_stops: float | None,
    *,
    last: str,
    before: float,
    after: float,
    response: Response = "graded",
) -> SkinQuestion:
    """The one question at a change of sitter, with figures.

    Parameters
    ----------
    key_placement_stops : float or None
        Where the key cheek was wanted for the last sitter [stops from the mid-tone].
    last : str
        Initials of the last sitter.
    before, after : float
        Reflectance of the last and the next sitter's skin in the paper's band [1].
    response : {"graded", "variable_contrast", "own"}
        What the paper sees.

    Returns
    -------
    SkinQuestion
        Three options: keep (the default), lift, same.
    """
    skin = -light_change_stops("same", before=before, after=after)
    titles = {
        "keep": "Keep the light",
        "lift": "Lift to where the eye sees it",
        "same": f"Same tone as {last}",
    }
    options = []
    for tone in TONES:
        change = light_change_stops(tone, before=before, after=after, response=response)
        falls = None if key_placement_stops is None else key_placement_stops + skin + change
        text = _text(tone, falls, change, skin, last)
        options.append(ToneOption(tone, titles[tone], text, falls, change))
    return SkinQuestion(_sentence(skin, last, options[1].light_change_stops), tuple(options))


def _sentence(skin: float, last: str, eye: float) -> str:
    if abs(skin) < _NO_CHANGE_STOPS:
        return f"To the paper this skin is about as light as {last}'s."
    word = "darker" if skin < 0 else "lighter"
    to_eye = "and nearly as much to the eye" if abs(eye) < abs(skin) / 2 else "less to the eye"
    return f"To the paper this skin is {stops_words(skin)} {word} than {last}'s, {to_eye}."


def _text(tone: Tone, falls: float | None, change: float, skin: float, last: str) -> str:
    where = "" if falls is None else f"The cheek falls at {stops_text(falls)}"
    if tone == "keep":
        aside = (
            ""
            if abs(skin) < _NO_CHANGE_STOPS
            else f", {stops_words(skin)} {_way(skin)} than {last}'s"
        )
        return f"{where}{aside}. Nothing to turn." if where else "Nothing to turn."
    if abs(change) < SCATTER_STOPS:
        return "Smaller than one sheet's scatter, so nothing to turn."
    start = f"{where}. " if where else ""
    light = f"{stops_words(change).capitalize()} {'more' if change > 0 else 'less'} light"
    others = f" The ground and the rim fall {_way(change)} too." if tone == "same" else ""
    return f"{start}{light}.{others}"


def _way(stops: float) -> str:
    return "darker" if stops < 0 else "lighter"
