"""Sets of things that may light another camera: heads in one modifier, cloths off, a window.

Each set is a sitting like the one in use with other lights; what a kit lacks, such as a modifier
with a cloth taken off, is added to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import product
from typing import TypeVar

from stillroom.belief import Posterior
from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.thing import Thing
from stillroom.documents.to_domain import named
from stillroom.documents.ways import WayKind
from stillroom.errors import NotPossible
from stillroom.exposure import BareMove, Layout
from stillroom.services.room_states import OPEN_STATE, is_open
from stillroom.services.ways.asked import Other
from stillroom.services.ways.choices import (
    HeadChoice,
    Stood,
    head_choices,
    hung_choices,
    without_grid,
)
from stillroom.services.worktable import Worktable

Added = TypeVar("Added", bound=Thing)

MOVED_SD_STOPS = 0.15
"""How far a light that was moved may miss what distance and size say (invented)."""
NEAREST_ASIDE_M = 0.3
MOST_LAMPS = 2
WINDOW = "window"


@dataclass(frozen=True, slots=True)
class LightSet:
    """One set of lights.

    Attributes
    ----------
    kind : str
        Flash, mixed, lamp or daylight.
    lights : tuple of Light
        All of them, as the sitting has them.
    key : str
        Role of the key light.
    together : tuple of str
        Roles whose heads hang in the key's modifier.
    cloths_off : int
        Cloths taken off.
    grids_off : tuple of str
        Modifiers without a face that are taken off.
    bare : tuple of str
        Roles beside the key whose grid is taken off.
    efforts : tuple of str
        Kinds of effort, besides dials, that it takes.
    modifiers, hired : tuple
        What the kit lacks.
    buy_ws : float
        W·s to be bought or hired.
    room_state : str
        State of the room's own light.
    at : datetime, optional
        The moment, where daylight counts.
    seat : str, optional
        The seat whose daylight it uses.
    """

    kind: WayKind
    lights: tuple[doc.Light, ...]
    key: str
    together: tuple[str, ...]
    room_state: str
    cloths_off: int = 0
    grids_off: tuple[str, ...] = ()
    bare: tuple[str, ...] = ()
    efforts: tuple[str, ...] = ()
    modifiers: tuple[kit.Modifier, ...] = ()
    hired: tuple[kit.Head, ...] = ()
    buy_ws: float = 0.0
    at: datetime | None = None
    seat: str | None = None
    takes: tuple[str, str] | None = None
    """A role beside the key, and the stronger head that takes it."""

    @property
    def key_light(self) -> doc.Light:
        """The key light."""
        return next(light for light in self.lights if light.role == self.key)

    @property
    def beside(self) -> tuple[doc.Light, ...]:
        """The other lights that stand on stands."""
        return tuple(
            light
            for light in self.lights
            if light.role not in self.together and light.distance_m is not None
        )

    def placed(self, distance_m: float | None, nearer: float) -> LightSet:
        """The same with the key light so far from the sitter, and the others moved in by a share.

        Parameters
        ----------
        distance_m : float or None
            Of the key light [m]; None where it has none.
        nearer : float
            Distance of the others over now [1].
        """
        aside = {x.role: aside_m(x.distance_m or 0.0, nearer) for x in self.beside}
        aside |= {role: distance_m for role in self.together if distance_m is not None}
        lights = tuple(
            light.model_copy(update={"distance_m": aside.get(light.role, light.distance_m)})
            for light in self.lights
        )
        return replace(self, lights=lights)


class OtherTable(Worktable):
    """A sitting on another camera, with what was learned on the one in use.

    Parameters
    ----------
    book : Book
        With the sitting on the other camera.
    sitting_id : str
        Which sitting.
    carried : Posterior
        What is believed, from the camera in use; what that has nothing to do with is at its prior.
    at : datetime, optional
        The moment, where daylight counts.
    moved : tuple of tuples of str
        Roles of lights that stand elsewhere than they did, those that moved as one together.
    """

    def __init__(
        self,
        book: doc.Book,
        sitting_id: str,
        carried: Posterior,
        *,
        at: datetime | None = None,
        moved: tuple[tuple[str, ...], ...] = (),
    ) -> None:
        super().__init__(book, sitting_id, at=at)
        self._carried = carried
        self._moved = moved

    def posterior(self, before_number: int | None = None) -> Posterior:
        """What was learned on the camera in use."""
        del before_number
        return self._carried

    def layout(
        self, settings: doc.Settings, room_state: str | None = None, *, number: int | None = None
    ) -> Layout:
        """The layout on the other camera, a light that was moved less sure."""
        layout = super().layout(settings, room_state, number=number)
        moves = [
            BareMove(
                name=f"{self.sitting.id}/moved/{'+'.join(roles)}",
                label=f"{roles[0]} light, stood elsewhere",
                sd_stops=MOVED_SD_STOPS,
                roles=roles,
            )
            for roles in self._moved
            if set(roles) <= set(layout.roles)
        ]
        return layout.with_moves(moves) if moves else layout


def stood_so(other: Other, standing: doc.Settings) -> Stood:
    """How the sitting stands, laid out for the other camera.

    Parameters
    ----------
    other : Other
        Both cameras.
    standing : Settings
        How it stands on the one in use.

    Raises
    ------
    NotPossible
        If every light is off.
    """
    lights, plain = [], {}
    for light in other.in_use.sitting.lights:
        setting = standing.lights.get(light.role, doc.LightSetting())
        if not setting.on:
            continue
        where = {"distance_m": setting.distance_m or light.distance_m}
        hung = light.modifiers if setting.modifiers is None else setting.modifiers
        lights.append(light.model_copy(update={**where, "modifiers": hung}))
        plain[light.role] = doc.LightSetting(dial=setting.dial)
    if not lights:
        raise NotPossible(
            "No light is on in this sitting: switch one on, or name a seat by a window with --at."
        )
    marks = other.other.lens.f_numbers
    nearest = min(marks, key=lambda mark: abs(mark / standing.f_number - 1))
    settings = standing.model_copy(
        update={"lights": plain, "f_number": nearest, "steps_pops": None}
    )
    return Stood(tuple(lights), settings, _key(lights))


def _key(lights: list[doc.Light]) -> str:
    """The light named key, else the first that stands on a stand, else the first."""
    roles = [light.role for light in lights]
    if "key" in roles:
        return "key"
    stands = [light.role for light in lights if light.kind in ("head", "lamp")]
    return (stands or roles)[0]


def on_other(other: Other, one: LightSet, settings: doc.Settings) -> doc.Book:
    """The book with the sitting lit so, and what its kit lacks."""
    old = other.book.kit
    room = one.room_state
    sitting = other.other.sitting.model_copy(
        update={
            "lights": one.lights,
            "room_state": room,
            "stands": settings,
            "stands_after": max((s.number for s in other.other.sitting.sheets), default=0),
        }
    )
    more = {
        "modifiers": (*old.modifiers, *_new(one.modifiers, old.modifiers)),
        "heads": (*old.heads, *_new(one.hired, old.heads)),
    }
    sittings = tuple(sitting if s.id == sitting.id else s for s in other.book.sittings)
    return other.book.model_copy(update={"sittings": sittings, "kit": old.model_copy(update=more)})


def aside_m(distance_m: float, nearer: float) -> float:
    """Where a light beside the key stands when it is moved in by a share [m]."""
    if nearer == 1.0:
        return distance_m
    return min(distance_m, max(round(distance_m * nearer, 2), NEAREST_ASIDE_M))


def _new(things: Iterable[Added], known: Iterable[Added]) -> list[Added]:
    ids = {thing.id for thing in known}
    return [thing for thing in things if thing.id not in ids]


# ---- by flash -----------------------------------------------------------------------------


def sets_of(
    other: Other, stood: Stood, seat: str | None, at: datetime | None
) -> tuple[LightSet, ...]:
    """Every set of lights that is tried.

    Parameters
    ----------
    other, stood : Other, Stood
        Both cameras, and how it stands.
    seat : str, optional
        A seat whose daylight may serve.
    at : datetime, optional
        When that daylight is best; None: the sun does not rise.
    """
    key = next(light for light in stood.lights if light.role == stood.key)
    found: list[LightSet] = []
    if key.kind == "head":
        found += _by_flash(other, stood, key)
        found += _by_lamp(other, stood, key)
    else:
        found.append(_as_it_is(stood, key, other.other.sitting.room_state, at))
        if key.kind == "lamp":
            found += _by_lamp(other, stood, key)
    if seat is not None and at is not None:
        found += _by_a_window(other, stood, key, seat, at)
    return tuple(found)


def _as_it_is(stood: Stood, key: doc.Light, room_state: str, at: datetime | None) -> LightSet:
    flash = any(light.kind == "head" for light in stood.lights)
    kind: WayKind = "lamp" if key.kind == "lamp" else "daylight"
    together = (key.role,) if key.kind == "lamp" else ()
    own = key.kit_id if key.kind in ("window", "daylight") else None
    return LightSet(
        kind="mixed" if flash else kind,
        lights=stood.lights,
        key=key.role,
        together=together,
        room_state=room_state,
        at=at if own else None,
        seat=own,
    )


def _by_flash(other: Other, stood: Stood, key: doc.Light) -> Iterator[LightSet]:
    gridded = {
        light.role: kept
        for light in stood.lights
        if light.role != key.role
        and (kept := without_grid(other.book.kit, light)) != light.modifiers
    }
    for heads in head_choices(other, stood, key):
        # A stronger head elsewhere says that not this light is short.
        open_to = gridded if heads.takes is None or heads.takes[0] in gridded else {}
        for hung, off in product(hung_choices(other.book.kit, key), ({}, open_to)):
            if off is open_to and not off:
                continue
            lights, roles = _with_heads(stood, key, heads, hung.ids)
            lights = tuple(
                x.model_copy(update={"modifiers": off.get(x.role, x.modifiers)}) for x in lights
            )
            yield LightSet(
                kind="flash",
                lights=lights,
                key=key.role,
                together=roles,
                room_state=other.other.sitting.room_state,
                cloths_off=hung.cloths_off,
                grids_off=hung.grids_off,
                bare=tuple(off),
                efforts=heads.efforts + hung.efforts + ("cloth",) * len(off),
                modifiers=hung.modifiers,
                hired=heads.hired,
                buy_ws=heads.buy_ws,
                takes=heads.takes,
            )


def _with_heads(
    stood: Stood, key: doc.Light, heads: HeadChoice, hung: tuple[str, ...]
) -> tuple[tuple[doc.Light, ...], tuple[str, ...]]:
    """The lights with these heads in the key's modifier: they share where it stands."""
    taken = {light.role for light in stood.lights}
    roles = [key.role]
    while len(roles) < len(heads.ids):
        roles.append(next(r for n in range(2, 99) if (r := f"{key.role}{n}") not in taken))
        taken.add(roles[-1])
    geo = key.geo or key.role
    keys = tuple(
        key.model_copy(update={"role": role, "kit_id": head, "modifiers": hung, "geo": geo})
        for role, head in zip(roles, heads.ids, strict=True)
    )
    taken_by = dict([heads.takes]) if heads.takes else {}
    others = tuple(
        light.model_copy(update={"kit_id": taken_by.get(light.role, light.kit_id)})
        for light in stood.lights
        if light.role != key.role
    )
    return (*keys, *others), tuple(roles)


# ---- by steady light ----------------------------------------------------------------------


def _by_lamp(other: Other, stood: Stood, key: doc.Light) -> Iterator[LightSet]:
    """A steady lamp in place of the key's head, bare of what melts: only faces hang on it."""
    lamps = [lamp for lamp in other.book.kit.lamps if not lamp.retired]
    rest = tuple(light for light in stood.lights if light.role != key.role)
    flash = any(light.kind == "head" for light in rest)
    strongest = sorted(lamps, key=lambda lamp: -lamp.intensity_cd)[:MOST_LAMPS]
    for lamp in strongest:
        if key.kind == "lamp" and key.kit_id == lamp.id:
            continue
        light = key.model_copy(update={"kind": "lamp", "kit_id": lamp.id})
        yield LightSet(
            kind="mixed" if flash else "lamp",
            lights=(light, *rest),
            key=key.role,
            together=(key.role,),
            room_state=other.other.sitting.room_state,
            efforts=("head",),
        )


def _by_a_window(
    other: Other, stood: Stood, key: doc.Light, seat_id: str, at: datetime
) -> Iterator[LightSet]:
    """Daylight of a seat alone, and with the flash; the room's guessed light gives way to it."""
    seat = named("seat", seat_id, other.book.kit.seats)
    asked = other.asked.room_state
    state = asked if asked is not None and is_open(asked) else OPEN_STATE
    kind: doc.LightKind = "daylight" if seat.window is None else "window"
    if key.kit_id != seat_id:
        alone = doc.Light(role="key", kind=kind, kit_id=seat_id, geo=seat_id)
        yield LightSet(
            kind="daylight",
            lights=(alone,),
            key="key",
            together=(),
            room_state=state,
            efforts=("stand",),
            at=at,
            seat=seat_id,
        )
    if key.kind == "head":
        beside = doc.Light(role=WINDOW, kind=kind, kit_id=seat_id, geo=seat_id)
        heads = tuple(x for x in stood.lights if x.kind in ("head", "lamp") and x.role != WINDOW)
        yield LightSet(
            kind="mixed",
            lights=(*heads, beside),
            key=key.role,
            together=(key.role,),
            room_state=state,
            efforts=("stand",),
            at=at,
            seat=seat_id,
        )
