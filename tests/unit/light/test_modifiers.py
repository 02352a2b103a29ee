from __future__ import annotations

import math

import pytest

from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.light import (
    MODIFIER_PRIORS,
    Modifier,
    disk_near_field_stops,
    face_size_m,
    far_field_loss_stops,
    modifier_prior,
    outermost_face,
    rectangle_near_field_stops,
    stacked_loss,
)

BOX = Modifier("box", "softbox", 0.6, 0.9, 2, 2.5, 0.5)
GRID = Modifier("grid", "fabric_grid", loss_stops=0.75, loss_sd_stops=0.4)
OCTA = Modifier("octa", "octa", 0.9, 0.9, 2, 2.4, 0.3)


def test_a_metered_loss_gives_back_the_far_field_one() -> None:
    # A head of 12 cd·s per unit in its reflector, behind a box whose far-field intensity is four
    # times less, metered at the face's own size away: both illuminances from first principles.
    bare = 12.0 / 0.9**2
    boxed = 3.0 / 0.9**2 * 2 ** rectangle_near_field_stops(0.6, 0.9, 0.9)
    metered = math.log2(bare / boxed)
    modifier = Modifier("box", "softbox", 0.6, 0.9, 2, metered, 0.2, measured_at_m=0.9)
    assert metered > 2.2
    assert far_field_loss_stops(modifier) == pytest.approx(2.0)


def test_a_far_field_loss_is_left_alone() -> None:
    assert far_field_loss_stops(BOX) == 2.5


def test_a_stack_adds_losses_and_uncertainties() -> None:
    total = stacked_loss([BOX, GRID])
    assert total.value == pytest.approx(3.25)
    assert total.u == pytest.approx(math.hypot(0.5, 0.4))
    assert stacked_loss([]).value == 0


def test_the_face_that_matters_is_the_outermost_with_a_size() -> None:
    assert outermost_face([OCTA, BOX, GRID]) is BOX
    assert face_size_m([OCTA, BOX, GRID]) == (0.6, 0.9)
    assert face_size_m([GRID]) is None
    assert outermost_face([]) is None


def test_round_faces_count_as_disks() -> None:
    round_face = Modifier("dish", "dish", 0.5)
    assert face_size_m([round_face]) == (0.5, 0.5)
    assert round_face.near_field_stops(0.8) == disk_near_field_stops(0.5, 0.8)
    assert OCTA.near_field_stops(0.9) == disk_near_field_stops(0.9, 0.9)
    assert BOX.near_field_stops(0.9) == rectangle_near_field_stops(0.6, 0.9, 0.9)
    assert GRID.near_field_stops(0.9) == 0


def test_an_eight_sided_face_lies_as_near_to_the_disk_as_its_note_says() -> None:
    # Midpoint sum over the octagon itself, 0.9 m across its flats, at 0.9 m.
    n, width, distance = 900, 0.9, 0.9
    ticks = [(i + 0.5) / n * width - width / 2 for i in range(n)]
    inside = [
        1 / (x * x + y * y + distance**2) ** 2
        for x in ticks
        for y in ticks
        if abs(x) + abs(y) <= width / math.sqrt(2)
    ]
    octagon = math.log2(sum(inside) / len(inside) * distance**4)
    assert OCTA.near_field_stops(distance) - octagon == pytest.approx(0.016, abs=0.003)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"loss_stops": 40}, "loss of x is 40"),
        ({"loss_sd_stops": -1}, "uncertainty of the loss of x"),
        ({"width_m": 0.001}, "width of x"),
        ({"width_m": 0.6, "height_m": math.nan}, "height of x"),
        ({"layers": 11}, "layers of x"),
        ({"width_m": 0.6, "measured_at_m": 0.001}, "measured at, x"),
    ],
)
def test_numbers_that_cannot_be_are_refused(fields: dict[str, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        Modifier("x", "softbox", **fields)  # type: ignore[arg-type]


def test_half_a_description_is_refused() -> None:
    with pytest.raises(BadValue, match="give its width too"):
        Modifier("x", "softbox", height_m=0.6)
    with pytest.raises(BadValue, match="without a face"):
        Modifier("x", "fabric_grid", measured_at_m=1.0)


def test_priors_are_unsure_and_say_where_they_come_from() -> None:
    for prior in MODIFIER_PRIORS.values():
        assert 0.3 <= prior.loss_sd_stops <= 0.7
        assert "no source" in prior.source or "meter readings" in prior.source
    with pytest.raises(UnknownName, match="kind of modifier"):
        modifier_prior("mirror")
