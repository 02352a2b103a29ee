"""Focus of a sitting, or of bare numbers: where to focus, how deep it is, what is off."""

from __future__ import annotations

import math

from stillroom.camera import (
    Lens,
    airy_disc_mm,
    blur_at_mm,
    cos4_stops,
    diffraction_f_number,
    draw_mm,
    exact_f_number,
    eye_in_focus,
    f_number_for_depth,
    magnification_from_draw,
    off_axis_angle_deg,
    plate_blur_mm,
    subject_distance_m,
    subject_shift_mm,
)
from stillroom.documents import focus as told
from stillroom.documents.holding import FocusOn, Support, Viewing
from stillroom.errors import NotPossible
from stillroom.quantity import format_length
from stillroom.services.focus_asked import Asked

REST_TO_EYE_MM = 187.0
"""From the back of a middling head to its eyes; about 19 cm: common practice, no source."""
REST_TO_EYE_SD_MM = 8.0
TAPED_SD_MM = 3.0  # a tape along a head: invented
NOSE_BEFORE_EYE_MM = 40.0  # tip of a middling nose before the eyes: from memory
WAVELENGTH_NM = 450.0  # stands for blue-sensitive paper

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
    viewing: Viewing = asked.holding.viewing or "in_the_hand"
    draw = draw_mm(lens.focal_mm, m, asked.flange_at_infinity_mm)
    left = _bellows_left(asked, draw)
    circle = asked.circle_mm(viewing)
    sharp = tuple(_sharpness(asked, v) for v in (viewing, _OTHER_VIEWING[viewing]))
    stand_in = _stand_in(asked, circle)
    displaced = _displaced(asked, circle)
    distance_m = subject_distance_m(lens.focal_mm, m)
    width, height = (side / m / 1000 for side in asked.format_mm)
    return told.Focus(
        sitting=asked.sitting,
        camera_name=asked.camera_name,
        lens_name=asked.lens_name,
        focal_mm=lens.focal_mm,
        pupil_ratio=lens.pupil_ratio,
        f_number=asked.f_number,
        f_exact=asked.f_exact,
        magnification=m,
        subject_distance_m=distance_m,
        draw_mm=draw,
        draw_left_mm=left,
        frame_m=(width, height),
        viewing=viewing,
        sharp=sharp,
        diffraction_f_number=diffraction_f_number(WAVELENGTH_NM, circle, m, lens.pupil_ratio),
        airy_mm=airy_disc_mm(WAVELENGTH_NM, asked.f_exact, m, lens.pupil_ratio),
        stand_in=stand_in,
        displaced=displaced,
        finder=_finder(asked),
        corners=_corners(asked),
        floor=_floor(asked, distance_m, width, height),
        reminder=_reminder(asked),
        sentence=_sentence(sharp[0], stand_in),
    )


def p_eye_sharp(asked: Asked) -> float:
    """The odds that the eye is sharp, as the picture is looked at."""
    circle = asked.circle_mm(asked.holding.viewing or "in_the_hand")
    return _stand_in(asked, circle).p_sharp


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
    near = format_length(subject_distance_m(lens.focal_mm, m))
    word = "nearest" if draw > longest else "farthest"
    raise NotPossible(f"{said}: {word}, 1:{1 / m:.2g} with the eye {near} from the lens.")


def _sharpness(asked: Asked, viewing: Viewing) -> told.Sharpness:
    circle = asked.circle_mm(viewing)
    depth = asked.depth(circle)
    behind = float(depth.behind_mm)
    lens = asked.lens
    wanted = f_number_for_depth(
        lens.focal_mm, NOSE_BEFORE_EYE_MM, circle, asked.magnification, lens.pupil_ratio
    )
    return told.Sharpness(
        viewing=viewing,
        circle_mm=circle,
        before_mm=float(depth.before_mm),
        behind_mm=behind if math.isfinite(behind) else None,
        f_number=_mark_from(wanted, lens),
        f_exact=wanted,
        stops=2 * math.log2(wanted / asked.f_exact),
    )


def _mark_from(f_exact: float, lens: Lens) -> float | None:
    """The widest mark that is as small; a twentieth of a stop short counts as reached."""
    for mark in lens.f_numbers:
        exact = exact_f_number(mark, lens.f_numbers[0], lens.true_f_number_wide_open)
        if 2 * math.log2(exact / f_exact) >= -0.05:
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
    holding, lens = asked.holding, asked.lens
    on = holding.focus_on or _usual_focus(asked)
    rest = REST_TO_EYE_MM if holding.rest_to_eye_mm is None else holding.rest_to_eye_mm
    sd = _eye_sd_mm(asked)
    blur = blur_at_mm(lens.focal_mm, asked.f_exact, asked.magnification, 10.0, lens.pupil_ratio)
    return told.StandIn(
        focus_on=on,
        rest_to_eye_mm=rest,
        rest_is_measured=holding.rest_to_eye_mm is not None,
        eye_sd_mm=sd,
        p_sharp=float(eye_in_focus(asked.depth(circle), sd, -_nearer_mm(asked))),
        centimetre_blur_mm=blur,
        centimetre_is_sharp=blur <= circle,
        text=_where(on, rest),
    )


def _where(on: FocusOn, rest_mm: float) -> str:
    rest = format_length(rest_mm / 1000)
    if on == "eye":
        return "Focus on the nearer eye, on its lower lid, and let nobody move the chair after."
    if on == "target_in_chair":
        return (
            "Stand a target where the eye will be: a stick with small print on the chair, at the "
            "height of the lower lid. Take it away when the sitter is down."
        )
    return (
        f"Set the head rest to the back of the head. Put the target {rest} before the rest, "
        "towards the lens, where the eye will be, and focus on it."
    )


def _nearer_mm(asked: Asked) -> float:
    if asked.sheet_behind_glass_mm == 0:
        return 0.0
    return subject_shift_mm(asked.lens.focal_mm, asked.magnification, asked.sheet_behind_glass_mm)


def _displaced(asked: Asked, circle: float) -> told.Displaced | None:
    shift, lens, m = asked.sheet_behind_glass_mm, asked.lens, asked.magnification
    if shift == 0:
        return None
    nearer = _nearer_mm(asked)
    blur = plate_blur_mm(shift, asked.f_exact, m, lens.pupil_ratio)
    wanted = asked.f_exact * blur / circle
    mark = asked.f_number if blur <= circle else _mark_from(wanted, lens)
    size, side = format_length(abs(shift) / 1000), "behind" if shift > 0 else "before"
    away = format_length(abs(nearer) / 1000)
    ways = [
        f"Focus with the insert in, as the sheet lies: it is {size} {side} the ground glass.",
        f"Or focus, then bring the lens {size} {'back' if shift > 0 else 'forward'}.",
        f"Or move the sitter {away} {'nearer' if shift > 0 else 'away'} after focusing.",
    ]
    if mark is not None and mark != asked.f_number:
        ways.append(f"Or stop down to f/{mark:g}, where it no longer shows.")
    return told.Displaced(
        sheet_behind_glass_mm=shift,
        nearer_mm=nearer,
        blur_mm=blur,
        is_sharp=blur <= circle,
        stop_down_to=mark,
        ways=tuple(ways),
    )


def _finder(asked: Asked) -> told.Finder | None:
    above, right = asked.finder_mm
    if above == 0 and right == 0:
        return None
    moves = [
        f"{format_length(abs(mm) / 1000)} {word if mm > 0 else other}"
        for mm, word, other in (
            (above, "lower", "higher"),
            (right, "further left", "further right"),
        )
        if mm
    ]
    text = (
        f"Held level, the frame on the sheet lies {' and '.join(moves)} at the sitter than the "
        "finder shows, near or far: frame so, then move the camera by as much."
    )
    return told.Finder(down_mm=above, left_mm=right, text=text)


def _corners(asked: Asked) -> told.Corners:
    lens, m = asked.lens, asked.magnification
    diagonal = math.hypot(*asked.format_mm)
    circle = None if lens.coverage_mm is None else lens.coverage_mm * (1 + m)
    pupil_to_sheet = lens.focal_mm * (m + lens.pupil_ratio)
    angle = off_axis_angle_deg(diagonal / 2, pupil_to_sheet)
    falls = cos4_stops(angle)
    covers = None if circle is None else circle >= diagonal
    fall = f"The corners are {abs(falls):.1f} stop darker for their angle"
    if covers is False and circle is not None:
        text = (
            f"{fall}, and black beyond the lens's circle: {circle:.0f} mm of light for a sheet of "
            f"{diagonal:.0f} mm from corner to corner."
        )
    elif covers:
        text = f"{fall}; the lens's circle of {circle:.0f} mm covers the sheet."
    else:
        text = f"{fall}; how wide a circle the lens covers is not in the kit."
    return told.Corners(
        covers=covers,
        circle_mm=circle,
        diagonal_mm=diagonal,
        angle_deg=angle,
        falls_stops=falls,
        text=text,
    )


def _floor(asked: Asked, distance_m: float, width_m: float, height_m: float) -> tuple[str, ...]:
    if not (asked.is_fixed_back or asked.holding.is_self_portrait):
        return ()
    rest = asked.holding.rest_to_eye_mm or REST_TO_EYE_MM
    frame = f"{format_length(width_m)} wide and {format_length(height_m)} high"
    marks = [
        f"Tape on the floor: the eye {format_length(distance_m)} before the lens.",
        f"The head rest {format_length(distance_m + rest / 1000)} from the lens.",
        f"The frame there is {frame}: a stick at each side of the chair shows where it ends.",
    ]
    return tuple(marks)


def _reminder(asked: Asked) -> str:
    if asked.sheet_behind_glass_mm:
        return "insert in before focusing"
    return "eye at the tape mark" if asked.is_fixed_back else ""


def _sentence(sharp: told.Sharpness, stand_in: told.StandIn) -> str:
    before = format_length(sharp.before_mm / 1000)
    behind = "far" if sharp.behind_mm is None else format_length(sharp.behind_mm / 1000)
    how = "in the hand" if sharp.viewing == "in_the_hand" else "on the wall"
    centimetre = "stays sharp" if stand_in.centimetre_is_sharp else "is soft"
    return (
        f"Sharp {how} from {before} before the eye to {behind} behind it; an eye a centimetre "
        f"nearer {centimetre}."
    )
