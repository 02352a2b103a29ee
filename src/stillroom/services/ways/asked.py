"""What is asked of another camera, and the sitting as it would stand before it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.camera import draw_mm, magnification_from_draw, subject_distance_m
from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.checks import marked_f_number, marks_of
from stillroom.documents.holding import USUAL_VIEWING, Viewing
from stillroom.documents.to_domain import lens_of, magnification_of, named
from stillroom.errors import BadValue, NotPossible, UnknownName, in_range, shown
from stillroom.services.seats import is_seat

POPS_MOST = 8
POPS_RANGE = (1, 64)
BUY_RANGE_WS = (0.0, 100_000.0)
VIEWING_RANGE_M = (0.1, 20.0)
_ROUND_DOWN = 0.999
"""A figure that is offered lies a hair within what fits."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked.

    Attributes
    ----------
    sitting, camera : str
        Which sitting, on which other camera.
    lens : str, optional
        With which lens; the one that shows the sitter most alike unless given.
    magnification, subject_distance_m, draw_mm : float, optional
        How large the sitter is to stand, one way of saying it; the same part of the sitter fills
        the sheet unless given.
    viewing, viewing_distance_m : str, float, optional
        How the sheet will be looked at; as the sitting says unless given.
    seat : str, optional
        A seat of the book whose daylight may serve, by itself or as place/seat; that of the
        sitting, else the first, unless given.
    room_state : str, optional
        State of the room's own light; that of the sitting unless given.
    paper : str, optional
        Another batch of paper.
    f_number : float, optional
        The only stop that may be set, as marked.
    pops_most : int
        Most pops on one sheet, 1 to 64.
    buy_ws : float
        Most W·s that may be bought or hired.
    """

    sitting: str
    camera: str
    lens: str | None = None
    magnification: float | None = None
    subject_distance_m: float | None = None
    draw_mm: float | None = None
    viewing: Viewing | None = None
    viewing_distance_m: float | None = None
    seat: str | None = None
    room_state: str | None = None
    paper: str | None = None
    f_number: float | None = None
    pops_most: int = POPS_MOST
    buy_ws: float = 0.0


@dataclass(frozen=True, slots=True)
class Standing:
    """A sitting on one camera, as things of a kit.

    Attributes
    ----------
    sitting : Sitting
        The sitting, its camera, lens and framing this one's.
    camera, lens : Camera, Lens
        As the kit has them.
    magnification : float
        Of the sitter on the sheet.
    """

    sitting: doc.Sitting
    camera: kit.Camera
    lens: kit.Lens
    magnification: float

    @property
    def draw_mm(self) -> float:
        """From the sheet to the lens [mm]."""
        return draw_mm(self.lens.focal_mm, self.magnification, self.lens.flange_at_infinity_mm)

    @property
    def subject_distance_m(self) -> float:
        """From the lens to the eye [m]."""
        return subject_distance_m(self.lens.focal_mm, self.magnification)

    @property
    def frame_mm(self) -> tuple[float, float]:
        """What of the sitter's plane is on the sheet, width and height [mm]."""
        width, height = self.camera.format_mm
        return width / self.magnification, height / self.magnification


@dataclass(frozen=True, slots=True)
class Other:
    """Both cameras, and what was made out of the question.

    Attributes
    ----------
    asked : Asked
        The question.
    original : Book
        As it is.
    book : Book
        With the sitting on the other camera in place of its own.
    in_use, other : Standing
        The two.
    viewing : str
        How the sheet is looked at.
    viewing_distance_m : float or None
        From where, on the wall; None: the usual.
    cautions : tuple of str
        What was changed of the question so that it can be done.
    """

    asked: Asked
    original: doc.Book
    book: doc.Book
    in_use: Standing
    other: Standing
    viewing: Viewing
    viewing_distance_m: float | None
    cautions: tuple[str, ...]


def standing_of(book: doc.Book, sitting: doc.Sitting) -> Standing:
    """A sitting on its own camera."""
    lens = named("lens", sitting.lens, book.kit.lenses)
    return Standing(
        sitting,
        named("camera", sitting.camera, book.kit.cameras),
        lens,
        magnification_of(sitting.framing, lens_of(lens)),
    )


def other_of(book: doc.Book, asked: Asked) -> Other:
    """The sitting on the other camera.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        The question.

    Returns
    -------
    Other

    Raises
    ------
    UnknownName
        If something asked about is not in the book.
    BadValue
        If the framing lies beyond the bellows, the lens has no such mark, or a number is out of
        range; the sentence tells the nearest that can be done.
    NotPossible
        If the book has no lens that can be used on that camera.
    """
    sitting = named("sitting", asked.sitting, book.sittings)
    camera = named("camera", asked.camera, book.kit.cameras)
    in_use = standing_of(book, sitting)
    _check_numbers(asked)
    if asked.paper is not None:
        named("paper", asked.paper, book.papers)
    seat_asked(book, asked)
    _check_state(book, sitting, asked)
    lens = _lens(book, asked, camera, in_use)
    magnification, cautions = _magnification(asked, camera, lens, in_use)
    if asked.f_number is not None and marked_f_number(lens, asked.f_number) is None:
        raise BadValue("f-number", asked.f_number, marks_of(lens))
    cautions += _coverage(camera, lens, magnification)
    viewing: Viewing = asked.viewing or sitting.holding.viewing or USUAL_VIEWING
    distance = asked.viewing_distance_m
    distance = sitting.holding.viewing_distance_m if distance is None else distance
    state = sitting.room_state if asked.room_state is None else asked.room_state
    changed = sitting.model_copy(
        update={
            "camera": camera.id,
            "lens": lens.id,
            "paper": asked.paper or sitting.paper,
            "framing": doc.Framing(magnification=magnification),
            "room_state": state,
            "holding": sitting.holding.model_copy(
                update={"viewing": viewing, "viewing_distance_m": distance}
            ),
        }
    )
    with_it = tuple(changed if s.id == sitting.id else s for s in book.sittings)
    return Other(
        asked=asked,
        original=book,
        book=book.model_copy(update={"sittings": with_it}),
        in_use=in_use,
        other=Standing(changed, camera, lens, magnification),
        viewing=viewing,
        viewing_distance_m=distance,
        cautions=cautions,
    )


def seat_asked(book: doc.Book, asked: Asked) -> str | None:
    """The seat whose daylight may serve: the one named, the sitting's own, else the first.

    Raises
    ------
    UnknownName
        If there is no such seat, or not in the place that was named before it.
    """
    if asked.seat is not None:
        called = {seat.id: seat.id for seat in book.kit.seats}
        called |= {f"{seat.place}/{seat.id}": seat.id for seat in book.kit.seats}
        if asked.seat not in called:
            raise UnknownName("seat", asked.seat, [seat.id for seat in book.kit.seats])
        return called[asked.seat]
    sitting = named("sitting", asked.sitting, book.sittings)
    own = next((light.kit_id for light in sitting.lights if is_seat(light)), None)
    if own is not None:
        return own
    return next((seat.id for seat in book.kit.seats if not seat.retired), None)


# ---- checks and choices -------------------------------------------------------------------


def _check_numbers(asked: Asked) -> None:
    in_range("most pops", asked.pops_most, *POPS_RANGE)
    in_range("W·s to buy", asked.buy_ws, *BUY_RANGE_WS, "W·s")
    if asked.viewing_distance_m is not None:
        in_range("viewing distance", asked.viewing_distance_m, *VIEWING_RANGE_M, "m")
    given = [asked.magnification, asked.subject_distance_m, asked.draw_mm]
    if sum(v is not None for v in given) > 1:
        raise BadValue(
            "framing",
            ", ".join(f"{v:g}" for v in given if v is not None),
            "say it one way: magnification, distance of the sitter, or draw",
        )


def _check_state(book: doc.Book, sitting: doc.Sitting, asked: Asked) -> None:
    if asked.room_state is None:
        return
    known = {sitting.room_state, *(s for room in book.kit.rooms for s in room.states)} - {""}
    if known:
        named("state of the room", asked.room_state, [_Named(state) for state in sorted(known)])


@dataclass(frozen=True, slots=True)
class _Named:
    id: str


def _lens(book: doc.Book, asked: Asked, camera: kit.Camera, in_use: Standing) -> kit.Lens:
    """The lens named, else the one that shows the sitter from most nearly the same distance."""
    if asked.lens is not None:
        return named("lens", asked.lens, book.kit.lenses)
    if camera.id == in_use.camera.id:
        return in_use.lens
    wanted = _same_field(camera, in_use)
    fit = [
        lens
        for lens in book.kit.lenses
        if not lens.retired
        and (span := _span(camera, lens)) is not None
        and span[0] <= wanted <= span[1]
        and not _coverage(camera, lens, wanted)
    ]
    fit = fit or [
        lens for lens in book.kit.lenses if not lens.retired and _span(camera, lens) is not None
    ]
    if not fit:
        raise NotPossible(
            f"No lens of the kit comes to focus on camera {shown(camera.id)}, which draws "
            f"{camera.draw_min_mm:g} to {camera.draw_max_mm:g} mm: enter one, or its draw."
        )
    now = in_use.subject_distance_m

    def farther(lens: kit.Lens) -> float:
        return abs(math.log(subject_distance_m(lens.focal_mm, wanted) / now))

    return min(fit, key=farther)


def _same_field(camera: kit.Camera, in_use: Standing) -> float:
    """The magnification at which all that is on the sheet in use is on the other one too."""
    sides = zip(sorted(camera.format_mm), sorted(in_use.camera.format_mm), strict=True)
    return in_use.magnification * min(new / old for new, old in sides)


def _span(camera: kit.Camera, lens: kit.Lens) -> tuple[float, float] | None:
    """Least and greatest magnification of a lens on a camera; None where it never focuses."""
    flange = lens.flange_at_infinity_mm
    infinity = lens.focal_mm if flange is None else flange
    if camera.draw_max_mm <= infinity:
        return None
    least = 0.0
    if camera.draw_min_mm > infinity:
        least = magnification_from_draw(lens.focal_mm, camera.draw_min_mm, flange)
    return least, magnification_from_draw(lens.focal_mm, camera.draw_max_mm, flange)


def _magnification(
    asked: Asked, camera: kit.Camera, lens: kit.Lens, in_use: Standing
) -> tuple[float, tuple[str, ...]]:
    span = _span(camera, lens)
    if span is None:
        raise BadValue(
            "lens",
            lens.id,
            f"it needs more than the {camera.draw_max_mm:g} mm that camera {shown(camera.id)} "
            "draws even at infinity; choose a shorter lens",
        )
    least, most = span
    if asked.magnification is asked.subject_distance_m is asked.draw_mm is None:
        same = camera.id == in_use.camera.id
        wanted = in_use.magnification if same else _same_field(camera, in_use)
        if least <= wanted <= most:
            return wanted, ()
        nearest = min(max(wanted, least), most)
        caution = (
            f"The same part of the sitter would take 1:{1 / wanted:.1f}, which the "
            f"{lens.name or lens.id} cannot reach on this camera; reckoned at 1:{1 / nearest:.1f}."
        )
        return nearest, (caution,)
    if asked.draw_mm is not None:
        draw = in_range("draw", asked.draw_mm, camera.draw_min_mm, camera.draw_max_mm, "mm")
        return magnification_from_draw(lens.focal_mm, draw, lens.flange_at_infinity_mm), ()
    name, value = "magnification", asked.magnification
    if value is None:
        name, value = "distance of the sitter", asked.subject_distance_m
        framing = doc.Framing(subject_distance_m=value)
        wanted = magnification_of(framing, lens_of(lens))
    else:
        wanted = in_range(name, value, 0.001, 5.0)
    if least <= wanted <= most:
        return wanted, ()
    draw = draw_mm(lens.focal_mm, wanted, lens.flange_at_infinity_mm)
    raise BadValue(
        name,
        value,
        f"that takes a draw of {draw:.0f} mm, and camera {shown(camera.id)} draws "
        f"{camera.draw_min_mm:g} to {camera.draw_max_mm:g} mm; {_fits(name, lens, least, most)}",
    )


def _fits(name: str, lens: kit.Lens, least: float, most: float) -> str:
    if name == "magnification":
        most = math.floor(most * 100) / 100
        return f"give {'at most' if least == 0 else f'{least:.2f} to'} {most:g}"
    near = math.ceil(subject_distance_m(lens.focal_mm, most * _ROUND_DOWN) * 100) / 100
    if least == 0:
        return f"give at least {near:g} m"
    far = math.floor(subject_distance_m(lens.focal_mm, least) * 100) / 100
    return f"give {near:g} to {far:g} m"


def _coverage(camera: kit.Camera, lens: kit.Lens, magnification: float) -> tuple[str, ...]:
    """Whether the image circle, which grows with the draw, takes in the corners."""
    if lens.coverage_mm is None:
        return ()
    circle, corner = lens.coverage_mm * (1 + magnification), math.hypot(*camera.format_mm)
    if circle >= corner:
        return ()
    caution = (
        f"The {lens.name or lens.id} lights a circle of {circle:.0f} mm there, and the sheet "
        f"measures {corner:.0f} mm across: its corners stay dark."
    )
    return (caution,)
