"""A test piece on the bigger sheet: how large, where it is taped, what it tells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from stillroom.advice import Ahead
from stillroom.documents import book as doc
from stillroom.documents.piece import Piece
from stillroom.documents.pieces import tightest
from stillroom.documents.ways import PieceOnSheet
from stillroom.quantity import NINE_IN_TEN, range_text
from stillroom.services.advising import read_by
from stillroom.services.pieces import piece_cost, share_of, share_words
from stillroom.services.ways.asked import Other, Standing
from stillroom.services.ways.search import Exact
from stillroom.sitter import region_name

WANTED_SHARE = 0.2
OFFCUTS_MM = ((60.0, 90.0), (65.0, 90.0), (90.0, 120.0), (100.0, 125.0), (130.0, 180.0))
"""Sizes that paper is cut to for tests (ours)."""
EYE_LINE_SHARE = 0.4
"""How far down a head-and-shoulders the eyes are (common practice, no source)."""
# From the middle between the eyes, towards the key light and downwards, at the sitter [mm];
# invented, plausible for one head and shoulders.
_WHERE_MM: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "key": (55.0, 45.0),
        "shadow": (-55.0, 45.0),
        "forehead": (0.0, -55.0),
        "rim": (-80.0, 10.0),
        "hair": (0.0, -105.0),
        "cloth": (0.0, 280.0),
        "bg": (170.0, -80.0),
    }
)
STEPS = (1, 2, 4)


def offcut_mm(format_mm: tuple[float, float]) -> tuple[float, float]:
    """The offcut whose area is nearest to a fifth of a sheet, and that fits on it.

    Parameters
    ----------
    format_mm : tuple of float
        Width and height of the sheet [mm].

    Examples
    --------
    >>> offcut_mm((203.2, 254))
    (90.0, 120.0)
    """
    width, height = sorted(format_mm)
    fit = [s for s in OFFCUTS_MM if s[0] <= width / 1.5 and s[1] <= height / 1.5]
    if not fit:
        return width / 3, height / 2
    return min(fit, key=lambda s: abs(s[0] * s[1] / (width * height) - WANTED_SHARE))


def place_on_sheet_mm(
    region: str, there: Standing, size_mm: tuple[float, float]
) -> tuple[float, float]:
    """Where the middle of a piece lies: from the top, and from the middle towards the key light.

    Parameters
    ----------
    region : str
        Which region it tells of; unknown ones lie in the middle.
    there : Standing
        The camera, for sheet and magnification.
    size_mm : tuple of float
        Of the piece, width and height [mm].

    Returns
    -------
    tuple of float
        Both [mm]; the whole piece stays on the sheet.
    """
    width, height = there.camera.format_mm
    across, down = _WHERE_MM.get(region, (0.0, 0.0))
    from_top = EYE_LINE_SHARE * height + down * there.magnification
    aside = across * there.magnification
    half_w, half_h = size_mm[0] / 2, size_mm[1] / 2
    from_top = min(max(from_top, half_h), height - half_h)
    aside = min(max(aside, half_w - width / 2), width / 2 - half_w)
    return from_top, aside


def piece_on_sheet(other: Other, book: doc.Book, way: Exact) -> PieceOnSheet | None:
    """The test piece before a whole sheet is made the way that stands first.

    Parameters
    ----------
    other : Other
        Both cameras.
    book : Book
        With the way's things.
    way : Exact
        The way.

    Returns
    -------
    PieceOnSheet or None
        None where nothing is aimed.
    """
    sitting = way.table.sitting
    region = tightest({r: aim for r, aim in sitting.aims.items() if r in way.odds.aimed})
    if region is None:
        return None
    size = offcut_mm(other.other.camera.format_mm)
    from_top, aside = place_on_sheet_mm(region, other.other, size)
    share = share_of(Piece(width_mm=size[0], height_mm=size[1]), other.other.camera)
    best = way.settled.settings
    cost = replace(piece_cost(book, sitting), share=share)
    steps = replace(best, steps_pops=STEPS)
    dials = [i for i, role in enumerate(way.odds.layout.roles) if role in way.odds.layout.dials]
    ahead = Ahead(
        way.odds,
        best,
        way.settled.p_lands,
        steps,
        free=dials,
        by=read_by(other.book, other.in_use.sitting),
    )
    seen = next(look for look in ahead.pieces(cost.sheets) if look.region == region)
    after = NINE_IN_TEN * seen.sd_after_stops
    place = region_name(region).lower()
    side = "towards the key light" if aside >= 0 else "away from the key light"
    off_middle = f", {abs(aside) / 10:.0f} cm {side}" if abs(aside) >= 5 else ", in the middle"
    text = (
        f"Tape a {size[0] / 10:g} × {size[1] / 10:g} offcut of the same batch where the {place} "
        f"will fall: {from_top / 10:.0f} cm from the top{off_middle}, face to the lens. It takes "
        f"{share_words(share)} and as much of the bath, and tells the {place} to "
        f"{range_text(after)}. Then one whole sheet."
    )
    return PieceOnSheet(
        region=region,
        width_mm=size[0],
        height_mm=size[1],
        from_top_mm=from_top,
        right_of_middle_mm=aside,
        share=share,
        settings=way.document,
        sd_now_stops=seen.sd_now_stops,
        sd_after_stops=seen.sd_after_stops,
        p_straight=way.settled.p_lands,
        p_after=seen.look.odds,
        text=text,
    )
