"""A test piece on the command line."""

from __future__ import annotations

from stillroom.cli.typed import number
from stillroom.documents.piece import Piece
from stillroom.documents.read import validated
from stillroom.errors import BadValue


def piece_of(*, is_piece: bool, region: str | None, size: str | None) -> Piece | None:
    """The test piece that was made; None for a whole sheet.

    Raises
    ------
    BadValue
        If a region or a size is given and nothing says that it is a piece, or the size is none.
    """
    given = {"--piece-region": region, "--piece-size": size}
    if not is_piece:
        for option, text in given.items():
            if text is not None:
                raise BadValue(option, text, "it goes with --piece; say that it is a test piece")
        return None
    said: dict[str, object] = {} if region is None else {"region": region.strip()}
    if size is not None:
        width, times, height = size.lower().replace("\u00d7", "x").partition("x")
        if not times:
            raise BadValue("--piece-size", size, "give width x height in mm, such as 90x120")
        said |= {
            "width_mm": number("--piece-size", width.strip()),
            "height_mm": number("--piece-size", height.strip()),
        }
    return validated(Piece, said)
