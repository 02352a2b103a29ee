"""A test piece as a step: what it costs here, what is said of it, and whether it can be made."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TypeVar

from stillroom.advice import NextPiece, PieceCost
from stillroom.advice.costs import PIECE_SHARE, ROUND_MINUTES
from stillroom.documents import book as doc
from stillroom.documents.answers import PieceAdvice
from stillroom.documents.kit import Camera
from stillroom.documents.piece import Piece
from stillroom.documents.pieces import check_size, tightest
from stillroom.documents.to_domain import named
from stillroom.errors import BadValue, NotPossible, UnknownName
from stillroom.quantity import NINE_IN_TEN, range_text
from stillroom.services.readings import is_read
from stillroom.services.sittings import in_order_of_time
from stillroom.sitter import region_name

_SHARES = {
    1: "a whole sheet",
    2: "half a sheet",
    3: "a third of a sheet",
    4: "a quarter of a sheet",
    5: "a fifth of a sheet",
    6: "a sixth of a sheet",
    8: "an eighth of a sheet",
}

Said = TypeVar("Said")


def share_of(piece: Piece | None, camera: Camera) -> float:
    """Share of a sheet that a test piece takes: its own area where that is said, else a fifth.

    Parameters
    ----------
    piece : Piece or None
        The piece.
    camera : Camera
        For the size of its sheets.

    Returns
    -------
    float
        Above 0, at most 1.

    Examples
    --------
    >>> whole = Camera(id="8x10", format_mm=(203, 254))
    >>> round(share_of(Piece(width_mm=90, height_mm=120), whole), 2)
    0.21
    """
    if piece is None or piece.width_mm is None or piece.height_mm is None:
        return PIECE_SHARE
    width, height = camera.format_mm
    return min(piece.width_mm * piece.height_mm / (width * height), 1.0)


def piece_cost(book: doc.Book, sitting: doc.Sitting) -> PieceCost:
    """What a test piece costs in a sitting; it is as large as the last one for this camera."""
    camera = named("camera", sitting.camera, book.kit.cameras)
    sized = (
        sheet.piece
        for other in reversed(in_order_of_time(book))
        if other.camera == sitting.camera and (other.when, other.id) <= (sitting.when, sitting.id)
        for sheet in sorted(other.sheets, key=lambda s: -s.number)
        if sheet.piece is not None and sheet.piece.width_mm is not None
    )
    return PieceCost(share_of(next(sized, None), camera), sitting.dear)


def piece_to_make(
    book: doc.Book, sitting: doc.Sitting, piece: Piece, settings: doc.Settings
) -> Piece:
    """A test piece as it is written down: with the region it tells of, an aimed one.

    Raises
    ------
    UnknownName
        If its region is not aimed.
    NotPossible
        If none is.
    BadValue
        If the settings are those of a stepped sheet.
    OutOfRange
        If it is larger than a sheet.
    """
    aimed = [r for r, aim in sitting.aims.items() if aim.tol_stops is not None]
    region = piece.region or tightest(sitting.aims)
    if region is None:
        raise NotPossible(
            "No region is aimed, so a test piece has no place: give an aim tol_stops."
        )
    if region not in aimed:
        raise UnknownName("aimed region (for the test piece)", region, aimed)
    if settings.steps_pops is not None:
        raise BadValue(
            "steps of the test piece",
            ", ".join(map(str, settings.steps_pops)),
            "a test piece shows one exposure; make a stepped sheet or a piece",
        )
    check_size(piece, named("camera", sitting.camera, book.kit.cameras), "this sheet")
    return piece.model_copy(update={"region": region})


def plain_of(settings: doc.Settings) -> doc.Settings:
    """The same settings without steps: as many pops as the middle of the strips.

    Examples
    --------
    >>> plain_of(doc.Settings(f_number=8, steps_pops=(1, 2, 4, 8))).pops
    3
    """
    if settings.steps_pops is None:
        return settings
    pops = round(math.prod(settings.steps_pops) ** (1 / len(settings.steps_pops)))
    return settings.model_copy(update={"steps_pops": None, "pops": pops})


def only_region(said: Mapping[str, Said], piece: Piece | None) -> dict[str, Said]:
    """What was said of every region, as far as the piece shows it."""
    return {r: one for r, one in said.items() if piece is None or r == piece.region}


def piece_unread(sitting: doc.Sitting) -> doc.Sheet | None:
    """A test piece that waits to be read: until then another would teach the same."""
    return next((s for s in sitting.sheets if s.piece is not None and not is_read(s)), None)


def last_was_piece(sitting: doc.Sitting) -> bool:
    """Whether a test piece was made last: then a sheet comes, played out a second costs more."""
    last = max(sitting.sheets, key=lambda s: s.number, default=None)
    return last is not None and last.piece is not None


def counted(sheets: Iterable[doc.Sheet]) -> str:
    """How many sheets there are, test pieces apart.

    Examples
    --------
    >>> made = doc.Sheet(number=1, settings=doc.Settings(f_number=8))
    >>> counted([made]), counted([made, made.model_copy(update={"piece": Piece()})])
    ('1 sheet', '1 sheet and 1 test piece')
    """
    every = list(sheets)
    pieces = sum(sheet.piece is not None for sheet in every)
    numbers = {"sheet": len(every) - pieces, "test piece": pieces}
    said = [f"{n} {what}{'' if n == 1 else 's'}" for what, n in numbers.items() if n]
    return " and ".join(said) or "no sheet"


def piece_advice(planned: NextPiece, settings: doc.Settings) -> PieceAdvice:
    """What is said of a test piece that saves more than it costs."""
    seen, cost = planned.seen, planned.cost
    paper, rounds = cost.share + seen.whole_sheets, 1 + seen.whole_sheets
    place = region_name(seen.region).lower()
    now, after = (range_text(NINE_IN_TEN * s) for s in (seen.sd_now_stops, seen.sd_after_stops))
    instead = "a stepped" if planned.instead_stepped else "a plain"
    text = (
        f"Tape an offcut of the same batch where the {place} falls, face to the lens, and expose "
        f"it like a plain sheet. It takes {share_words(cost.share)} of paper, a round of about "
        f"{ROUND_MINUTES} minutes as a sheet does, and never goes in the box. It tells the "
        f"{place} alone, to {after}; now that is open by {now}."
    )
    worth = (
        f"About {paper:.1f} sheets of paper and {rounds:.1f} rounds to the first that lands, the "
        f"piece counted in; with {instead} sheet first {planned.instead_sheets:.1f} of each."
    )
    return PieceAdvice(
        region=seen.region,
        settings=settings,
        first=planned.is_first,
        share=cost.share,
        saves_sheets=planned.saves_sheets,
        paper_sheets=paper,
        rounds=rounds,
        sd_now_stops=seen.sd_now_stops,
        sd_after_stops=seen.sd_after_stops,
        text=text,
        worth=worth,
    )


def share_words(share: float) -> str:
    """A share of a sheet in words, to the nearest part that has a name.

    Examples
    --------
    >>> share_words(0.2), share_words(0.21), share_words(0.6)
    ('a fifth of a sheet', 'a fifth of a sheet', 'half a sheet')
    """
    return _SHARES[min(_SHARES, key=lambda n: abs(n * share - 1))]
