"""Whether the face of a light stays out of the picture, seen from above.

Where a light stands to the side of the sitter is not in a book. It is taken to stand at 45°
between the lens and the side, turned to the sitter: common practice for a key light, no source.
"""

from __future__ import annotations

import math

from stillroom.errors import in_range

KEY_SIDE_DEG = 45.0
"""How far a key light stands from the line of the lens, seen from the sitter."""
_DISTANCE_RANGE_M = (0.02, 500.0)
_FACE_RANGE_M = (0.0, 20.0)
_FRAME_RANGE_MM = (1.0, 100_000.0)


def clear_of_frame_mm(
    face_width_m: float,
    distance_m: float,
    frame_width_mm: float,
    lens_distance_m: float,
    side_deg: float = KEY_SIDE_DEG,
) -> float:
    """Return how far the nearer edge of a light stays out of the picture.

    Parameters
    ----------
    face_width_m : float
        Width of the face that is turned to the sitter [m], 0 to 20.
    distance_m : float
        From the sitter to the middle of the face [m], 0.02 to 500.
    frame_width_mm : float
        What of the sitter's plane is on the sheet, across [mm].
    lens_distance_m : float
        From the lens to the sitter [m].
    side_deg : float
        How far from the line of the lens it stands [deg], 0 to 180.

    Returns
    -------
    float
        Clearance across, at the edge that comes nearest [mm]; below 0 it enters the picture.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    The picture is a wedge from the lens to the frame about the sitter, and the face a straight
    line: the nearest point is one of its ends. Beyond the lens the wedge has no width.

    References
    ----------
    Plane geometry.

    Examples
    --------
    A small light at the side of a frame 400 mm wide:

    >>> round(clear_of_frame_mm(0.0, 1.0, 400, 2.0, 90))
    800
    """
    width = in_range("width of the face", face_width_m, *_FACE_RANGE_M, "m")
    distance = in_range("distance", distance_m, *_DISTANCE_RANGE_M, "m")
    half_frame = in_range("frame", frame_width_mm, *_FRAME_RANGE_MM, "mm") / 2
    lens = in_range("distance of the lens", lens_distance_m, *_DISTANCE_RANGE_M, "m")
    side = math.radians(in_range("side", side_deg, 0.0, 180.0, "°"))
    clear = []
    for end in (-width / 2, width / 2):
        across = distance * math.sin(side) + end * math.cos(side)
        towards = distance * math.cos(side) - end * math.sin(side)
        wedge = half_frame * max(0.0, 1 - towards / lens)
        clear.append(across * 1000 - wedge)
    return min(clear)


def nearest_out_of_frame_m(
    face_width_m: float,
    frame_width_mm: float,
    lens_distance_m: float,
    side_deg: float = KEY_SIDE_DEG,
    *,
    clear_mm: float = 0.0,
) -> float:
    """Return how near a light may come and stay out of the picture.

    Parameters
    ----------
    face_width_m, frame_width_mm, lens_distance_m, side_deg : float
        As `clear_of_frame_mm`.
    clear_mm : float
        How far it is to stay out [mm].

    Returns
    -------
    float
        Distance [m], to a centimetre; at least 0.02.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Plane geometry.

    Examples
    --------
    >>> nearest_out_of_frame_m(0.9, 480, 1.21)
    0.59
    """
    low, high = 2, round(_DISTANCE_RANGE_M[1] * 100)
    while low < high:
        middle = (low + high) // 2
        if (
            clear_of_frame_mm(
                face_width_m, middle / 100, frame_width_mm, lens_distance_m, side_deg
            )
            >= clear_mm
        ):
            high = middle
        else:
            low = middle + 1
    return low / 100
