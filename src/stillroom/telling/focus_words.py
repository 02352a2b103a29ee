"""What is off about focus, and what to do about it, in sentences."""

from __future__ import annotations

from stillroom.documents.focus import Corners, Displaced, Finder, Floor
from stillroom.quantity.lengths import LARGEST_M, SMALLEST_M
from stillroom.telling.words import figure, tape


def length(value_m: float, lengths: str) -> str:
    """A length by the tape; what no tape tells is nothing, or far.

    >>> length(0.185, "metric"), length(0.00002, "metric"), length(2e5, "metric")
    ('18.5 cm', '0', 'far')
    """
    if value_m > LARGEST_M:
        return "far"
    return "0" if value_m < SMALLEST_M else tape(value_m, lengths)


def floor(marks: Floor, frame_m: tuple[float, float], lengths: str) -> tuple[str, ...]:
    """Where tape goes on the floor.

    Parameters
    ----------
    marks : Floor
        The marks.
    frame_m : tuple of float
        Width and height of the frame at the sitter [m].
    lengths : str
        The reader's units.

    Returns
    -------
    tuple of str
        A sentence each.
    """
    wide, high = (length(side_m, lengths) for side_m in frame_m)
    stick = length(marks.left_right_m, lengths)
    chair = f"Tape on the floor: {taped(marks, lengths)}."
    frame = f"The frame there is {wide} wide and {high} high"
    return chair, f"{frame}: a stick {stick} to each side of the chair shows where it ends."


def taped(marks: Floor, lengths: str = "metric") -> str:
    """How far eye and head rest are from the lens board.

    Parameters
    ----------
    marks : Floor
        The marks.
    lengths : str
        The reader's units.

    Returns
    -------
    str
        *the eye 1.20 m from the lens board, the head rest 1.39 m*.
    """
    eye, rest = length(marks.eye_m, lengths), length(marks.head_rest_m, lengths)
    return f"the eye {eye} from the lens board, the head rest {rest}"


def displaced(off: Displaced, lengths: str, *, is_fixed_back: bool) -> tuple[str, ...]:
    """What a displaced sheet does to focus, and the ways out.

    Parameters
    ----------
    off : Displaced
        How it lies.
    is_fixed_back : bool
        Whether the tape marks on the floor count it.
    lengths : str
        The reader's units.

    Returns
    -------
    tuple of str
        A sentence each.
    """
    shift = off.sheet_behind_glass_mm
    size, side = f"{figure(abs(shift), 2)} mm", "behind" if shift > 0 else "before"
    glass = "where the camera was made for it" if is_fixed_back else "the ground glass"
    lies = f"The sheet lies {size} {side} {glass}"
    if off.nearer_mm is None:
        return (f"{lies}, nearer to the lens than far away asks for: nothing is sharp.",)
    away = length(abs(off.nearer_mm) / 1000, lengths)
    way = "nearer" if off.nearer_mm > 0 else "farther"
    if is_fixed_back:
        return (f"{lies}: what is sharp lies {away} {way}, and the tape marks count that.",)
    soft = "sharp enough" if off.is_sharp else "soft"
    disc = f"the eye is a disc of {figure(off.blur_mm, 2)} mm, {soft}"
    return (
        f"{lies}: what is sharp lies {away} {way} than was seen, and {disc}.",
        "Focus with the insert in, as the sheet lies; or, where that was forgotten:",
        _move(off, size, back=shift > 0),
        f"or move the sitter {away} {way};",
        _stop_down(off),
    )


def _stop_down(off: Displaced) -> str:
    if off.is_sharp:
        return "or leave it: at this stop it does not show."
    if off.stop_down_to is None:
        return "no mark of this lens is small enough to hide it."
    return f"or stop down to f/{figure(off.stop_down_to)}, where it does not show."


def _move(off: Displaced, size: str, *, back: bool) -> str:
    film = f"bring the back {size} {'forward' if back else 'back'}"
    if off.lens_back_mm is None:
        return f"{film};"
    lens = f"{figure(abs(off.lens_back_mm), 2)} mm {'back' if off.lens_back_mm > 0 else 'forward'}"
    return f"{film}, or the lens {lens};"


def finder(beside: Finder, lengths: str) -> str:
    """How the frame differs from what a finder beside the lens shows.

    Parameters
    ----------
    beside : Finder
        How far it sits from the lens.
    lengths : str
        The reader's units.

    Returns
    -------
    str
        One sentence; held level, it is so near or far.
    """
    frame, moves = [], []
    for mm, lies, other, move, back in (
        (beside.down_mm, "lower", "higher", "up", "down"),
        (beside.left_mm, "further left", "further right", "right", "left"),
    ):
        if mm:
            away = length(abs(mm) / 1000, lengths)
            frame.append(f"{away} {lies if mm > 0 else other}")
            moves.append(f"{away} {move if mm > 0 else back}")
    return (
        f"Held level, the frame on the sheet lies {' and '.join(frame)} at the sitter than the "
        f"finder shows, near or far: frame by the finder, then move the camera "
        f"{' and '.join(moves)}."
    )


def corners(found: Corners) -> str:
    """What the corners of the sheet lack.

    Parameters
    ----------
    found : Corners
        Angle and circle.

    Returns
    -------
    str
        One sentence.
    """
    fall = f"The corners are {figure(abs(found.falls_stops), 2)} stop darker for their angle"
    if found.circle_mm is None:
        return f"{fall}; how wide a circle the lens covers is not in the kit."
    if found.covers:
        return f"{fall}; the lens's circle of {found.circle_mm:.0f} mm covers the sheet."
    return (
        f"{fall}, and black beyond the lens's circle: {found.circle_mm:.0f} mm of light for a "
        f"sheet of {found.diagonal_mm:.0f} mm from corner to corner."
    )
