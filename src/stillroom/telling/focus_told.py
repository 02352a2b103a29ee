"""The answer about focus as both doors print it."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.focus import Focus, Sharpness, StandIn
from stillroom.quantity import NINE_IN_TEN
from stillroom.telling.daylight_words import stops_size
from stillroom.telling.focus_words import corners, displaced, finder, floor, length
from stillroom.telling.odds import odds
from stillroom.telling.set_rows import Row, Value
from stillroom.telling.words import figure

VIEWING_WORDS = {"in_the_hand": "in the hand", "on_the_wall": "on the wall"}
_NO_THIRD_STOPS = 1 / 6  # less rounds to no third of a stop


@dataclass(frozen=True, slots=True)
class FocusTold:
    """Two lines for a page; rows and notes are folded under them."""

    line: str
    """How deep it is and the odds that the eye is sharp."""
    where: str
    """Where to focus."""
    reminder: str
    """What is not to be forgotten, such as the insert; empty where there is nothing."""
    prices: tuple[str, ...]
    """What it asks as it is looked at, then the other way."""
    rows: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    """What is off, and what to do about it; tape marks."""


def told(answer: Focus, lengths: str = "metric") -> FocusTold:
    """Lines, rows and notes of an answer.

    Parameters
    ----------
    answer : Focus
        The answer.
    lengths : str
        The reader's units.

    Returns
    -------
    FocusTold
    """
    notes = [
        *(() if answer.floor is None else floor(answer.floor, answer.frame_m, lengths)),
        *_off(answer, lengths),
        *(() if answer.finder is None else (finder(answer.finder, lengths),)),
        corners(answer.corners),
    ]
    p_sharp = answer.stand_in.p_sharp
    return FocusTold(
        line=f"The eye is sharp, {odds(p_sharp)}: {_depth(answer.sharp[0], lengths)}.",
        where=_where(answer, lengths),
        reminder=answer.reminder,
        prices=tuple(_price(sharp) for sharp in answer.sharp),
        rows=_rows(answer, lengths),
        notes=tuple(notes),
    )


def _off(answer: Focus, lengths: str) -> tuple[str, ...]:
    if answer.displaced is None:
        return ()
    return displaced(answer.displaced, lengths, is_fixed_back=answer.is_fixed_back)


def chair_row(answer: Focus, lengths: str = "metric") -> Row:
    """The chair's place on the set list, with what is not to be forgotten before the slide.

    Parameters
    ----------
    answer : Focus
        The answer.
    lengths : str
        The reader's units.

    Returns
    -------
    Row
        *head rest 18.7 cm behind the eye, lens board to lower lid 1.20 m*; without a head rest
        only where the lid is. Nothing of it is turned on the page.
    """
    lid_m = answer.board_to_eye_m if answer.floor is None else answer.floor.eye_m
    values = [_read("lid", "lower lid", length(lid_m, lengths), "lens board to lower lid")]
    if answer.stand_in.focus_on == "head_rest":
        rest = _rest(answer.stand_in, lengths)
        values.insert(0, _read("rest", "head rest", rest, "head rest behind the eye"))
    return Row("Chair", tuple(values), answer.reminder, "same")


def _read(knob: str, title: str, figure_: str, caption: str) -> Value:
    return Value(knob, title, figure_, caption, "same", ())


def _rest(stand_in: StandIn, lengths: str) -> str:
    return length(stand_in.rest_to_eye_mm / 1000, lengths)


def _where(answer: Focus, lengths: str) -> str:
    on = answer.stand_in.focus_on
    if on == "eye":
        return "Focus on the nearer eye, on its lower lid, and let nobody move the chair after."
    if on == "target_in_chair":
        return (
            "Stand a target where the eye will be: a stick with small print on the chair, at the "
            "height of the lower lid. Take it away when the sitter is down."
        )
    return (
        "Set the head rest to the back of the head. Put the target "
        f"{_rest(answer.stand_in, lengths)} before the rest, towards the lens, where the eye will "
        "be, and focus on it."
    )


def _depth(sharp: Sharpness, lengths: str) -> str:
    before = length(sharp.before_mm / 1000, lengths)
    behind = "far" if sharp.behind_mm is None else length(sharp.behind_mm / 1000, lengths)
    return f"{before} before it to {behind} behind"


def _price(sharp: Sharpness) -> str:
    how = VIEWING_WORDS[sharp.viewing]
    return f"Nose and eye both sharp {how}: {_asks(sharp)}"


def _asks(sharp: Sharpness) -> str:
    if sharp.stops is None:
        return "no stop, so near"
    mark = "no mark of this lens" if sharp.f_number is None else f"f/{figure(sharp.f_number)}"
    if abs(sharp.stops) < _NO_THIRD_STOPS:
        return f"{mark}, as much light as it stands"
    return f"{mark}, {stops_size(sharp.stops)} {'more' if sharp.stops > 0 else 'less'} light"


def _rows(answer: Focus, lengths: str) -> tuple[tuple[str, str], ...]:
    width, height = answer.frame_m
    rows = [
        ("Size on the sheet", _size(answer.magnification)),
        ("Lens to eye", _distances(answer, lengths)),
        ("Draw", _draw(answer, lengths)),
        ("Frame at the sitter", f"{length(width, lengths)} × {length(height, lengths)}"),
    ]
    for sharp in answer.sharp:
        how = VIEWING_WORDS[sharp.viewing]
        rows.append(
            (f"Sharp {how}", f"{_depth(sharp, lengths)} (disc {figure(sharp.circle_mm, 2)} mm)")
        )
        rows.append((f"Nose and eye both, {how}", _asks(sharp)))
    stand_in = answer.stand_in
    if stand_in.centimetre_blur_mm is not None:
        disc = f"a disc of {figure(stand_in.centimetre_blur_mm, 2)} mm"
        rows.append(
            ("Eye 1 cm nearer", f"{disc}, {'sharp' if stand_in.centimetre_is_sharp else 'soft'}")
        )
    rows += [
        ("Where the eye is", f"within {length(NINE_IN_TEN * stand_in.eye_sd_mm / 1000, lengths)}"),
        ("Softer by diffraction", f"beyond f/{figure(answer.diffraction_f_number, 2)}"),
    ]
    return tuple(rows)


def _size(magnification: float) -> str:
    if magnification > 1:
        return f"{figure(magnification, 2)}:1"
    return f"1:{figure(1 / magnification, 2)}"


def _distances(answer: Focus, lengths: str) -> str:
    film = f"{length(answer.film_to_eye_m, lengths)} from the sheet"
    lens = length(answer.subject_distance_m, lengths)
    board = length(answer.board_to_eye_m, lengths)
    if board == lens:
        return f"{lens}, {film}"
    return f"{board} from the lens board, {film}"


def _draw(answer: Focus, lengths: str) -> str:
    draw = length(answer.draw_mm / 1000, lengths)
    if answer.draw_left_mm is None or answer.draw_left_mm <= 0.1:
        return draw
    return f"{draw}, {length(answer.draw_left_mm / 1000, lengths)} left"
