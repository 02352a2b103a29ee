"""Camera: f-numbers, framing and draw, sharpness, and the light that reaches the sheet."""

from stillroom.camera.angles import angle_of_view_deg, cos4_stops, off_axis_angle_deg
from stillroom.camera.camera import Camera
from stillroom.camera.f_number import (
    MARKS,
    FNumber,
    exact_f_number,
    f_number_of_mark,
    f_number_stops,
    geometric_f_number,
    stops_between_f_numbers,
    t_number,
)
from stillroom.camera.focus import (
    Depth,
    Viewing,
    blur_at_mm,
    circle_for,
    depth_about,
    eye_in_focus,
    f_number_for_depth,
    pupil_to_focus_mm,
)
from stillroom.camera.lens import Lens
from stillroom.camera.magnification import (
    bellows_factor,
    bellows_stops,
    draw_mm,
    effective_f_number,
    magnification_from_distance,
    magnification_from_draw,
    subject_distance_m,
)
from stillroom.camera.sharpness import (
    airy_disc_mm,
    circle_from_diagonal_mm,
    close_depth_mm,
    depth_of_field_limits_m,
    depth_of_focus_mm,
    diffraction_f_number,
    focus_error_mm,
    hyperfocal_m,
    plate_blur_mm,
    subject_shift_mm,
)
from stillroom.camera.sheet_light import lens_factor_q, lens_stops
from stillroom.camera.veil import veil_exposure_lxs, veil_stops

__all__ = [
    "MARKS",
    "Camera",
    "Depth",
    "FNumber",
    "Lens",
    "Viewing",
    "airy_disc_mm",
    "angle_of_view_deg",
    "bellows_factor",
    "bellows_stops",
    "blur_at_mm",
    "circle_for",
    "circle_from_diagonal_mm",
    "close_depth_mm",
    "cos4_stops",
    "depth_about",
    "depth_of_field_limits_m",
    "depth_of_focus_mm",
    "diffraction_f_number",
    "draw_mm",
    "effective_f_number",
    "exact_f_number",
    "eye_in_focus",
    "f_number_for_depth",
    "f_number_of_mark",
    "f_number_stops",
    "focus_error_mm",
    "geometric_f_number",
    "hyperfocal_m",
    "lens_factor_q",
    "lens_stops",
    "magnification_from_distance",
    "magnification_from_draw",
    "off_axis_angle_deg",
    "plate_blur_mm",
    "pupil_to_focus_mm",
    "stops_between_f_numbers",
    "subject_distance_m",
    "subject_shift_mm",
    "t_number",
    "veil_exposure_lxs",
    "veil_stops",
]
