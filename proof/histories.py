"""The histories that belief is held against: all invented, each from a world of its own.

Not chosen by how belief fares: each takes its first world, or, where its sheets are to be all
black, all bare or one of them kept, the first world in which they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from proof.ledger import Said, occasions
from proof.sittings import VEIL, kit, plans, settings, sitter, sitting
from proof.world import World

Sheet = tuple[Said, dict[str, Any]]
"""Settings, and how the sheet is read."""
MOST_WORLDS = 200
STEPS = (1, 2, 4, 8)
CHANGES = (
    (0.0, -1.0, 5.6),
    (-1.5, 0.0, 5.6),
    (-0.7, -2.5, 5.6),
    (-2.5, -1.5, 4.0),
    (-1.0, -1.8, 5.6),
    (-1.2, -2.0, 5.6),
    (-0.3, -0.5, 8.0),
    (-2.0, -3.0, 4.0),
    (-0.5, -1.2, 5.6),
    (-1.8, -0.9, 5.6),
    (-3.0, -2.2, 4.0),
    (-0.9, -1.6, 5.6),
)
"""Dials of key and fill, and the stop, of sheets one after the other."""


def plain(of: Said, sheets: int, **how: Any) -> list[Sheet]:
    """So many sheets, settings changed from one to the next as a hand would."""
    return [(settings(of, k, f, f_number=n), how) for k, f, n in CHANGES[:sheets]]


def dark(of: Said, sheets: int, **how: Any) -> list[Sheet]:
    """Sheets with hardly any light, a little more each time."""
    return [(settings(of, -6.0 + i, -6.0 + i, f_number=11.0), how) for i in range(sheets)]


def light(of: Said, sheets: int, **how: Any) -> list[Sheet]:
    """Sheets with far too much light, a little less each time."""
    most = 16
    return [
        (settings(of, 0.0, 0.0, f_number=4.0 if i < 1 else 5.6, pops=most >> max(0, i - 1)), how)
        for i in range(sheets)
    ]


def stepped(of: Said, **how: Any) -> Sheet:
    """A sheet in four strips."""
    return settings(of, -2.0, -2.5, steps_pops=list(STEPS)), how


def history(
    name: str,
    kind: str,
    now: Said,
    sheets: Iterable[Sheet],
    *,
    past: Iterable[tuple[Said, list[Sheet]]] = (),
    metered: bool = False,
    where: Callable[[list[Said]], bool] = bool,
    seed: int,
) -> Said:
    """Make one history, in the first world in which its sheets are as they are to be."""
    sheets, past = list(sheets), list(past)
    for world_number in range(MOST_WORLDS):
        world = World(kit(), MOST_WORLDS * seed + world_number)
        found = _made(world, now, sheets, past, metered=metered)
        if where(found["records"]):
            return {"name": name, "kind": kind, "plans": plans(now)} | found
    raise ValueError(name)


def _made(
    world: World,
    now: Said,
    sheets: list[Sheet],
    past: list[tuple[Said, list[Sheet]]],
    *,
    metered: bool,
) -> Said:
    begin: Said = {"op": "begin", "kit": world.kit, "sitting": now, "mode": "scan"}
    begin["past"] = [{"sitting": said, "sheets": []} for said, _ in past]
    *before, present = occasions(begin)
    for told, occasion, (said, earlier) in zip(begin["past"], before, past, strict=True):
        first = said.get("sheets_before", 0)
        told["sheets"] = [
            world.sheet(occasion, made, first + i, **how) for i, (made, how) in enumerate(earlier)
        ]
    if metered:
        made = settings(now, -1.0, -2.0)
        begin["meter_readings"] = [world.meter(present, "key", ("key", "fill"), made)]
    first = now.get("sheets_before", 0)
    records = [
        world.sheet(present, made, first + i, **how) for i, (made, how) in enumerate(sheets)
    ]
    return {"begin": begin, "records": records}


def all_at_an_end(records: list[Said]) -> bool:
    """Whether nothing but ends is seen of the aimed tones."""
    return all(at_an_end(record) for record in records)


def one_kept(records: list[Said]) -> bool:
    """Whether one sheet and no more was kept."""
    return sum(bool(record["kept"]) for record in records) == 1


def at_an_end(record: Said) -> bool:
    """Whether both aimed tones of a sheet are as black, or both as bare, as can be read."""
    seen = [record["reading"]["regions"][r] for r in ("key", "shadow")]
    words = {value.get("verdict") for value in seen}
    if words != {None}:
        return words in ({"black"}, {"bare_paper"})
    densities = [value["density"] for value in seen]
    return bool(min(densities) > 1.72 or max(densities) < 0.24)


# ---- which ---------------------------------------------------------------------------------


def saturated() -> list[Said]:
    """All black or all bare."""
    a, c = sitting("A", "S0", 0.0), sitting("C", "S1", 7.0)
    b = sitting("B", "S1", 7.0)
    old = sitting("A", "S0", 0.0)
    words: dict[str, Any] = {"by": "words"}
    both = [*dark(a, 1, **words), *light(a, 1, **words)]
    before = [(old, plain(old, 4, **words))]
    cases: list[tuple[str, Said, list[Sheet], list[tuple[Said, list[Sheet]]]]] = [
        ("one black sheet by scan", a, dark(a, 1), []),
        ("three black sheets by scan", a, dark(a, 3), []),
        ("one bare sheet by scan", a, light(a, 1), []),
        ("three bare sheets by scan", a, light(a, 3), []),
        ("one black sheet by words", a, dark(a, 1, **words), []),
        ("three black sheets by words", a, dark(a, 3, **words), []),
        ("one bare sheet by words", a, light(a, 1, **words), []),
        ("three bare sheets by words", a, light(a, 3, **words), []),
        ("a black sheet and a bare one by scan", a, [*dark(a, 1), *light(a, 1)], []),
        ("a black sheet and a bare one by words", a, both, []),
        ("two heads, two black sheets by scan", c, dark(c, 2), []),
        ("two heads, two bare sheets by words", c, light(c, 2, **words), []),
        ("a week later, two bare sheets by scan", b, light(b, 2), [(old, plain(old, 4))]),
        ("a week later, two black sheets by words", b, dark(b, 2, **words), before),
    ]  # fmt: skip
    return [
        history(
            name, _kind(name, "saturated"), now, sheets, past=past, where=all_at_an_end, seed=i
        )
        for i, (name, now, sheets, past) in enumerate(cases)
    ]


def others() -> list[Said]:
    """One to twelve sheets that show something."""
    a, b, c = sitting("A", "S0", 0.0), sitting("B", "S1", 7.0), sitting("C", "S1", 7.0)
    old = sitting("A", "S0", 0.0)
    seen_through = sitting("A", "S0", 0.0, **VEIL)
    words: dict[str, Any] = {"by": "words"}
    strip: dict[str, Any] = {"by": "strip"}
    gaps = plain(a, 4)
    gaps = [
        (made, {"missing": missing})
        for (made, _), missing in zip(
            gaps, (("rim",), ("shadow", "bg"), ("key",), ("rim", "bg", "shadow")), strict=True
        )
    ]
    fogged = plain(a, 5)
    fogged[2] = (fogged[2][0], {"spoiled_stops": 3.0})
    darkened = plain(a, 4, **words)
    darkened[1] = (darkened[1][0], {"by": "words", "spoiled_stops": -2.5})
    early = [(made, {"by": "early_look"}) for made, _ in plain(a, 2)]
    wet = [(made, {"wet": True}) for made, _ in plain(a, 4)[2:]]
    make: list[Callable[[int], Said]] = [
        lambda n: history("one sheet by scan", "scan", a, plain(a, 1), seed=n),
        lambda n: history("three sheets by scan", "scan", a, plain(a, 3), seed=n),
        lambda n: history("six sheets by scan", "scan", a, plain(a, 6), seed=n),
        lambda n: history("twelve sheets by scan", "scan", a, plain(a, 12), seed=n),
        lambda n: history("two sheets by words", "words", a, plain(a, 2, **words), seed=n),
        lambda n: history(
            "four sheets by words, each called kept or not",
            "words",
            a,
            plain(a, 4, call=True, **words),
            where=one_kept,
            seed=n,
        ),
        lambda n: history("twelve sheets by words", "words", a, plain(a, 12, **words), seed=n),
        lambda n: history("four sheets by patch", "patch", a, plain(a, 4, **strip), seed=n),
        lambda n: history("four sheets by scan, regions missing", "scan", a, gaps, seed=n),
        lambda n: history(
            "a stepped sheet and two more by scan",
            "stepped",
            a,
            [stepped(a), *plain(a, 2)],
            seed=n,
        ),
        lambda n: history(
            "a stepped sheet and one more by words",
            "stepped",
            a,
            [stepped(a, **words), *plain(a, 1, **words)],
            seed=n,
        ),
        lambda n: history("five sheets by scan, one fogged", "spoiled", a, fogged, seed=n),
        lambda n: history(
            "four sheets by words, one far too dark", "spoiled", a, darkened, seed=n
        ),
        lambda n: history(
            "two sheets by scan and a meter reading", "scan", a, plain(a, 2), metered=True, seed=n
        ),
        lambda n: history(
            "three sheets by scan, with flare", "scan", seen_through, plain(a, 3), seed=n
        ),
        lambda n: history(
            "two early looks, then two wet sheets by scan", "scan", a, [*early, *wet], seed=n
        ),
        lambda n: history(
            "two heads, six sheets by words", "words", c, plain(c, 6, **words), seed=n
        ),
        lambda n: history(
            "a week later, two sheets by scan",
            "with a past",
            b,
            plain(b, 2),
            past=[(old, plain(old, 4))],
            seed=n,
        ),
        lambda n: history(
            "a week later, two heads, four sheets by patch",
            "with a past",
            c,
            plain(c, 4, **strip),
            past=[(old, plain(old, 4, **strip))],
            seed=n,
        ),
        lambda n: history(
            "a week later, three sheets by words",
            "with a past",
            b,
            plain(b, 3, **words),
            past=[(old, plain(old, 5, **words))],
            seed=n,
        ),
        lambda n: _next_sitter("the third sitter, two sheets by scan", "scan", n),
        lambda n: _next_sitter("the third sitter, three sheets by words", "words", n),
    ]
    return [one(100 + i) for i, one in enumerate(make)]


def _next_sitter(name: str, by: str, seed: int) -> Said:
    """Two sitters of the same set and day before this one; their skins are not this one's."""
    each = 3
    said = [
        sitting(
            "D",
            f"S{i}",
            i / 24,
            set="the pump house",
            sheets_before=each * i,
            shared=[sitter(f"sitter {i}", sd)],
        )
        for i, sd in enumerate((0.3, 0.7, 0.7))
    ]
    past = [(one, plain(one, each, by=by)) for one in said[:2]]
    now = said[2]
    sheets = plain(now, 2 if by == "scan" else 3, by=by)
    return history(name, "with a past", now, sheets, past=past, seed=seed)


def _kind(name: str, kind: str) -> str:
    return f"{kind} by {'words' if 'words' in name else 'scan'}"


def histories() -> list[Said]:
    """All of them, the saturated ones first."""
    return saturated() + others()
