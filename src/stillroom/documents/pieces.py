"""A test piece among the sheets: which region it tells of, and whether it can be."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.documents.book import Aim, Reading, Sheet, Sitting
from stillroom.documents.kit import Camera
from stillroom.documents.piece import Piece
from stillroom.errors import BadValue, OutOfRange

LEAST_SIDE_MM = 1.0
SAME_MM = 0.5
"""A side this much longer than the sheet's is the same side, measured by another ruler."""


def tightest(aims: Mapping[str, Aim]) -> str | None:
    """The aimed region with the least tolerance, the first of equals; None where none is aimed.

    Examples
    --------
    >>> key, bg = Aim(placement_stops=0.6), Aim(placement_stops=-2, tol_stops=None)
    >>> tightest({"bg": bg, "key": key}), tightest({"bg": bg})
    ('key', None)
    """
    aimed = {r: aim.tol_stops for r, aim in aims.items() if aim.tol_stops is not None}
    return min(aimed, key=lambda region: aimed[region], default=None)


def region_of_piece(sitting: Sitting, sheet: Sheet) -> str:
    """The one region that a test piece tells of.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        The test piece and the sitting it was made in.

    Returns
    -------
    str
        As the piece says, else the only one that was read of it and has an aim, else the aimed
        one with the least tolerance.
    """
    if sheet.piece is not None and sheet.piece.region is not None:
        return sheet.piece.region
    read = {region for reading in sheet.readings for region in reading.regions}
    read &= set(sitting.aims)
    if len(read) == 1:
        return read.pop()
    return tightest(sitting.aims) or next(iter(sitting.aims))


def check_piece(sheet: Sheet, camera: Camera, of: str) -> None:
    """Check that a sheet that was made as a test piece can be one.

    Parameters
    ----------
    sheet : Sheet
        The sheet; a whole one passes.
    camera : Camera
        For the size of its sheets.
    of : str
        What the sheet is called in a message.

    Raises
    ------
    BadValue
        If it is a stepped sheet too, or was kept, or not kept.
    OutOfRange
        If it is larger than a sheet.
    """
    piece = sheet.piece
    if piece is None:
        return
    check_size(piece, camera, of)
    if sheet.settings.steps_pops is not None:
        raise BadValue(
            f"steps_pops of {of}",
            ", ".join(map(str, sheet.settings.steps_pops)),
            "it is a test piece, which shows one exposure; leave steps_pops or piece out",
        )
    if sheet.kept is not None:
        raise BadValue(
            f"kept of {of}", sheet.kept, "a test piece never goes in the box; leave kept out"
        )
    if sheet.not_kept_because:
        raise BadValue(
            f"not_kept_because of {of}",
            ", ".join(sheet.not_kept_because),
            "a test piece never goes in the box; leave the reasons out",
        )


def check_size(piece: Piece, camera: Camera, of: str) -> None:
    """Check that a test piece is no larger than a sheet, whichever way it is turned.

    Raises
    ------
    OutOfRange
        If it is.
    """
    if piece.width_mm is None or piece.height_mm is None:
        return
    sides = {"width_mm": piece.width_mm, "height_mm": piece.height_mm}
    ordered = sorted(sides, key=lambda side: sides[side])
    for side, longest in zip(ordered, sorted(camera.format_mm), strict=True):
        if sides[side] > longest + SAME_MM:
            raise OutOfRange(
                f"{side} of the piece of {of}", sides[side], LEAST_SIDE_MM, longest, "mm"
            )


def check_only(sitting: Sitting, sheet: Sheet, reading: Reading, of: str) -> None:
    """Check that a reading of a test piece speaks of nothing but its region.

    Raises
    ------
    BadValue
        If it does.
    """
    if sheet.piece is None:
        return
    only = region_of_piece(sitting, sheet)
    for region in reading.regions:
        if region != only:
            raise BadValue(
                f"region of {of}", region, f"the test piece shows {only} alone; read only {only}"
            )


def whole_sheets(sitting: Sitting) -> int:
    """How many whole sheets of paper a sitting took."""
    return sum(sheet.piece is None for sheet in sitting.sheets)
