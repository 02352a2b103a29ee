"""What a question about daylight is about, and the sitting it is asked of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TypeVar

from stillroom.documents import book as doc
from stillroom.documents.checks import marked_f_number, marks_of
from stillroom.documents.daylight import AskedOf
from stillroom.documents.making import as_made
from stillroom.documents.on_lens import on_other_paper
from stillroom.documents.seats import SkySeen
from stillroom.documents.thing import Thing
from stillroom.documents.to_daylight import sky_of
from stillroom.documents.to_domain import named
from stillroom.errors import BadValue, NotPossible
from stillroom.services.daylit import seat_of, sky_name
from stillroom.services.ledger_names import paper_name
from stillroom.services.looks import aims_of_look
from stillroom.services.seats import is_seat, under_sky
from stillroom.services.sittings import in_order_of_time

Kept = TypeVar("Kept", bound=Thing)

REGION = "key"
PLAN = "plan"
USUAL_LOOK = "middle"
USUAL_MAGNIFICATION = 0.3


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked about.

    Parameters
    ----------
    seat, paper, lens, camera : str
        Things of the book.
    f_number : float
        As marked on the lens [1].
    sitter : str, optional
        Who sits; a card when left out.
    sky : SkySeen, optional
        The sky; that of the sitting, or a middling one, when left out.
    sitting_id : str, optional
        A sitting whose lights, aims and readings count.
    """

    seat: str
    paper: str
    lens: str
    camera: str
    f_number: float
    sitter: str | None = None
    sky: SkySeen | None = None
    sitting_id: str | None = None


def asked_of_sitting(sitting: doc.Sitting) -> Asked | None:
    """The question a sitting asks by itself; None where no light of it is that of a seat."""
    seat = next((light.kit_id for light in sitting.lights if is_seat(light)), None)
    if seat is None:
        return None
    return Asked(
        seat=seat,
        paper=sitting.paper,
        lens=sitting.lens,
        camera=sitting.camera,
        f_number=_f_number(sitting),
        sitter=sitting.sitters[0] if sitting.sitters else None,
        sky=sitting.sky,
        sitting_id=sitting.id,
    )


def asked_by_default(book: doc.Book, current: str | None) -> Asked | None:
    """The question to start from: the current sitting's own, else the first seat with its things.

    Parameters
    ----------
    book : Book
        The book.
    current : str, optional
        Id of the current sitting.

    Returns
    -------
    Asked or None
        None where there is no seat, no paper, no lens or no camera yet.
    """
    sitting = next((s for s in book.sittings if s.id == current), None)
    own = asked_of_sitting(sitting) if sitting else None
    if own is not None:
        return own
    latest = [s for s in reversed(in_order_of_time(book)) if asked_of_sitting(s)]
    used = latest[0] if latest else sitting
    seats = _in_use(book.kit.seats)
    papers, lenses = _in_use(book.papers), _in_use(book.kit.lenses)
    cameras = _in_use(book.kit.cameras)
    if not (seats and papers and lenses and cameras):
        return None
    if used is None:
        return Asked(
            seats[0].id, papers[0].id, lenses[0].id, cameras[0].id, min(lenses[0].f_numbers)
        )
    like = asked_of_sitting(used)
    return Asked(
        seat=like.seat if like else seats[0].id,
        paper=used.paper,
        lens=used.lens,
        camera=used.camera,
        f_number=like.f_number if like else min(named("lens", used.lens, lenses).f_numbers),
        sitter=sitting.sitters[0] if sitting and sitting.sitters else None,
    )


def _in_use(things: Sequence[Kept]) -> list[Kept]:
    return [thing for thing in things if not thing.retired]


def _f_number(sitting: doc.Sitting) -> float:
    last = max(sitting.sheets, key=lambda s: s.number, default=None)
    if last is not None and sitting.stands_after != last.number:
        return as_made(last.settings, last.made).f_number
    if sitting.stands is not None:
        return sitting.stands.f_number
    return 5.6


def planned(book: doc.Book, asked: Asked, at: datetime) -> tuple[doc.Book, doc.Sitting]:
    """The sitting that a question is asked of: one of the book on its own day, or one made up.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        What is asked about.
    at : datetime
        The moment.

    Returns
    -------
    tuple of Book, Sitting
        The book with that sitting in it. One made up comes after all others, has no sheets, and
        takes lights, aims and framing from the sitting that was asked about, if any.

    Raises
    ------
    UnknownName
        If something asked about is not in the book.
    BadValue
        If the lens has no such mark.
    """
    seat_of(book, asked.seat)
    paper = named("paper", asked.paper, book.papers)
    lens = named("lens", asked.lens, book.kit.lenses)
    named("camera", asked.camera, book.kit.cameras)
    like = None
    if asked.sitting_id is not None:
        like = named("sitting", asked.sitting_id, book.sittings)
        own = asked_of_sitting(like)
        if own is not None and own.seat == asked.seat and _same_day(book, asked, like.when, at):
            same = replace(asked, sky=own.sky, f_number=own.f_number)
            if same == own:
                return _with(book, as_asked(like, asked))
    if asked.sitter is not None:
        named("sitter", asked.sitter, book.sitters)
    made = _made_up(book, asked, at, like)
    mark = marked_f_number(lens, asked.f_number)
    if mark is None:
        raise BadValue("f_number", asked.f_number, marks_of(lens))
    stands = (made.stands or doc.Settings(f_number=mark)).model_copy(update={"f_number": mark})
    if like is not None and like.paper != paper.id:
        stands = on_other_paper(book.kit, paper, stands)
    return _with(book, made.model_copy(update={"stands": stands}))


def as_asked(sitting: doc.Sitting, asked: Asked) -> doc.Sitting:
    """A sitting under the sky and at the f-stop that are asked about; its sheets keep theirs."""
    if asked.sky != sitting.sky:
        sitting = under_sky(sitting, asked.sky)
    if _f_number(sitting) == asked.f_number:
        return sitting
    last = max(sitting.sheets, key=lambda s: s.number, default=None)
    before = sitting.stands if last is None else as_made(last.settings, last.made)
    stands = before or doc.Settings(f_number=asked.f_number)
    changes = {
        "stands": stands.model_copy(update={"f_number": asked.f_number}),
        "stands_after": last.number if last else 0,
    }
    return sitting.model_copy(update=changes)


def _same_day(book: doc.Book, asked: Asked, when: datetime, at: datetime) -> bool:
    zone = seat_of(book, asked.seat)[2].place.tz
    return when.astimezone(zone).date() == at.astimezone(zone).date()


def _with(book: doc.Book, sitting: doc.Sitting) -> tuple[doc.Book, doc.Sitting]:
    others = tuple(s for s in book.sittings if s.id != sitting.id)
    return book.model_copy(update={"sittings": (*others, sitting)}), sitting


def _made_up(book: doc.Book, asked: Asked, at: datetime, like: doc.Sitting | None) -> doc.Sitting:
    taken = {s.id for s in book.sittings}
    new_id = next(n for n in (PLAN, *(f"{PLAN}-{i}" for i in range(2, 10_000))) if n not in taken)
    last = max((s.when for s in book.sittings), default=at)
    window = seat_of(book, asked.seat)[0].window is not None
    light = doc.Light(
        role=REGION, kind="window" if window else "daylight", kit_id=asked.seat, geo=asked.seat
    )
    bare = doc.Sitting(
        id=new_id,
        when=max(at, last + timedelta(seconds=1)),
        paper=asked.paper,
        camera=asked.camera,
        lens=asked.lens,
        sitters=(asked.sitter,) if asked.sitter else (),
        sky=asked.sky,
        framing=doc.Framing(magnification=_magnification(book, asked)),
        lights=(light,),
        aims={REGION: aims_of_look(USUAL_LOOK, [REGION])[REGION]},
    )
    if like is None:
        return bare
    own = [x for x in like.lights if is_seat(x)]
    lights = tuple(
        x.model_copy(update={"kit_id": asked.seat, "kind": light.kind}) if x in own else x
        for x in like.lights
    )
    return bare.model_copy(
        update={
            "framing": like.framing,
            "aims": like.aims,
            "lights": lights if own else (light,),
            "stands": like.stands if own else None,
        }
    )


def _magnification(book: doc.Book, asked: Asked) -> float:
    for sitting in reversed(in_order_of_time(book)):
        if sitting.camera == asked.camera and sitting.lens == asked.lens:
            return sitting.framing.magnification or USUAL_MAGNIFICATION
    return USUAL_MAGNIFICATION


def about(book: doc.Book, asked: Asked, sitting: doc.Sitting) -> AskedOf:
    """What an answer is about, by the names people know."""
    seat, place, _ = seat_of(book, asked.seat)
    paper = named("paper", asked.paper, book.papers)
    lens = named("lens", asked.lens, book.kit.lenses)
    sitter = next((s for s in book.sitters if s.id == asked.sitter), None)
    return AskedOf(
        sitting=sitting.id if any(s.id == sitting.id for s in book.sittings) else None,
        seat=seat.id,
        seat_name=seat.name or seat.id,
        place=place.id,
        place_name=place.name or place.id,
        zone=place.zone,
        paper=paper.id,
        paper_name=paper_name(paper),
        lens=lens.id,
        f_number=asked.f_number,
        region=region_asked(sitting),
        sitter=sitter.initials if sitter else "a card",
        holds_still_s=(sitter.holds_still_s or None) if sitter else None,
        sky=sky_name(sky_of(sitting.sky)),
        shape="open air" if seat.window is None else "window",
        window_distance_m=seat.window.distance_m if seat.window else None,
    )


def region_asked(sitting: doc.Sitting) -> str:
    """The region that the seconds are reckoned for: the key cheek, else the first that is aimed.

    Raises
    ------
    NotPossible
        If the sitting aims at nothing.
    """
    aimed = [region for region, aim in sitting.aims.items() if aim.tol_stops is not None]
    if not aimed:
        raise NotPossible(
            "Nothing is aimed at in this sitting: say where the key cheek is to fall."
        )
    return REGION if REGION in aimed else aimed[0]
