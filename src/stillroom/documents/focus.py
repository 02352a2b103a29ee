"""What the tool answers about focus: where, how deep, what is off, and what to do."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.holding import FocusOn, Viewing


class Sharpness(Strict):
    """One way to look at the picture, and what it asks."""

    viewing: Viewing
    circle_mm: float
    """What counts as sharp on the sheet [mm]."""
    before_mm: float
    behind_mm: float | None
    """None: to infinity."""
    f_number: float | None
    """The mark from which nose tip and eye are both sharp; None where the lens has none."""
    f_exact: float | None
    """None where the nose would stand in the lens."""
    stops: float | None
    """What that mark, or without one that number, asks against the stop as it stands [stops];
    below 0: it is spared."""


class StandIn(Strict):
    """Focus where nobody sits yet, and the odds that the eye is sharp."""

    focus_on: FocusOn
    rest_to_eye_mm: float
    rest_is_measured: bool
    eye_sd_mm: float
    """How surely the eye is where it was focused, sheet and holder included [mm]."""
    p_sharp: float
    centimetre_blur_mm: float | None
    """The disc on the sheet when the eye is a centimetre nearer than it was focused [mm].

    None: a centimetre nearer is in the lens.
    """
    centimetre_is_sharp: bool


class Displaced(Strict):
    """The sheet does not lie where the ground glass was."""

    sheet_behind_glass_mm: float
    nearer_mm: float | None
    """How much nearer to the lens the plane in focus lies than was seen [mm]; below 0 farther.

    None: the sheet stands inside infinity focus, and nothing is sharp.
    """
    blur_mm: float
    """Of a point that looked sharp on the ground glass [mm]."""
    is_sharp: bool
    stop_down_to: float | None
    """The mark at which it is sharp all the same; None where the lens has none."""
    lens_back_mm: float | None
    """How far the lens alone goes back, away from the sitter, to be sharp again [mm]; None where
    it cannot, about life size and beyond."""


class Finder(Strict):
    """A finder beside the lens sees another frame."""

    down_mm: float
    """How far the frame at the sitter lies below what the finder shows [mm]; below 0 above."""
    left_mm: float
    """How far it lies to the left, seen from the camera [mm]; below 0 right."""


class Corners(Strict):
    """What the corners of the sheet lack."""

    covers: bool | None
    """None where the lens's circle is not known."""
    circle_mm: float | None
    """The lens's circle at this draw [mm]."""
    diagonal_mm: float
    angle_deg: float
    falls_stops: float
    """cos⁴ at the corner against the middle [stops], 0 or below."""


class Floor(Strict):
    """Tape marks, where there is nothing to focus on or nobody to look."""

    eye_m: float
    """From the lens board [m]."""
    head_rest_m: float
    """From the lens board [m]."""
    left_right_m: float
    """From the middle of the chair to where the frame ends, to either side [m]."""


class Focus(Strict):
    """Focus of one camera, lens and framing at one stop."""

    stillroom: Literal["focus/1"] = "focus/1"
    sitting: Name | None = None
    camera_name: Line = ""
    lens_name: Line = ""
    focal_mm: float
    pupil_ratio: float
    f_number: float
    f_exact: float
    magnification: float
    subject_distance_m: float
    """From the lens (its front principal point) to the plane in focus [m]."""
    board_to_eye_m: float
    """From the lens board, as a tape finds it [m]."""
    film_to_eye_m: float
    """From the sheet [m]."""
    draw_mm: float
    draw_left_mm: float | None
    """What the bellows still give [mm]; None where no camera is named."""
    frame_m: tuple[float, float]
    """Width and height of the frame at the sitter [m]."""
    is_fixed_back: bool
    """No ground glass: the eye goes to a tape mark, which counts where the sheet lies."""
    viewing: Viewing
    sharp: tuple[Sharpness, ...]
    """As it is looked at, then the other way."""
    diffraction_f_number: float
    """Beyond it the whole picture is softer than counts as sharp."""
    airy_mm: float
    stand_in: StandIn
    displaced: Displaced | None
    finder: Finder | None
    corners: Corners
    floor: Floor | None
    reminder: Line
    """For the set list; empty where there is nothing to forget."""
    sentence: Text
