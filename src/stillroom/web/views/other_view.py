"""Another camera as its page shows it: the price, the ways with their depth, what carries over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stillroom.documents.book import Book, Sitting
from stillroom.documents.kit import Camera, Lens
from stillroom.documents.ways import InFocus, PieceOnSheet, Price, Way, Ways
from stillroom.quantity import stops_text
from stillroom.telling.focus_told import VIEWING_WORDS
from stillroom.telling.focus_words import taped
from stillroom.telling.names import sheet_size
from stillroom.telling.odds import odds, one_in, worth_saying
from stillroom.telling.words import figure, seconds, tape

WIDEST_TIMES_IN_USE = 3.0
"""The bars reach so far beyond the depth of the camera in use, and are cut off there."""


@dataclass(frozen=True, slots=True)
class DepthBar:
    """A bar about the eye in percent of its track, the camera in use as brackets."""

    low: float
    high: float
    bracket_low: float
    bracket_high: float
    spoken: str


@dataclass(frozen=True, slots=True)
class WayShown:
    """One way as a row."""

    rank: int
    is_out: bool
    title: str
    detail: str
    why: str
    tones: str
    depth: DepthBar
    hold: str
    held: str
    ghost: str
    firing: str
    buy: str
    changes: tuple[str, ...]
    settings: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PieceShown:
    """The test piece before a whole sheet."""

    text: str
    worth: str


@dataclass(frozen=True, slots=True)
class OtherView:
    """The whole page."""

    line: str
    headline: str
    also: str
    """What it asks in the other viewing."""
    spec: tuple[tuple[str, str, float | None], ...]
    """Name, words, f-number to write before them."""
    ways_title: str
    bracket_name: str
    ways: tuple[WayShown, ...]
    nearest: str
    piece: PieceShown | None
    carried: tuple[str, ...]
    not_carried: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Choices:
    """What the form offers, and what is chosen."""

    sitting: str
    sittings: tuple[tuple[str, str], ...]
    camera: str
    cameras: tuple[tuple[str, str], ...]
    lens: str
    lenses: tuple[tuple[str, str], ...]
    viewing: str
    viewings: tuple[tuple[str, str], ...]


def other_cameras(book: Book, sitting: Sitting) -> tuple[Camera, ...]:
    """Cameras that are in use, without the one of the sitting."""
    return tuple(c for c in book.kit.cameras if not c.retired and c.id != sitting.camera)


def lens_for(book: Book, camera: Camera, sitting: Sitting) -> Lens | None:
    """The lens a page proposes: the shortest that covers the sheet, else that of the sitting."""
    lenses = [x for x in book.kit.lenses if not x.retired]
    diagonal_mm = float((camera.format_mm[0] ** 2 + camera.format_mm[1] ** 2) ** 0.5)
    covering = [x for x in lenses if x.coverage_mm is not None and x.coverage_mm >= diagonal_mm]
    if covering:
        return min(covering, key=lambda x: x.focal_mm)
    return next((x for x in lenses if x.id == sitting.lens), None)


def choices(book: Book, sitting: Sitting, camera: Camera, lens: Lens, viewing: str) -> Choices:
    """What may be chosen on the page."""
    return Choices(
        sitting.id,
        tuple((s.id, s.id) for s in reversed(book.sittings)),
        camera.id,
        tuple((c.id, c.name or c.id) for c in other_cameras(book, sitting)),
        lens.id,
        tuple((x.id, x.name or x.id) for x in book.kit.lenses if not x.retired),
        viewing,
        tuple(VIEWING_WORDS.items()),
    )


def other_view(ways: Ways, lengths: str) -> OtherView:
    """Put the answer in words.

    Parameters
    ----------
    ways : Ways
        The answer.
    lengths : str
        The reader's units.

    Returns
    -------
    OtherView
    """
    in_hand = ways.viewing == "in_the_hand"
    otherwise = ways.on_the_wall if in_hand else ways.in_the_hand
    possible = sum(way.feasible for way in ways.ways)
    name = sheet_size(ways.in_use.format_mm)
    return OtherView(
        line=f"{ways.other.camera_name}, {ways.other.lens_name}, on {ways.paper}",
        headline=ways.headline,
        also=otherwise.sentence,
        spec=_spec(ways, lengths),
        ways_title=_title(possible),
        bracket_name=name,
        ways=tuple(_way(way, ways, lengths) for way in ways.ways),
        nearest=ways.nearest,
        piece=_piece(ways.piece),
        carried=tuple(c.text for c in ways.carried if c.carries),
        not_carried=tuple(c.text for c in ways.carried if not c.carries),
        cautions=ways.cautions,
    )


def _title(possible: int) -> str:
    words = {1: "One way", 2: "Two ways", 3: "Three ways", 4: "Four ways", 5: "Five ways"}
    if not possible:
        return "No way reaches the aims"
    return words[possible] if possible == 1 else f"{words[possible]}, best first"


def _spec(ways: Ways, lengths: str) -> tuple[tuple[str, str, float | None], ...]:
    there = ways.other
    scale = f"{figure(1 / there.magnification)}"
    now = f"{figure(1 / ways.in_use.magnification)}"
    rows: list[tuple[str, str, float | None]] = [
        ("Bellows", f"{figure(-there.bellows_stops, 2)} stop at 1:{scale}, now 1:{now}", None),
        ("Draw", tape(there.draw_mm / 1000, lengths), None),
    ]
    for name, price in (("in the hand", ways.in_the_hand), ("on the wall", ways.on_the_wall)):
        rows.append((f"As sharp as now, {name}", *_sharp(price)))
    rows.append(("Lens to eye", tape(there.subject_distance_m, lengths), None))
    if ways.floor is not None:
        rows.append(("Tape on the floor", taped(ways.floor, lengths), None))
    if ways.out_of_frame is not None:
        rows.append(("Light out of the picture", ways.out_of_frame.text, None))
    return tuple(rows)


def _sharp(price: Price) -> tuple[str, float | None]:
    if price.f_number is None:
        return "no mark of this lens is small enough", None
    return f"{stops_text(price.stops)} stops", price.f_number


def _way(way: Way, ways: Ways, lengths: str) -> WayShown:
    return WayShown(
        rank=way.rank,
        is_out=not way.feasible,
        title=way.title,
        detail=way.detail,
        why=way.why,
        tones=odds(way.p_tones),
        depth=_bar(way.in_focus, ways.in_use.in_focus, lengths),
        hold=f"{seconds(way.hold_s)}" if way.hold_s > 0 else "nothing to hold",
        held=odds(way.p_held) if way.hold_s > 0 else "",
        ghost=_ghost(way),
        firing=way.firing.text if way.firing is not None else "",
        buy=f"{figure(way.buy_ws, 4)} W·s to hire or buy" if way.buy_ws else "",
        changes=way.changes,
        settings=_settings(way, lengths),
    )


def _ghost(way: Way) -> str:
    if way.p_ghost is None:
        return "no flash" if way.firing is None else "none"
    return one_in(way.p_ghost) if worth_saying(way.p_ghost) else "none"


def _settings(way: Way, lengths: str) -> tuple[tuple[str, str], ...]:
    rows = [
        (
            f"{head.head_name}{' (hired)' if head.is_hired else ''}",
            f"{figure(head.energy_ws)} W·s a pop",
        )
        for head in way.heads
    ]
    if way.distance_m is not None:
        rows.append(("Key light to the cheek", tape(way.distance_m, lengths)))
    rows.append(("Eye sharp", odds(way.p_eye_sharp)))
    rows.append(("All of it together", odds(way.p_all)))
    return tuple(rows)


def _bar(depth: InFocus, in_use: InFocus, lengths: str) -> DepthBar:
    reach = WIDEST_TIMES_IN_USE * max(_both(in_use))

    def at(offset_mm: float) -> float:
        return round(50 + 50 * max(-1.0, min(1.0, offset_mm / reach)), 1)

    before, behind = depth.before_mm, depth.behind_mm
    far = reach if behind is None else behind
    beyond = "to far behind" if behind is None else f"to {tape(behind / 1000, lengths)} behind"
    used = in_use.before_mm, reach if in_use.behind_mm is None else in_use.behind_mm
    spoken = f"{tape(before / 1000, lengths)} before {beyond} the eye"
    return DepthBar(at(-before), at(far), at(-used[0]), at(used[1]), spoken)


def _both(depth: InFocus) -> Iterable[float]:
    return [depth.before_mm, *([] if depth.behind_mm is None else [depth.behind_mm])]


def _piece(piece: PieceOnSheet | None) -> PieceShown | None:
    if piece is None:
        return None
    straight, after = odds(piece.p_straight), odds(piece.p_after)
    return PieceShown(piece.text, f"A whole sheet lands {straight}; after the piece {after}.")


def asked(query: Mapping[str, str], name: str, known: Iterable[str], otherwise: str) -> str:
    """What an address asks, where it is one of what there is."""
    told = query.get(name, "")
    return told if told in known else otherwise
