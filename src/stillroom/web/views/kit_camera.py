"""Lenses, cameras, meters and scanners: questions, and what the answers mean."""

from __future__ import annotations

from stillroom.documents.kit import Camera, Lens, Meter, Scanner
from stillroom.quantity import FULL_STOP_MARKS, SHEET_FORMATS, sheet_size_mm
from stillroom.telling.names import sheet_size
from stillroom.telling.words import figure
from stillroom.web.forms import Field
from stillroom.web.views.kit_kind import NAME, NOTE, Answers, Data, Kind, dumped, plain
from stillroom.web.views.kit_process import PROCESS, process_choices

# ── Lenses ──────────────────────────────────────────────────────────────────────────────────────

# Common practice, no source: typical constructions; framing by distance or draw settles it.
_PUPIL_RATIOS = {"ordinary": 1.0, "telephoto": 0.6, "retrofocus": 1.5}
_LAST_MARK = 64.0


def marks_from(widest: float) -> tuple[float, ...]:
    """Widest mark of a lens and the full stops after it.

    Examples
    --------
    >>> marks_from(6.8)
    (6.8, 8.0, 11.0, 16.0, 22.0, 32.0, 45.0, 64.0)
    """
    later = tuple(mark for mark in FULL_STOP_MARKS if widest * 1.05 < mark <= _LAST_MARK)
    return (widest, *later)


def _lens_data(answers: Answers) -> Data:
    data = plain(
        ("name", "note", "focal_mm", "flange_at_infinity_mm", "f_numbers",
         "true_f_number_wide_open", "pupil_ratio", "transmission_stops",
         "transmission_sd_stops", "coverage_mm", "spectral")
    )(answers)  # fmt: skip
    if "focal_mm" not in data and "about_mm" in answers:
        data["focal_mm"] = float(answers["about_mm"])
    if "f_numbers" not in data and "widest" in answers:
        data["f_numbers"] = marks_from(float(answers["widest"]))
    if "pupil_ratio" not in data and "build" in answers:
        data["pupil_ratio"] = _PUPIL_RATIOS[answers["build"]]
    return data


def _lens_answers(lens: Lens) -> Data:
    return dumped(lens) | {"f_numbers": " ".join(f"{mark:g}" for mark in lens.f_numbers)}


LENSES = Kind(
    "lenses",
    "Lenses",
    "lens",
    Lens,
    (
        Field("about_mm", "Focal length, mm", "choice", start="300", choices=tuple(
            (mm, mm) for mm in ("135", "150", "180", "210", "240", "300", "360", "420", "480")
        )),
        Field("widest", "Widest f-stop", "choice", start="5.6", choices=tuple(
            (mark, mark) for mark in ("3.5", "4.5", "5.6", "6.3", "6.8", "8", "9", "11")
        )),
        Field("build", "How is it built?", "choice", start="ordinary", choices=(
            ("ordinary", "ordinary", "most lenses for large cameras"),
            ("telephoto", "telephoto", "needs less draw than its focal length"),
            ("retrofocus", "retrofocus", "wide, with more draw than its focal length"),
        )),
    ),
    (
        NAME,
        Field("focal_mm", "Focal length", "number", "mm").of(Lens),
        Field("flange_at_infinity_mm", "Draw at infinity focus", "number", "mm",
              hint="lens board to ground glass; telephoto lenses need less than the focal length"
              ).of(Lens),
        Field("f_numbers", "Marks on the ring", "figures",
              hint="all of them, with spaces: 5.6 8 11 16"),
        Field("true_f_number_wide_open", "True f-number wide open", "f_number",
              hint="if you know it").of(Lens),
        Field("pupil_ratio", "Pupil ratio", "number",
              hint="rear over front pupil; 1 is ordinary").of(Lens),
        Field("transmission_stops", "Lost in the glass", "number", "stops",
              hint="0 or below").of(Lens),
        Field("transmission_sd_stops", "How unsure", "range", "stops").of(Lens),
        Field("coverage_mm", "Circle it covers", "number", "mm").of(Lens),
        Field("spectral", "What it passes", "choice", choices=(
            ("modern", "modern glass"), ("old", "old glass"), ("own", "measured"),
        )),
        NOTE,
    ),
    _lens_data,
    _lens_answers,
    lambda lens: f"{figure(lens.focal_mm)} mm",
)  # fmt: skip

# ── Cameras ─────────────────────────────────────────────────────────────────────────────────────

FORMATS = tuple((name, name.replace("x", " × ")) for name in SHEET_FORMATS)


def _camera_data(answers: Answers) -> Data:
    data = plain(
        ("name", "note", "draw_min_mm", "draw_max_mm", "flare_share", "holder_sides",
         "sheet_behind_glass_mm", "sheet_behind_glass_sd_mm", "finder_above_mm",
         "finder_right_mm", "process")
    )(answers)  # fmt: skip
    data["fixed_back"] = answers.get("back") == "fixed"
    if "width_mm" in answers and "height_mm" in answers:
        data["format_mm"] = (answers["width_mm"], answers["height_mm"])
    elif "sheet" in answers:
        data["format_mm"] = sheet_size_mm(answers["sheet"])
    return data


def _camera_answers(camera: Camera) -> Data:
    width, height = camera.format_mm
    back = "fixed" if camera.fixed_back else "glass"
    return dumped(camera) | {"width_mm": width, "height_mm": height, "back": back}


CAMERAS = Kind(
    "cameras",
    "Cameras",
    "camera",
    Camera,
    (Field("sheet", "Which sheet does it take?", "choice", choices=FORMATS, start="4x5 in"),),
    (
        NAME,
        Field("width_mm", "Sheet, width", "number", "mm", low=10, high=2000),
        Field("height_mm", "Sheet, height", "number", "mm", low=10, high=2000),
        Field("draw_min_mm", "Shortest draw", "number", "mm").of(Camera),
        Field("draw_max_mm", "Longest draw", "number", "mm").of(Camera),
        Field("holder_sides", "Holder sides", "whole",
              hint="how many sheets you can load").of(Camera),
        Field("back", "How do you focus it?", "choice", start="glass", choices=(
            ("glass", "on the ground glass"),
            ("fixed", "not at all: a fixed back"),
        )),
        Field("sheet_behind_glass_mm", "Sheet behind the ground glass", "number", "mm",
              hint="an insert or spacer forgotten; below 0: in front of it").of(Camera),
        Field("sheet_behind_glass_sd_mm", "How unsure of that", "range", "mm").of(Camera),
        Field("finder_above_mm", "Finder above the lens", "number", "mm",
              hint="where you frame with one").of(Camera),
        Field("finder_right_mm", "Finder right of the lens", "number", "mm",
              hint="seen from behind the camera").of(Camera),
        Field("flare_share", "Veil of camera and lens", "number",
              hint="share of the frame’s light that lands everywhere; 0.02 is usual").of(Camera),
        PROCESS,
        NOTE,
    ),
    _camera_data,
    _camera_answers,
    lambda camera: f"{sheet_size(camera.format_mm)} camera",
    offered=process_choices,
)  # fmt: skip

# ── Meters, scanners ────────────────────────────────────────────────────────────────────────────

_METER_NAMES = {
    "incident_flat": "Meter, flat disc",
    "incident_dome": "Meter, dome",
    "spot": "Spot meter",
}
METERS = Kind(
    "meters",
    "Meters",
    "meter",
    Meter,
    (
        Field("kind", "What is it?", "choice", start="incident_flat", choices=(
            ("incident_flat", "flat disc",
             "at the cheek, turned to one light, the others off: held against that light alone"),
            ("incident_dome", "dome",
             "at the cheek, turned to the lens: held against all the light on the face"),
            ("spot", "spot",
             "from the camera at the skin: it mixes skin and light, so no reading of it counts"),
        )),
    ),
    (
        NAME,
        Field("bias_stops", "Known to read off by", "number", "stops",
              hint="above 0: it shows more light than there is").of(Meter),
        Field("bias_sd_stops", "How unsure of that", "range", "stops").of(Meter),
        Field("sd_stops", "Scatter of one reading", "range", "stops").of(Meter),
        NOTE,
    ),
    plain(("name", "note", "kind", "bias_stops", "bias_sd_stops", "sd_stops")),
    dumped,
    lambda meter: _METER_NAMES[meter.kind],
)  # fmt: skip

SCANNERS = Kind(
    "scanners",
    "Scanners and densitometers",
    "scanner",
    Scanner,
    (),
    (
        NAME,
        Field("sd_density", "Scatter of one reading", "range", "density").of(Scanner),
        NOTE,
    ),
    plain(("name", "note", "sd_density")),
    dumped,
    lambda _: "Scanner",
)
