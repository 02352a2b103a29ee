"""The answer about focus as both doors print it."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.focus import Focus, Sharpness
from stillroom.quantity import NINE_IN_TEN, stops_text
from stillroom.telling.odds import odds
from stillroom.telling.words import figure, tape

VIEWING_WORDS = {"in_the_hand": "in the hand", "on_the_wall": "on the wall"}


@dataclass(frozen=True, slots=True)
class FocusTold:
    """Two lines for a page; rows and notes are folded under them."""

    line: str
    """How deep it is and the odds that the eye is sharp."""
    where: str
    """Where to focus."""
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
    stand_in, off = answer.stand_in, answer.displaced
    notes = [*answer.floor]
    if off is not None:
        side = "nearer" if off.nearer_mm > 0 else "farther"
        notes.append(
            f"The sheet lies {figure(abs(off.sheet_behind_glass_mm), 2)} mm "
            f"{'behind' if off.sheet_behind_glass_mm > 0 else 'before'} the ground glass: what is "
            f"sharp lies {tape(abs(off.nearer_mm) / 1000, lengths)} {side} than was seen, and the "
            f"eye is a disc of {figure(off.blur_mm, 2)} mm."
        )
        notes += off.ways
    if answer.finder is not None:
        notes.append(answer.finder.text)
    notes.append(answer.corners.text)
    return FocusTold(
        line=f"The eye is sharp, {odds(stand_in.p_sharp)}: {_depth(answer.sharp[0], lengths)}.",
        where=stand_in.text,
        rows=_rows(answer, lengths),
        notes=tuple(notes),
    )


def chair_row(answer: Focus, lengths: str = "metric") -> str:
    """What the chair takes of the set list: *head rest 18.7 cm behind the eye*."""
    rest = tape(answer.stand_in.rest_to_eye_mm / 1000, lengths)
    return f"head rest {rest} behind the eye, lens {tape(answer.subject_distance_m, lengths)} off"


def _depth(sharp: Sharpness, lengths: str) -> str:
    before = tape(sharp.before_mm / 1000, lengths)
    behind = "far" if sharp.behind_mm is None else tape(sharp.behind_mm / 1000, lengths)
    return f"{before} before it to {behind} behind"


def _rows(answer: Focus, lengths: str) -> tuple[tuple[str, str], ...]:
    width, height = answer.frame_m
    rows = [
        ("Size on the sheet", f"1:{figure(1 / answer.magnification, 2)}"),
        ("Lens to eye", tape(answer.subject_distance_m, lengths)),
        ("Draw", _draw(answer, lengths)),
        ("Frame at the sitter", f"{tape(width, lengths)} × {tape(height, lengths)}"),
    ]
    for sharp in answer.sharp:
        how = VIEWING_WORDS[sharp.viewing]
        rows.append(
            (f"Sharp {how}", f"{_depth(sharp, lengths)} (disc {figure(sharp.circle_mm, 2)} mm)")
        )
        asks = f"{stops_text(sharp.stops)} stops" if abs(sharp.stops) >= 1 / 6 else "as it stands"
        mark = "no mark of this lens" if sharp.f_number is None else f"f/{figure(sharp.f_number)}"
        rows.append((f"Nose and eye both, {how}", f"{mark}, {asks}"))
    stand_in = answer.stand_in
    rows += [
        ("Eye a centimetre off", f"a disc of {figure(stand_in.centimetre_blur_mm, 2)} mm"),
        ("Where the eye is", f"within {tape(NINE_IN_TEN * stand_in.eye_sd_mm / 1000, lengths)}"),
        ("Softer by diffraction", f"beyond f/{figure(answer.diffraction_f_number, 2)}"),
    ]
    return tuple(rows)


def _draw(answer: Focus, lengths: str) -> str:
    draw = tape(answer.draw_mm / 1000, lengths)
    if answer.draw_left_mm is None or answer.draw_left_mm <= 0:
        return draw
    return f"{draw}, {tape(answer.draw_left_mm / 1000, lengths)} left"
