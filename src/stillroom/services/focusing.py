"""Focus of a sitting, or of bare numbers: where to focus, how deep it is, what is off."""

from __future__ import annotations

import math
from dataclasses import replace

from stillroom.camera import (
    airy_disc_mm,
    blur_at_mm,
    board_to_subject_m,
    cos4_stops,
    diffraction_f_number,
    draw_mm,
    exit_pupil_to_film_mm,
    eye_in_focus,
    f_number_for_depth,
    film_to_subject_m,
    image_circle_mm,
    magnification_from_draw,
    off_axis_angle_deg,
    plate_blur_mm,
    refocus_mm,
    subject_distance_m,
    subject_shift_mm,
)
from stillroom.camera.limits import ANGLE_RANGE_DEG, LENGTH_RANGE_MM, MAGNIFICATION_RANGE
from stillroom.documents import focus as told
from stillroom.documents.holding import USUAL_VIEWING, FocusOn, Support, Viewing
from stillroom.errors import NotPossible, OutOfRange
from stillroom.quantity import format_length, format_offset
from stillroom.quantity.lengths import LARGEST_M
from stillroom.services.focus_asked import REST_TO_EYE_MM, Asked

REST_TO_EYE_SD_MM = 8.0
TAPED_SD_MM = 3.0  # a tape along a head: invented
NOSE_BEFORE_EYE_MM = 40.0  # tip of a middling nose before the eyes: from memory
WAVELENGTH_NM = 450.0  # stands for blue-sensitive paper
FAR_MM = 100_000.0  # an eye so far off is as soft as it gets

# How surely a sitter comes back to where they were focused, or to where a target stood for them
# [mm]: invented, in the order of how they are held.
_COMES_BACK_SD_MM: dict[Support, float] = {
    "head_rest": 4.0,
    "seated_arms_on_table": 12.0,
    "seated": 15.0,
    "leaning": 20.0,
    "standing": 25.0,
}
_STAYS_SHARE = 0.5  # of that, between looking at the eye and the exposure: invented
_OTHER_VIEWING: dict[Viewing, Viewing] = {
    "in_the_hand": "on_the_wall",
    "on_the_wall": "in_the_hand",
}


def focus(asked: Asked) -> told.Focus:
    """Work focus out.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    NotPossible
        If the bellows do not reach; the sentence says the nearest that can be done.
    """
    lens, m = asked.lens, asked.magnification
    viewing: Viewing = asked.holding.viewing or USUAL_VIEWING
    draw = draw_mm(lens.focal_mm, m, asked.flange_at_infinity_mm)
    left = _bellows_left(asked, draw)
    circle = asked.circle_mm(viewing)
    sharp = tuple(_sharpness(asked, v) for v in (viewing, _OTHER_VIEWING[viewing]))
    stand_in = _stand_in(asked, circle)
    displaced = _displaced(asked, circle)
    width, height = _frame_m(asked)
    return told.Focus(
        sitting=asked.sitting,
        camera_name=asked.camera_name,
        lens_name=asked.lens_name,
        focal_mm=lens.focal_mm,
        pupil_ratio=lens.pupil_ratio,
        f_number=asked.f_number,
        f_exact=asked.f_exact,
        magnification=m,
        subject_distance_m=subject_distance_m(lens.focal_mm, m),
        board_to_eye_m=_board_to_eye_m(asked),
        film_to_eye_m=film_to_subject_m(lens.focal_mm, m),
        draw_mm=draw,
        draw_left_mm=left,
        frame_m=(width, height),
        is_fixed_back=asked.is_fixed_back,
        viewing=viewing,
        sharp=sharp,
        diffraction_f_number=diffraction_f_number(WAVELENGTH_NM, circle, m, lens.pupil_ratio),
        airy_mm=airy_disc_mm(WAVELENGTH_NM, asked.f_exact, m, lens.pupil_ratio),
        stand_in=stand_in,
        displaced=displaced,
        finder=_finder(asked),
        corners=_corners(asked),
        floor=floor_marks(asked),
        reminder=_reminder(asked),
        sentence=_sentence(sharp[0], stand_in),
    )


def p_eye_sharp(asked: Asked) -> float:
    """The odds that the eye is sharp, as the picture is looked at."""
    return _p_sharp(asked, asked.circle_mm(asked.holding.viewing or USUAL_VIEWING))


def _bellows_left(asked: Asked, draw: float) -> float | None:
    body = asked.camera
    if body is None:
        return None
    longest, shortest = body.draw_max_mm, body.draw_min_mm
    if shortest - 1e-9 <= draw <= longest + 1e-9:
        return longest - draw
    lens, end = asked.lens, longest if draw > longest else shortest
    flange = asked.flange_at_infinity_mm or lens.focal_mm
    said = (
        f"This asks for {draw:.0f} mm of draw and the bellows give {shortest:g} to {longest:g} mm"
    )
    if end <= flange:
        raise NotPossible(f"{said}: with this lens nothing nearer than far away is sharp.")
    m = magnification_from_draw(lens.focal_mm, end, asked.flange_at_infinity_mm)
    near = format_length(board_to_subject_m(lens.focal_mm, m, flange))
    word = "nearest" if draw > longest else "farthest"
    raise NotPossible(f"{said}: {word}, 1:{1 / m:.2g} with the eye {near} from the lens board.")


def _board_to_eye_m(asked: Asked) -> float:
    lens = asked.lens
    return board_to_subject_m(lens.focal_mm, asked.magnification, asked.flange_at_infinity_mm)


def _sharpness(asked: Asked, viewing: Viewing) -> told.Sharpness:
    circle = asked.circle_mm(viewing)
    depth = asked.depth(circle)
    behind = float(depth.behind_mm)
    wanted = _f_for_the_nose(asked, circle)
    mark = None if wanted is None else _mark_from(wanted, asked)
    turned_to = wanted if mark is None else asked.exact_of(mark)
    return told.Sharpness(
        viewing=viewing,
        circle_mm=circle,
        before_mm=float(depth.before_mm),
        behind_mm=behind if math.isfinite(behind) else None,
        f_number=mark,
        f_exact=wanted,
        stops=None if turned_to is None else 2 * math.log2(turned_to / asked.f_exact),
    )


def _f_for_the_nose(asked: Asked, circle: float) -> float | None:
    lens, m = asked.lens, asked.magnification
    try:
        return f_number_for_depth(lens.focal_mm, NOSE_BEFORE_EYE_MM, circle, m, lens.pupil_ratio)
    except OutOfRange:  # so near that the nose would stand in the lens
        return None


def _mark_from(f_exact: float, asked: Asked) -> float | None:
    """The widest mark that is as small; a twentieth of a stop short counts as reached."""
    for mark in asked.lens.f_numbers:
        if 2 * math.log2(asked.exact_of(mark) / f_exact) >= -0.05:
            return mark
    return None


def _eye_sd_mm(asked: Asked) -> float:
    holding = asked.holding
    back = _COMES_BACK_SD_MM[holding.support or "seated"]
    rest = holding.rest_to_eye_sd_mm
    if rest is None:
        rest = REST_TO_EYE_SD_MM if holding.rest_to_eye_mm is None else TAPED_SD_MM
    focused = {
        "eye": back * _STAYS_SHARE,
        "target_in_chair": back,
        "head_rest": math.hypot(back, rest),
    }[holding.focus_on or _usual_focus(asked)]
    sheet = asked.sheet_behind_glass_sd_mm / asked.magnification**2
    return math.hypot(focused, sheet)


def _usual_focus(asked: Asked) -> FocusOn:
    if asked.holding.is_self_portrait or asked.is_fixed_back:
        return "head_rest" if asked.holding.support == "head_rest" else "target_in_chair"
    return "eye"


def _stand_in(asked: Asked, circle: float) -> told.StandIn:
    holding = asked.holding
    blur = _centimetre_blur_mm(asked)
    return told.StandIn(
        focus_on=holding.focus_on or _usual_focus(asked),
        rest_to_eye_mm=_rest_to_eye_mm(asked),
        rest_is_measured=holding.rest_to_eye_mm is not None,
        eye_sd_mm=_eye_sd_mm(asked),
        p_sharp=_p_sharp(asked, circle),
        centimetre_blur_mm=blur,
        centimetre_is_sharp=blur is not None and blur <= circle,
    )


def _p_sharp(asked: Asked, circle: float) -> float:
    # Tape marks are laid where it is sharp; what was focused on is where it looked sharp.
    nearer = 0.0 if asked.is_fixed_back else _nearer_mm(asked)
    if nearer is None:
        return 0.0
    shift = asked.sheet_behind_glass_mm
    size = min(asked.magnification + shift / asked.lens.focal_mm, MAGNIFICATION_RANGE[1])
    truly = replace(asked, magnification=size)  # in the plane that is sharp on the sheet
    off = min(max(-nearer, -FAR_MM), FAR_MM)
    return float(eye_in_focus(truly.depth(circle), _eye_sd_mm(truly), off))


def _centimetre_blur_mm(asked: Asked) -> float | None:
    lens, m = asked.lens, asked.magnification
    try:
        return blur_at_mm(lens.focal_mm, asked.f_exact, m, 10.0, lens.pupil_ratio)
    except OutOfRange:  # a centimetre nearer is in the lens
        return None


def _rest_to_eye_mm(asked: Asked) -> float:
    rest = asked.holding.rest_to_eye_mm
    return REST_TO_EYE_MM if rest is None else rest


def _nearer_mm(asked: Asked) -> float | None:
    """None: the sheet stands inside infinity focus."""
    if asked.sheet_behind_glass_mm == 0:
        return 0.0
    focal, m, shift = asked.lens.focal_mm, asked.magnification, asked.sheet_behind_glass_mm
    if shift <= -0.999 * focal * m:
        return None
    return subject_shift_mm(focal, m, shift)


def _displaced(asked: Asked, circle: float) -> told.Displaced | None:
    shift, lens, m = asked.sheet_behind_glass_mm, asked.lens, asked.magnification
    if shift == 0:
        return None
    blur = plate_blur_mm(shift, asked.f_exact, m, lens.pupil_ratio)
    wanted = asked.f_exact * blur / circle
    return told.Displaced(
        sheet_behind_glass_mm=shift,
        nearer_mm=_nearer_mm(asked),
        blur_mm=blur,
        is_sharp=blur <= circle,
        stop_down_to=asked.f_number if blur <= circle else _mark_from(wanted, asked),
        lens_back_mm=_lens_back_mm(asked),
    )


def _lens_back_mm(asked: Asked) -> float | None:
    try:
        return refocus_mm(asked.lens.focal_mm, asked.magnification, asked.sheet_behind_glass_mm)
    except OutOfRange:
        return None


def _finder(asked: Asked) -> told.Finder | None:
    above, right = asked.finder_mm
    return None if above == 0 and right == 0 else told.Finder(down_mm=above, left_mm=right)


def _corners(asked: Asked) -> told.Corners:
    lens, m = asked.lens, asked.magnification
    diagonal = math.hypot(*asked.format_mm)
    circle = None
    if lens.coverage_mm is not None:
        circle = image_circle_mm(lens.coverage_mm, m, lens.pupil_ratio)
    pupil = exit_pupil_to_film_mm(lens.focal_mm, m, lens.pupil_ratio)
    off_axis = off_axis_angle_deg(diagonal / 2, min(pupil, LENGTH_RANGE_MM[1]))
    angle = min(off_axis, ANGLE_RANGE_DEG[1])
    return told.Corners(
        covers=None if circle is None else circle >= diagonal,
        circle_mm=circle,
        diagonal_mm=diagonal,
        angle_deg=angle,
        falls_stops=cos4_stops(angle),
    )


def _frame_m(asked: Asked) -> tuple[float, float]:
    width_mm, height_mm = asked.format_mm
    return width_mm / asked.magnification / 1000, height_mm / asked.magnification / 1000


def floor_marks(asked: Asked) -> told.Floor | None:
    """Where tape goes, for a camera without a ground glass or with nobody behind it; else None."""
    if not (asked.is_fixed_back or asked.holding.is_self_portrait):
        return None
    nearer = (_nearer_mm(asked) or 0.0) if asked.is_fixed_back else 0.0
    eye_m = _board_to_eye_m(asked) - nearer / 1000
    return told.Floor(
        eye_m=eye_m,
        head_rest_m=eye_m + _rest_to_eye_mm(asked) / 1000,
        left_right_m=_frame_m(asked)[0] / 2,
    )


def _reminder(asked: Asked) -> str:
    if asked.is_fixed_back:
        return "eye at the tape mark"
    return "insert in before focusing" if asked.sheet_behind_glass_mm else ""


def _sentence(sharp: told.Sharpness, stand_in: told.StandIn) -> str:
    how = "in the hand" if sharp.viewing == "in_the_hand" else "on the wall"
    centimetre = "stays sharp" if stand_in.centimetre_is_sharp else "is soft"
    return (
        f"Sharp {how} from {_by_tape(sharp.before_mm)} before the eye to "
        f"{_by_tape(sharp.behind_mm)} behind it; an eye a centimetre nearer {centimetre}."
    )


def _by_tape(length_mm: float | None) -> str:
    if length_mm is None or length_mm / 1000 > LARGEST_M:
        return "far"
    return format_offset(length_mm / 1000)
