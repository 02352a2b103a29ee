"""Ways in words: what is carried, how it is set, why it stands where it stands."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from stillroom.advice import TIE
from stillroom.advice.other_camera import DEPTH_EFFORT, SHEET_EFFORT
from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.to_domain import named
from stillroom.quantity import stops_text
from stillroom.services.ways.asked import Other
from stillroom.services.ways.choices import Stood
from stillroom.services.ways.search import DEEP_SHARE, Exact
from stillroom.sitter import region_name

FULL_STOPS = 0.05
"""Within so much of full a head is called full."""
EQUAL_COST = 0.5
"""Ways whose cost differs by less cost the same (ours)."""
LEAST_P = 0.1
"""Odds below which something counts as not possible."""
_NUMBERS = ("no", "one", "two", "three", "four", "five")


def head_called(head: kit.Head) -> str:
    """A head in a row of heads: ``A``, or its name where it has one of its own.

    Examples
    --------
    >>> head_called(kit.Head(id="A", name="head A", energy_ws=500))
    'A'
    """
    name = head.name or head.id
    return name.removeprefix("head ").strip() or head.id


def modifier_called(modifier: kit.Modifier) -> str:
    """What something that heads hang in is called: its kind where that is a word."""
    kind = modifier.kind.replace("_", " ")
    return kind if kind.isascii() and kind.replace(" ", "").isalpha() else modifier.id


def pops_called(pops: int) -> str:
    """How many pops, in a sentence."""
    return "one pop" if pops == 1 else f"{pops} pops"


def title(book: doc.Book, way: Exact) -> str:
    """What is carried and set: ``A and B in the octa, one cloth off, f/11``."""
    lit, stop = way.lit, f"f/{way.mark:g}"
    seat = ""
    if lit.seat is not None:
        found = named("seat", lit.seat, book.kit.seats)
        seat = "By the window" if found.window is not None else "In the open"
        seat = f"{seat}, {found.name or found.id}"
    if lit.kind == "daylight":
        return f"{seat}, {stop}"
    parts = [_carried(book, way)]
    if lit.cloths_off:
        parts.append(f"{_number(lit.cloths_off, 'cloth')} off")
    known = book.kit.modifiers
    parts += [f"{modifier_called(named('modifier', grid, known))} off" for grid in lit.grids_off]
    parts += [f"grid off the {role}" for role in lit.bare]
    if lit.takes is not None:
        role, head = lit.takes
        name = head_called(named("head", head, _heads(book, way)))
        parts.append(f"{name} takes the {role}")
    if lit.seat is not None:
        parts.append("with the window" if "window" in seat.lower() else "with daylight")
    return ", ".join([*parts, stop])


def _carried(book: doc.Book, way: Exact) -> str:
    lit, known = way.lit, (*book.kit.modifiers, *way.lit.modifiers)
    names = []
    for light in lit.lights:
        if light.role not in lit.together:
            continue
        if light.kind == "head":
            names.append(head_called(named("head", light.kit_id or "", _heads(book, way))))
        else:
            lamp = named("lamp", light.kit_id or "", book.kit.lamps)
            names.append(lamp.name or f"lamp {lamp.id}")
    if not names:
        return lit.key_light.kind
    hung = [named("modifier", i, known) for i in lit.key_light.modifiers]
    faces = [m for m in hung if m.width_m is not None]
    place = f" in the {modifier_called(faces[-1])}" if faces else ""
    if len(names) == 1 and len(names[0]) <= 2:
        return f"Head {names[0]} alone{place}"
    said = " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]
    return f"{said[:1].upper()}{said[1:]}{place}"


def _heads(book: doc.Book, way: Exact) -> tuple[kit.Head, ...]:
    return (*book.kit.heads, *way.lit.hired)


def _number(n: int, what: str) -> str:
    said = _NUMBERS[n] if n < len(_NUMBERS) else str(n)
    return f"{said} {what}" if n == 1 else f"{said} {what}s"


def detail(way: Exact, when: str = "") -> str:
    """How it is set: ``both full, 0.70 m, one pop``."""
    lit, settings = way.lit, way.settled.settings
    parts = []
    stops = [
        settings.dial_stops[light.role]
        for light in lit.lights
        if light.role in lit.together and light.kind == "head"
    ]
    if stops:
        who = "both " if len(stops) == 2 else "all " if len(stops) > 2 else ""
        below = -min(stops, key=abs)
        level = "full" if below < FULL_STOPS else f"{below:.1f} below full"
        alike = max(stops) - min(stops) < FULL_STOPS
        parts.append(f"{who if alike else ''}{level}")
    if lit.key_light.distance_m is not None:
        parts.append(f"{lit.key_light.distance_m:.2f} m from the cheek")
    flash = any(light.kind == "head" for light in lit.lights)
    if flash:
        parts.append(pops_called(settings.pops))
    if lit.kind != "flash":
        parts.append(f"{way.document.open_s:g} s")
    if when:
        parts.append(when)
    return ", ".join(parts)


def changes(book: doc.Book, way: Exact, stood: Stood) -> list[str]:
    """What is done besides turning dials, against how the set stands."""
    lit, now = way.lit, stood.settings
    found = [*_hung(book, way), *_moved(way, stood)]
    if lit.takes is not None:
        role, taker = lit.takes
        name = head_called(named("head", taker, _heads(book, way)))
        found.append(f"Put head {name} in the {role} light.")
    if lit.seat is not None:
        found.append("Seat the sitter there, curtains open.")
    if way.settled.settings.pops != now.pops and lit.kind != "daylight":
        found.append(f"{pops_called(way.settled.settings.pops).capitalize()}.")
    if way.mark != now.f_number:
        found.append(f"The lens at f/{way.mark:g}.")
    return found


def _hung(book: doc.Book, way: Exact) -> Iterator[str]:
    lit = way.lit
    for role in lit.together[1:]:
        light = next(x for x in lit.lights if x.role == role)
        head = named("head", light.kit_id or "", _heads(book, way))
        verb = "Hire a head" if head.is_hired else f"Hang head {head_called(head)}"
        yield f"{verb} in the same modifier."
    if lit.cloths_off:
        yield f"Take {_number(lit.cloths_off, 'cloth')} off."
    for grid in lit.grids_off:
        yield f"Take the {modifier_called(named('modifier', grid, book.kit.modifiers))} off."
    for role in lit.bare:
        yield f"Take the grid off the {role} light."


def _moved(way: Exact, stood: Stood) -> Iterator[str]:
    """Lights that stand elsewhere than they do now; the key's heads as one."""
    before = {light.role: light.distance_m for light in stood.lights}
    for light in way.lit.lights:
        was, to = before.get(light.role), light.distance_m
        if was is not None and to is not None and was != to:
            yield f"Move the {light.role} light from {was:.2f} to {to:.2f} m."


# ---- why ------------------------------------------------------------------------------------


def not_possible(other: Other, way: Exact, hinders: str, clear_mm: float | None) -> str:
    """Why a way is not possible; empty where it is."""
    reasons: tuple[tuple[bool, Callable[[], str]], ...] = (
        (clear_mm is not None and clear_mm < 0, lambda: "The light would stand in the picture."),
        (way.settled.p_lands < LEAST_P, lambda: _falls_short(way)),
        (bool(hinders), lambda: hinders),
        (way.p_held < LEAST_P, lambda: _not_held(other, way)),
        (way.p_eye < LEAST_P, lambda: "The eye would hardly ever be sharp at that stop."),
        (way.p_all < LEAST_P / 2, lambda: _too_little(other, way)),
    )
    return next((said() for is_so, said in reasons if is_so), "")


def _too_little(other: Other, way: Exact) -> str:
    """Nothing by itself rules it out, and all of it together does: what does most of it."""
    still = min(way.p_held, 1 - (way.p_ghost or 0.0))
    worst = min((way.settled.p_lands, 0), (still, 1), (way.p_eye, 2))[1]
    if worst == 0:
        return f"{_falls_short(way).removesuffix('.')}, and it has to be held as well."
    if worst == 1:
        return _not_held(other, way)
    return "The eye is sharp too seldom, and tones land too seldom as well."


def _falls_short(way: Exact) -> str:
    odds = way.odds
    pairs = zip(way.settled.off_stops, odds.aims.tol, strict=True)
    by = [abs(off) / float(tol) for off, tol in pairs]
    at = max(range(len(by)), key=lambda i: by[i])
    off, region = way.settled.off_stops[at], region_name(odds.aimed[at]).lower()
    if abs(off) <= float(odds.aims.tol[at]):
        return "It would land too seldom, for too little is known of it yet."
    size = stops_text(abs(off))[1:]
    which = "darker" if off < 0 else "lighter"
    reach = "Even at full" if off < 0 and way.lit.kind == "flash" else "At the nearest"
    return f"{reach} the {region} lands {size} {which} than wanted."


def _not_held(other: Other, way: Exact) -> str:
    sitting = other.other.sitting
    who = sitting.sitters[0] if sitting.sitters else None
    sitter = next((s for s in other.book.sitters if s.id == who), None)
    held = way.hold_s
    if sitter is None or not sitter.holds_still_s:
        return f"{held:.2g} s is longer than anybody holds so."
    if held <= sitter.holds_still_s:
        return (
            f"{sitter.initials} would have to hold still for {held:.2g} s, which seldom goes well."
        )
    return (
        f"Not with {sitter.initials}, who holds {sitter.holds_still_s:g} s: it takes {held:.2g} s."
    )


def why(rank: int, way: Exact, first: Exact, ways: Sequence[Exact]) -> str:
    """One reason for the place of a way that is possible: what it costs most against the first."""
    if rank == 1:
        return _why_first(way, ways)
    loss = {
        "effort": way.effort - first.effort,
        "odds": SHEET_EFFORT * (1 / max(way.p_all, 0.01) - 1 / max(first.p_all, 0.01)),
        "depth": DEPTH_EFFORT * (_shallow(way) - _shallow(first)),
    }
    worst = max(loss, key=lambda k: loss[k])
    if loss[worst] < EQUAL_COST:
        return "As good as the first."
    if worst == "depth":
        return "Shallower: sharp about the eye only."
    said = _why_odds(way, first) if worst == "odds" else _why_effort(way, first)
    if is_deep(way) and not is_deep(first):
        return f"It keeps the depth in use. {said}"
    return said


def _shallow(way: Exact) -> float:
    return max(0.0, -math.log2(min(way.depth_share, 1.0)))


def _why_first(way: Exact, ways: Sequence[Exact]) -> str:
    least = min(w.effort for w in ways)
    if way.effort <= least + EQUAL_COST:
        if len(ways) == 1:
            return "The one way that is possible."
        likely = way.p_all >= max(w.p_all for w in ways) - TIE
        return "The least to carry, and as likely as any." if likely else "The least to carry."
    easier = min(ways, key=lambda w: w.effort)
    if easier.p_all < way.p_all:
        return "More to carry than the easiest, and it wastes fewer sheets."
    return "It keeps the depth of the camera in use."


def _why_odds(way: Exact, first: Exact) -> str:
    still, still_first = (min(w.p_held, 1 - (w.p_ghost or 0.0)) for w in (way, first))
    ratios = {
        "still": still / max(still_first, 0.01),
        "tones": way.settled.p_lands / max(first.settled.p_lands, 0.01),
        "eye": way.p_eye / max(first.p_eye, 0.01),
    }
    worst = min(ratios, key=lambda k: ratios[k])
    if worst == "still":
        return f"If they can sit still for {way.hold_s or way.apart_s:.2g} s."
    if worst == "eye":
        return "The eye is less often sharp."
    if way.lit.cloths_off or way.lit.together[1:]:
        return "Less sure where tones land: what is new here was never tried."
    return "Tones land less often."


def _why_effort(way: Exact, first: Exact) -> str:
    mine, theirs = list(way.lit.efforts), list(first.lit.efforts)
    for kind, said in (
        ("hire", "A head has to be hired."),
        ("head", "One more head to carry."),
        ("cloth", "A cloth has to come off."),
        ("stand", "The sitter moves to another seat."),
    ):
        if mine.count(kind) > theirs.count(kind):
            is_grid = kind == "cloth" and way.lit.cloths_off <= first.lit.cloths_off
            return "A grid has to come off." if is_grid else said
    if way.lit.key_light.distance_m != first.lit.key_light.distance_m:
        return "The light has to be moved."
    return "More pops to wait for."


# ---- the headline -----------------------------------------------------------------------------


def pays(book: doc.Book, way: Exact, stands_m: float | None, what: str = "it") -> str:
    """What pays for it: ``two heads and one cloth less pay for it in one pop``."""
    lit, settings = way.lit, way.settled.settings
    things = []
    heads = [x for x in lit.lights if x.role in lit.together and x.kind == "head"]
    if lit.kind == "daylight":
        return f"Daylight pays for {what} in {way.document.open_s:g} s"
    if len(heads) > 1:
        things.append(_number(len(heads), "head"))
    if lit.cloths_off:
        things.append(f"{_number(lit.cloths_off, 'cloth')} less")
    if lit.grids_off:
        things.append("the grid off")
    things += [f"the grid off the {role}" for role in lit.bare]
    if lit.takes is not None:
        role, taker = lit.takes
        name = head_called(named("head", taker, _heads(book, way)))
        things.append(f"head {name} in the {role}")
    at = lit.key_light.distance_m
    if at is not None and stands_m is not None and at < stands_m:
        things.append(f"the light at {at:.2f} m")
    if lit.seat is not None:
        things.append("the window")
    many = len(things) > 1 or len(heads) > 1
    if not things:
        head = next(iter(heads), None)
        if head is None:
            return f"The lamp pays for {what} in {way.document.open_s:g} s"
        name = head_called(named("head", head.kit_id or "", _heads(book, way)))
        below = -settings.dial_stops[head.role]
        level = "at full" if below < FULL_STOPS else f"at {below:.1f} below full"
        things, many = [f"head {name} {level}"], False
    said = " and ".join([", ".join(things[:-1]), things[-1]]) if len(things) > 1 else things[0]
    verb = "pay" if many else "pays"
    return f"{said[:1].upper()}{said[1:]} {verb} for {what} in {pops_called(settings.pops)}"


def headline(asked: str, paid: str) -> str:
    """Both in one sentence."""
    return f"{asked.removesuffix('.')}: {paid[:1].lower()}{paid[1:]}."


def part_headline(asked: str, paid: str, way: Exact) -> str:
    """The same where no way keeps all of the depth."""
    share = round(10 * way.depth_share)
    return (
        f"{asked.removesuffix('.')}. Nothing pays for all of it: "
        f"{paid[:1].lower()}{paid[1:]}, with {share} tenths of the depth."
    )


def is_deep(way: Exact) -> bool:
    """Whether a way is as deep about the eye as the camera in use, or nearly."""
    return way.depth_share >= DEEP_SHARE
