"""Openings, curtains and places: what they refuse, and what they make of each other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from stillroom.errors import BadValue
from stillroom.light.window import Bare, Opening, Spot
from stillroom.light.window.opening import Seen, seen

WINDOW = Opening(1.2, 1.5, 0.9, azimuth_deg=45)

REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: replace(WINDOW, width_m=0), "width of the opening is 0"),
    (lambda: replace(WINDOW, height_m=-1), "height of the opening is -1"),
    (lambda: replace(WINDOW, azimuth_deg=float("nan")), "azimuth of the opening is nan"),
    (lambda: replace(WINDOW, frame_share=1), "frame share is 1"),
    (lambda: replace(WINDOW, obstruction_deg=90), "obstruction is 90"),
    (lambda: replace(WINDOW, bare=Bare(1.3, 1.0)), "width of the bare part is 1.3"),
    (lambda: replace(WINDOW, bare=Bare(0.4, 1.0, 0.5)), "an opening 1.2 m wide; make it narrower"),
    (lambda: replace(WINDOW, bare=Bare(1.0, 1.0, 0, 0.6)), "an opening 1.5 m high; make it lower"),
    (lambda: WINDOW.curtained(0), "open share is 0"),
    (lambda: Spot(0), "distance from the glass is 0"),
    (lambda: Spot(1, turn_deg=200), "turn of the face is 200"),
    (lambda: Spot(1, tilt_deg=91), "tilt of the face is 91"),
]


@pytest.mark.parametrize(("make", "message"), REFUSED, ids=[row[1] for row in REFUSED])
def test_what_cannot_be_is_refused_by_name(make: Callable[[], object], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        make()


def test_a_curtain_leaves_its_share_where_it_says() -> None:
    for side, middle in (("left", -0.45), ("middle", 0.0), ("right", 0.45)):
        bare = WINDOW.curtained(0.25, side).bare  # type: ignore[arg-type]
        assert bare is not None
        assert (bare.width_m, bare.height_m) == pytest.approx((0.3, 1.5))
        assert bare.offset_m == pytest.approx(middle)
    assert WINDOW.curtained(1.0).bare_area_m2 == pytest.approx(WINDOW.bare_area_m2)
    assert WINDOW.curtained(0.1).curtained(0.5).bare_area_m2 == pytest.approx(0.9)


def test_right_is_right_as_one_looks_out() -> None:
    # Somebody 0.6 m right of the middle has the opening to the left.
    assert seen(WINDOW, Spot(1.0, offset_m=0.6, height_m=0.9)) == pytest.approx(
        Seen(-1.2, 0.0, 0.0, 1.5)
    )
    assert Spot(1.0, turn_deg=90).normal == (1.0, 0.0, 0.0)
    assert Spot(1.0, tilt_deg=90).normal == (0.0, 0.0, 1.0)
    assert Spot(1.0, turn_deg=180).normal == pytest.approx((0.0, -1.0, 0.0))
