"""What focus is asked of: a sitting of a book, or bare numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from stillroom.camera import (
    Camera,
    Depth,
    Lens,
    board_to_subject_m,
    circle_for,
    depth_about,
    draw_mm,
    exact_f_number,
    film_to_subject_m,
    magnification_from_distance,
    magnification_from_draw,
    magnification_from_film_distance,
    subject_distance_m,
)
from stillroom.documents import book as doc
from stillroom.documents.holding import Holding, Viewing
from stillroom.documents.to_domain import camera_of, lens_of, magnification_of, named
from stillroom.errors import BadValue, NotPossible
from stillroom.quantity import FULL_STOP_MARKS, format_length, format_offset, sheet_size_mm
from stillroom.services.worktable import Worktable

MeasuredFrom = Literal["lens", "board", "film"]

REST_TO_EYE_MM = 187.0
"""From the back of a middling head to its eyes; about 19 cm: common practice, no source."""
LONGEST_HEAD_MM = 400.0
_LEAST, _MOST = 1e-5, 20.0  # magnifications
_HEAD = 0.25  # of head and shoulders on a middling sheet: common practice, no source
_FROM: dict[MeasuredFrom, str] = {"lens": "lens", "board": "lens board", "film": "sheet"}
_NOTHING_SAID = Holding()


@dataclass(frozen=True, slots=True)
class Asked:
    """What focus is asked of.

    Parameters
    ----------
    lens : Lens
        The lens.
    format_mm : tuple of float
        Width and height of the sheet [mm].
    magnification : float
        In the plane in focus [1].
    f_number : float
        As marked.
    exact : float, optional
        What that stands for; as the lens says unless given.
    flange_at_infinity_mm : float, optional
        Draw at infinity focus [mm].
    camera : Camera, optional
        The body, where its bellows count.
    holding : Holding
        How the sitter is held and focused on, how the picture is looked at.
    sheet_behind_glass_mm, sheet_behind_glass_sd_mm : float
        Where the sheet lies against the ground glass [mm].
    finder_mm : tuple of float
        How far a finder sits above, and to the right of, the lens [mm].
    is_fixed_back : bool
        Whether there is nothing to focus on.
    """

    lens: Lens
    format_mm: tuple[float, float]
    magnification: float
    f_number: float
    flange_at_infinity_mm: float | None = None
    camera: Camera | None = None
    holding: Holding = _NOTHING_SAID
    sheet_behind_glass_mm: float = 0.0
    sheet_behind_glass_sd_mm: float = 0.0
    finder_mm: tuple[float, float] = (0.0, 0.0)
    is_fixed_back: bool = False
    sitting: str | None = None
    camera_name: str = ""
    lens_name: str = ""
    exact: float | None = None

    @property
    def f_exact(self) -> float:
        """What the mark stands for."""
        return self.exact_of(self.f_number) if self.exact is None else self.exact

    def exact_of(self, mark: float) -> float:
        """What another mark of the lens stands for."""
        lens = self.lens
        return exact_f_number(mark, lens.f_numbers[0], lens.true_f_number_wide_open)

    def circle_mm(self, viewing: Viewing) -> float:
        """What counts as sharp, looked at in a way [mm]."""
        seen_from = self.holding.viewing_distance_m
        return circle_for(viewing, *self.format_mm, seen_from)

    def depth(self, circle_mm: float, f_exact: float | None = None) -> Depth:
        """Depth about the plane in focus."""
        number = self.f_exact if f_exact is None else f_exact
        lens = self.lens
        return depth_about(lens.focal_mm, number, circle_mm, self.magnification, lens.pupil_ratio)


def focus_asked(
    book: doc.Book,
    sitting_id: str,
    *,
    f_number: float | None = None,
    viewing: Viewing | None = None,
) -> Asked:
    """What focus is asked of in a sitting, at the stop that stands unless another is said.

    Raises
    ------
    UnknownName
        If the sitting or something it names is not in the book.
    NotPossible
        If the lens lacks the stop.
    """
    sitting = named("sitting", sitting_id, book.sittings)
    body = named("camera", sitting.camera, book.kit.cameras)
    glass = named("lens", sitting.lens, book.kit.lenses)
    lens = lens_of(glass)
    number = Worktable(book, sitting_id).standing().f_number if f_number is None else f_number
    holding = sitting.holding
    if viewing is not None:
        holding = holding.model_copy(update={"viewing": viewing})
    return Asked(
        lens=lens,
        format_mm=body.format_mm,
        magnification=magnification_of(sitting.framing, lens),
        f_number=_of_the_lens(number, lens),
        flange_at_infinity_mm=glass.flange_at_infinity_mm,
        camera=camera_of(body),
        holding=holding,
        sheet_behind_glass_mm=body.sheet_behind_glass_mm,
        sheet_behind_glass_sd_mm=body.sheet_behind_glass_sd_mm,
        finder_mm=(body.finder_above_mm, body.finder_right_mm),
        is_fixed_back=body.fixed_back,
        sitting=sitting.id,
        camera_name=body.name or body.id,
        lens_name=glass.name or glass.id,
    )


def magnification_asked(
    lens: Lens,
    *,
    magnification: float | None = None,
    distance_m: float | None = None,
    draw_of_mm: float | None = None,
    flange_at_infinity_mm: float | None = None,
    measured_from: MeasuredFrom = "lens",
) -> float:
    """The magnification that exactly one of three framings stands for.

    Raises
    ------
    OutOfRange, BadValue
        If it lies outside its range.
    NotPossible
        If none or more than one is given, or nothing is sharp there; the sentence says the
        nearest that is.
    """
    given = [x for x in (magnification, distance_m, draw_of_mm) if x is not None]
    if len(given) != 1:
        raise NotPossible("Say one of magnification, distance or draw, and only one.")
    focal, flange = lens.focal_mm, flange_at_infinity_mm
    if magnification is not None:
        if not _LEAST <= magnification <= _MOST:
            near = min(max(magnification, _LEAST), _MOST) if magnification > 0 else _HEAD
            raise BadValue(
                "magnification",
                magnification,
                f"give a number from 0.00001 to {_MOST:g}; nearest, {near:g}",
            )
        return magnification
    if distance_m is not None:
        return _by_distance(focal, flange, distance_m, measured_from)
    draw = draw_of_mm or 0.0
    infinity = draw_mm(focal, 0.0, flange)
    if draw <= infinity:
        raise NotPossible(
            f"At {draw:g} mm of draw this lens is sharp on nothing nearer than far away: 1:4 asks "
            f"for {draw_mm(focal, _HEAD, flange):g} mm."
        )
    return magnification_from_draw(focal, draw, flange)


def _by_distance(
    focal: float, flange: float | None, distance_m: float, measured_from: MeasuredFrom
) -> float:
    life_m = {
        "lens": subject_distance_m(focal, 1.0),
        "board": board_to_subject_m(focal, 1.0, flange),
        "film": film_to_subject_m(focal, 1.0),
    }[measured_from]
    least_m = life_m if measured_from == "film" else life_m - focal / 1000
    # Nearer to the lens than life size is for close work; from the sheet life size is nearest.
    if distance_m < least_m or (distance_m == least_m and measured_from != "film"):
        raise NotPossible(
            f"At {format_offset(distance_m)} from the {_FROM[measured_from]} nothing is sharp "
            f"with a focal length of {focal:g} mm: nearest, life size at {format_length(life_m)}."
        )
    if measured_from == "film":
        return magnification_from_film_distance(focal, distance_m)
    from_lens_m = distance_m - (life_m - subject_distance_m(focal, 1.0))
    return magnification_from_distance(focal, from_lens_m)


def bare(
    *,
    focal_mm: float,
    f_number: float,
    pupil_ratio: float = 1.0,
    sheet: str = "4x5 in",
    magnification: float | None = None,
    distance_m: float | None = None,
    draw_of_mm: float | None = None,
    flange_at_infinity_mm: float | None = None,
    measured_from: MeasuredFrom = "lens",
    bellows_mm: float | None = None,
    viewing: Viewing | None = None,
) -> Asked:
    """What focus is asked of where only numbers are given; the lens has the full stops.

    Raises
    ------
    OutOfRange, BadValue
        If a number lies outside its range, or the sheet has no known size.
    NotPossible
        As `magnification_asked`.
    """
    marks = {f_number, *(mark for mark in FULL_STOP_MARKS if mark > f_number)}
    lens = Lens("lens", focal_mm, tuple(sorted(marks)), None, pupil_ratio)
    format_mm = sheet_size_mm(sheet)
    camera = None if bellows_mm is None else Camera("camera", format_mm, draw_max_mm=bellows_mm)
    return Asked(
        lens=lens,
        format_mm=format_mm,
        magnification=magnification_asked(
            lens,
            magnification=magnification,
            distance_m=distance_m,
            draw_of_mm=draw_of_mm,
            flange_at_infinity_mm=flange_at_infinity_mm,
            measured_from=measured_from,
        ),
        f_number=f_number,
        flange_at_infinity_mm=flange_at_infinity_mm,
        camera=camera,
        holding=Holding() if viewing is None else Holding(viewing=viewing),
    )


def with_rest(asked: Asked, rest_to_eye_mm: float) -> Asked:
    """The same with the head rest taped so far behind the eye.

    Raises
    ------
    BadValue
        If that lies outside 0 to 400 mm.
    """
    if not 0.0 <= rest_to_eye_mm <= LONGEST_HEAD_MM:
        raise BadValue(
            "head rest to eye",
            f"{rest_to_eye_mm:g} mm",
            f"give 0 to {LONGEST_HEAD_MM:g} mm, by a tape along the head; left out, "
            f"{format_length(REST_TO_EYE_MM / 1000)}",
        )
    said = {"rest_to_eye_mm": rest_to_eye_mm, "focus_on": "head_rest"}
    return replace(asked, holding=asked.holding.model_copy(update=said))


def _of_the_lens(f_number: float, lens: Lens) -> float:
    marks = lens.f_numbers
    for mark in marks:
        if math.isclose(mark, f_number, rel_tol=1e-6):
            return mark
    nearest = min(marks, key=lambda mark: abs(math.log2(mark / max(f_number, 1e-6))))
    raise NotPossible(
        f"This lens has no f/{f_number:g}; the nearest of its marks is f/{nearest:g}."
    )
