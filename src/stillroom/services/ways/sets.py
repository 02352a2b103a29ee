"""Sets of things that may light another camera: heads in one modifier, cloths off, a window.

Each set is a sitting like the one in use with other lights; what a kit lacks, such as a modifier
with a cloth taken off, is added to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import combinations
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
from stillroom.services.worktable import Worktable

Added = TypeVar("Added", bound=Thing)

CLOTH_STOPS, CLOTH_SD_STOPS = 1.0, 0.3
"""One layer of thin cloth, 0.7 to 1.5 stop (common practice, no source)."""
CLOTH_OFF = "cloth_off"
MOVED_SD_STOPS = 0.15
"""How far a light that was moved may miss what distance and size say (invented)."""
MOST_HEADS = 3
FREE_HEADS = 2
"""Of the heads that stand idle the strongest are tried."""
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
    efforts: tuple[str, ...] = ()
    modifiers: tuple[kit.Modifier, ...] = ()
    hired: tuple[kit.Head, ...] = ()
    buy_ws: float = 0.0
    at: datetime | None = None
    seat: str | None = None

    @property
    def key_light(self) -> doc.Light:
        """The key light."""
        return next(light for light in self.lights if light.role == self.key)

    def at_distance(self, distance_m: float) -> LightSet:
        """The same with the key light so far from the sitter."""
        lights = tuple(
            light.model_copy(update={"distance_m": distance_m})
            if light.role in self.together
            else light
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
    moved : tuple of str
        Roles of lights that stand elsewhere than they did.
    """

    def __init__(
        self,
        book: doc.Book,
        sitting_id: str,
        carried: Posterior,
        *,
        at: datetime | None = None,
        moved: tuple[str, ...] = (),
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
        lit = tuple(role for role in self._moved if role in layout.roles)
        if not lit:
            return layout
        move = BareMove(
            name=f"{self.sitting.id}/moved/{'+'.join(lit)}",
            label=f"{lit[0]} light, stood elsewhere",
            sd_stops=MOVED_SD_STOPS,
            roles=lit,
        )
        return layout.with_moves([move])


@dataclass(frozen=True, slots=True)
class Stood:
    """How the sitting in use stands: its lights as they are, and what they are set to.

    Attributes
    ----------
    lights : tuple of Light
        Those that are on, where they stand now.
    settings : Settings
        The same without what is in the lights; a mark the other lens has.
    key : str
        Role of the key light.
    """

    lights: tuple[doc.Light, ...]
    settings: doc.Settings
    key: str


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


def _new(things: Iterable[Added], known: Iterable[Added]) -> list[Added]:
    ids = {thing.id for thing in known}
    return [thing for thing in things if thing.id not in ids]


# ---- by flash -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Heads:
    """Heads for the key's modifier."""

    ids: tuple[str, ...]
    hired: tuple[kit.Head, ...] = ()
    buy_ws: float = 0.0
    efforts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Hung:
    """What hangs before them."""

    ids: tuple[str, ...]
    cloths_off: int = 0
    grids_off: tuple[str, ...] = ()
    modifiers: tuple[kit.Modifier, ...] = ()
    efforts: tuple[str, ...] = field(default=())


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
    for heads in _head_choices(other, stood, key):
        for hung in _hung_choices(other.book.kit, key):
            lights, roles = _with_heads(stood, key, heads.ids, hung.ids)
            yield LightSet(
                kind="flash",
                lights=lights,
                key=key.role,
                together=roles,
                room_state=other.other.sitting.room_state,
                cloths_off=hung.cloths_off,
                grids_off=hung.grids_off,
                efforts=heads.efforts + hung.efforts,
                modifiers=hung.modifiers,
                hired=heads.hired,
                buy_ws=heads.buy_ws,
            )


def _with_heads(
    stood: Stood, key: doc.Light, ids: tuple[str, ...], hung: tuple[str, ...]
) -> tuple[tuple[doc.Light, ...], tuple[str, ...]]:
    """The lights with these heads in the key's modifier: they share where it stands."""
    taken = {light.role for light in stood.lights}
    roles = [key.role]
    while len(roles) < len(ids):
        roles.append(next(r for n in range(2, 99) if (r := f"{key.role}{n}") not in taken))
        taken.add(roles[-1])
    geo = key.geo or key.role
    keys = tuple(
        key.model_copy(update={"role": role, "kit_id": head, "modifiers": hung, "geo": geo})
        for role, head in zip(roles, ids, strict=True)
    )
    others = tuple(light for light in stood.lights if light.role != key.role)
    return (*keys, *others), tuple(roles)


def _head_choices(other: Other, stood: Stood, key: doc.Light) -> Iterator[_Heads]:
    """The key's own head, with one or two that stand idle, or that are hired."""
    own = named("head", key.kit_id or "", other.book.kit.heads)
    busy = {light.kit_id for light in stood.lights if light.kind == "head"}
    idle = [h for h in other.book.kit.heads if h.id not in busy and not h.retired]
    owned = sorted((h for h in idle if not h.is_hired), key=lambda h: -_light_of(h))[:FREE_HEADS]
    yield _Heads((own.id,), buy_ws=own.energy_ws if own.is_hired else 0.0)
    for one in owned:
        if _light_of(one) > _light_of(own) * 1.05:
            yield _Heads((one.id,), efforts=("head",))
    for count in range(1, MOST_HEADS):
        for more in combinations(owned, count):
            yield _Heads((own.id, *(h.id for h in more)), efforts=("head",) * count)
    most = other.asked.buy_ws
    if most <= 0:
        return
    to_hire = [h for h in idle if h.is_hired and h.energy_ws <= most]
    to_hire = to_hire or [_like(own, most, {h.id for h in other.book.kit.heads})]
    hired = max(to_hire, key=_light_of)
    for more in [(), *((one,) for one in owned[:1])]:
        yield _Heads(
            (own.id, *(h.id for h in more), hired.id),
            hired=(hired,),
            buy_ws=hired.energy_ws,
            efforts=("head",) * (1 + len(more)) + ("hire",),
        )


def _like(own: kit.Head, most_ws: float, taken: set[str]) -> kit.Head:
    """A head to hire of which only its energy is known: else like the one in the modifier."""
    name = next(n for n in ("hired", *(f"hired-{i}" for i in range(2, 99))) if n not in taken)
    energy = min(most_ws, own.energy_ws)
    dial = own.dial if own.dial.kind != "energy" else kit.Dial(min=-6.0, max=0.0, step=0.1)
    level = None  # by energy, as nothing else is known of it
    return own.model_copy(
        update={
            "id": name,
            "name": "a hired head",
            "energy_ws": energy,
            "dial": dial,
            "full_log2_lxs_1m": level,
            "output_sd_stops": max(own.output_sd_stops, 0.5),
            "is_hired": True,
        }
    )


def _light_of(head: kit.Head) -> float:
    """How strong a head is against others: lm·s in its reflector's direction."""
    return head.energy_ws * head.efficacy_lm_s_per_ws * head.reflector_factor


def _hung_choices(cupboard: kit.Kit, key: doc.Light) -> Iterator[_Hung]:
    """What hangs there, with a cloth or two off, with its grid off."""
    hung = [named("modifier", i, cupboard.modifiers) for i in key.modifiers]
    grids = tuple(m.id for m in hung if m.width_m is None and m.layers == 0)
    kept = tuple(m.id for m in hung if m.id not in grids)
    layers = max((m.layers for m in hung if m.width_m is not None), default=0)
    clothed = next((m for m in hung if m.width_m is not None and m.layers == layers), None)
    for without in ((), grids) if grids else ((),):
        ids = key.modifiers if not without else kept
        for off in range(max(layers, 1)):
            if off and clothed is not None:
                less = _cloths_off(clothed, off)
                yield _Hung(
                    (*ids, less.id),
                    off,
                    without,
                    (less,),
                    ("cloth",) * off + ("cloth",) * bool(without),
                )
            elif not off:
                yield _Hung(ids, 0, without, (), ("cloth",) * bool(without))


def _cloths_off(modifier: kit.Modifier, off: int) -> kit.Modifier:
    """What taking cloths off a modifier gives back, as something that hangs on it."""
    return kit.Modifier(
        id=f"{modifier.id} less {off}"[:64],
        name=f"{off} {'cloth' if off == 1 else 'cloths'} off the {modifier.name or modifier.id}",
        kind=CLOTH_OFF,
        layers=0,
        loss_stops=-CLOTH_STOPS * off,
        loss_sd_stops=CLOTH_SD_STOPS * off,
        note="One cloth is worth 0.7 to 1.5 stop: common practice, no source.",
    )


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
