"""What may hang in the key light: heads that stand idle or are hired, cloths and grids off."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import combinations

from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.to_domain import named
from stillroom.services.ways.asked import Other

CLOTH_STOPS, CLOTH_SD_STOPS = 1.0, 0.3
"""One layer of thin cloth, 0.7 to 1.5 stop (common practice, no source)."""
CLOTH_OFF = "cloth_off"
MOST_HEADS = 3
_GRIDS = ("grid", "honeycomb")
FREE_HEADS = 2
"""Of the heads that stand idle the strongest are tried."""
STRONGER = 1.25
"""A head that gives less than this more than another is not put in its place (ours)."""


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


@dataclass(frozen=True, slots=True)
class HeadChoice:
    """Heads for the key's modifier, and one that takes another light."""

    ids: tuple[str, ...]
    takes: tuple[str, str] | None = None
    hired: tuple[kit.Head, ...] = ()
    buy_ws: float = 0.0
    efforts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HungChoice:
    """What hangs before them."""

    ids: tuple[str, ...]
    cloths_off: int = 0
    grids_off: tuple[str, ...] = ()
    modifiers: tuple[kit.Modifier, ...] = ()
    efforts: tuple[str, ...] = field(default=())


def head_choices(other: Other, stood: Stood, key: doc.Light) -> Iterator[HeadChoice]:
    """The key's own head, with one or two that stand idle, or that are hired."""
    own = named("head", key.kit_id or "", other.book.kit.heads)
    busy = {light.kit_id for light in stood.lights if light.kind == "head"}
    idle = [h for h in other.book.kit.heads if h.id not in busy and not h.retired]
    owned = sorted((h for h in idle if not h.is_hired), key=lambda h: -_light_of(h))[:FREE_HEADS]
    yield HeadChoice((own.id,), buy_ws=own.energy_ws if own.is_hired else 0.0)
    for one in owned:
        if _light_of(one) >= _light_of(own) * STRONGER:
            yield HeadChoice((one.id,), efforts=("head",))
    for count in range(1, MOST_HEADS):
        for more in combinations(owned, count):
            yield HeadChoice((own.id, *(h.id for h in more)), efforts=("head",) * count)
    for role, strong in _could_take(other, stood, key, owned):
        yield HeadChoice((own.id,), takes=(role, strong.id), efforts=("head",))
        for second in (h for h in owned if h.id != strong.id):
            ids, efforts = (own.id, second.id), ("head", "head")
            yield HeadChoice(ids, takes=(role, strong.id), efforts=efforts)
    most = other.asked.buy_ws
    if most <= 0:
        return
    to_hire = [h for h in idle if h.is_hired and h.energy_ws <= most]
    to_hire = to_hire or [_like(own, most, {h.id for h in other.book.kit.heads})]
    hired = max(to_hire, key=_light_of)
    for more in [(), *((one,) for one in owned[:1])]:
        yield HeadChoice(
            (own.id, *(h.id for h in more), hired.id),
            hired=(hired,),
            buy_ws=hired.energy_ws,
            efforts=("head",) * (1 + len(more)) + ("hire",),
        )


def _could_take(
    other: Other, stood: Stood, key: doc.Light, idle: Iterable[kit.Head]
) -> Iterator[tuple[str, kit.Head]]:
    """Lights beside the key whose head an idle one is stronger than."""
    for light in stood.lights:
        if light.kind == "head" and light.role != key.role:
            now = named("head", light.kit_id or "", other.book.kit.heads)
            for head in idle:
                if _light_of(head) >= _light_of(now) * STRONGER:
                    yield light.role, head


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


def hung_choices(cupboard: kit.Kit, key: doc.Light) -> Iterator[HungChoice]:
    """What hangs there, with a cloth or two off, with its grid off."""
    hung = [named("modifier", i, cupboard.modifiers) for i in key.modifiers]
    kept = without_grid(cupboard, key)
    grids = tuple(m.id for m in hung if m.id not in kept)
    layers = max((m.layers for m in hung if m.width_m is not None), default=0)
    clothed = next((m for m in hung if m.width_m is not None and m.layers == layers), None)
    for without in ((), grids) if grids else ((),):
        ids = key.modifiers if not without else kept
        for off in range(max(layers, 1)):
            if off and clothed is not None:
                less = _cloths_off(clothed, off)
                yield HungChoice(
                    (*ids, less.id),
                    off,
                    without,
                    (less,),
                    ("cloth",) * off + ("cloth",) * bool(without),
                )
            elif not off:
                yield HungChoice(ids, 0, without, (), ("cloth",) * bool(without))


def without_grid(cupboard: kit.Kit, light: doc.Light) -> tuple[str, ...]:
    """What hangs on a light without its grid: gels and cloths stay."""
    hung = [named("modifier", i, cupboard.modifiers) for i in light.modifiers]
    return tuple(m.id for m in hung if not _is_grid(m))


def _is_grid(modifier: kit.Modifier) -> bool:
    return modifier.width_m is None and any(word in modifier.kind for word in _GRIDS)


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
