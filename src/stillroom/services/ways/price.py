"""What another camera asks to look as sharp: stop, draw and glass, in the hand and on the wall."""

from __future__ import annotations

import math

from stillroom.belief import Posterior
from stillroom.camera import bellows_stops, exact_f_number, f_number_stops
from stillroom.camera.focus import circle_for, depth_about, f_number_for_depth
from stillroom.documents import kit
from stillroom.documents.holding import Viewing
from stillroom.documents.to_domain import lens_of
from stillroom.documents.ways import CameraShown, InFocus, Price
from stillroom.errors import OutOfRange
from stillroom.light import colour_stops
from stillroom.paper import PaperBatch
from stillroom.quantity import stops_text
from stillroom.quantity.formats import SHEET_FORMATS
from stillroom.services.ways.asked import Other, Standing

NO_MORE_STOPS = 1 / 6
MARK_SLACK_STOPS = 0.1
"""A mark that falls short of the depth by less than this counts as deep enough (ours)."""
WIDEST_F, SMALLEST_F = 0.5, 512.0
_SAME_SHEET_MM = 1.5
VIEWED: dict[Viewing, str] = {"in_the_hand": "In the hand", "on_the_wall": "On the wall"}


def exact(lens: kit.Lens, marked: float) -> float:
    """What a mark of a lens stands for [1]."""
    return exact_f_number(marked, min(lens.f_numbers), lens.true_f_number_wide_open)


def circle_mm(standing: Standing, viewing: Viewing, distance_m: float | None) -> float:
    """What counts as sharp on a camera's sheet [mm]."""
    return circle_for(viewing, *standing.camera.format_mm, distance_m)


def in_focus(standing: Standing, f_exact: float, circle: float) -> InFocus:
    """Depth about the eye on one camera, at an exact f-number."""
    lens = standing.lens
    depth = depth_about(lens.focal_mm, f_exact, circle, standing.magnification, lens.pupil_ratio)
    behind = float(depth.behind_mm)
    return InFocus(
        before_mm=float(depth.before_mm),
        behind_mm=None if math.isinf(behind) else behind,
        circle_mm=circle,
    )


def f_as_deep(other: Other, viewing: Viewing, f_now: float) -> float:
    """The exact f-number at which the other camera is as deep before the eye as the one in use.

    Parameters
    ----------
    other : Other
        Both cameras.
    viewing : str
        How both sheets are looked at.
    f_now : float
        Exact f-number of the one in use [1].
    """
    there, here, distance = other.other, other.in_use, other.viewing_distance_m
    distance = distance if viewing == "on_the_wall" else None
    before = in_focus(here, f_now, circle_mm(here, viewing, distance)).before_mm
    try:
        found = f_number_for_depth(
            there.lens.focal_mm,
            before,
            circle_mm(there, viewing, distance),
            there.magnification,
            there.lens.pupil_ratio,
        )
    except OutOfRange:
        return SMALLEST_F
    return min(max(found, WIDEST_F), SMALLEST_F)


def price(
    other: Other, viewing: Viewing, f_now: float, posterior: Posterior, batch: PaperBatch
) -> Price:
    """What the other camera asks more, to look as sharp.

    Parameters
    ----------
    other : Other
        Both cameras.
    viewing : str
        How both sheets are looked at.
    f_now : float
        As marked, the stop of the camera in use.
    posterior : Posterior
        What is believed of the glass in use.
    batch : PaperBatch
        The paper that sees through the glass.
    """
    here, there = other.in_use, other.other
    f_exact_now = exact(here.lens, f_now)
    f_exact = f_as_deep(other, viewing, f_exact_now)
    slack = 2 ** (-MARK_SLACK_STOPS / 2)
    deep = [m for m in there.lens.f_numbers if exact(there.lens, m) >= f_exact * slack]
    depth = f_number_stops(f_exact_now) - f_number_stops(f_exact)
    draw = _bellows(here) - _bellows(there)
    glass = _glass(here.lens, posterior, batch) - _glass(there.lens, posterior, batch)
    stops = depth + draw + glass
    return Price(
        viewing=viewing,
        f_number=min(deep, default=None),
        f_exact=f_exact,
        stops=stops,
        depth_stops=depth,
        bellows_stops=draw,
        glass_stops=glass,
        sentence=asks(other, viewing, stops),
    )


def _bellows(standing: Standing) -> float:
    return bellows_stops(standing.magnification, standing.lens.pupil_ratio)


def _glass(lens: kit.Lens, posterior: Posterior, batch: PaperBatch) -> float:
    """What a lens lets through of flash, as this paper sees it [stops]; as learned or stated."""
    belief, name = posterior.belief, f"lens/{lens.id}/transmission"
    mean = lens.transmission_stops
    if name in belief.names:
        mean = float(belief.mean[belief.names.index(name)])
    return mean + colour_stops("flash", batch.sees, [lens_of(lens).passes]).value


def shown(other: Other, standing: Standing, f_marked: float, f_exact: float) -> CameraShown:
    """One camera as it is told."""
    distance = other.viewing_distance_m if other.viewing == "on_the_wall" else None
    circle = circle_mm(standing, other.viewing, distance)
    return CameraShown(
        camera=standing.camera.id,
        camera_name=standing.camera.name or standing.camera.id,
        lens=standing.lens.id,
        lens_name=standing.lens.name or standing.lens.id,
        format_mm=standing.camera.format_mm,
        f_number=f_marked,
        magnification=standing.magnification,
        draw_mm=standing.draw_mm,
        bellows_stops=_bellows(standing),
        subject_distance_m=standing.subject_distance_m,
        in_focus=in_focus(standing, f_exact, circle),
    )


# ---- words --------------------------------------------------------------------------------


def sheet_called(format_mm: tuple[float, float]) -> str:
    """A sheet by its trade name, else in centimetres.

    Examples
    --------
    >>> sheet_called((130, 180)), sheet_called((203.2, 254)), sheet_called((150, 200))
    ('13 × 18', '8 × 10 in', '15 × 20')
    """
    width, height = sorted(format_mm)
    for name, size in SHEET_FORMATS.items():
        low, high = sorted(size)
        if abs(low - width) <= _SAME_SHEET_MM and abs(high - height) <= _SAME_SHEET_MM:
            return name.replace("x", " × ").removesuffix(" cm") if "x" in name else name
    return f"{width / 10:.3g} × {height / 10:.3g}"


def stops_said(value: float) -> str:
    """A size in stops, without its sign.

    Examples
    --------
    >>> stops_said(2.04), stops_said(1.0), stops_said(-1.4), stops_said(0.3)
    ('2 stops', '1 stop', '1⅓ stops', '⅓ stop')
    """
    size = stops_text(abs(value))[1:]
    return f"{size} stop" if abs(value) < 7 / 6 else f"{size} stops"


def asks(other: Other, viewing: Viewing, stops: float) -> str:
    """One sentence on what the other camera asks."""
    than = sheet_called(other.in_use.camera.format_mm)
    if other.in_use.camera.format_mm == other.other.camera.format_mm:
        than = other.in_use.camera.name or other.in_use.camera.id
    if abs(stops) < NO_MORE_STOPS:
        return f"{VIEWED[viewing]} it asks for no more light than the {than}."
    way = "more" if stops > 0 else "less"
    return f"{VIEWED[viewing]} it asks for {stops_said(stops)} {way} than the {than}."
