from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from stillroom import light
from stillroom.errors import OutOfRange


@pytest.mark.parametrize("size", [(0.3, 1.2), (1.0, 1.0), (4.0, 0.2)])
@pytest.mark.parametrize("distance", [0.05, 0.7, 3.0])
def test_not_turned_is_the_closed_form(size: tuple[float, float], distance: float) -> None:
    turned = light.turned_rectangle_illuminance_per_luminance(*size, distance, 0)
    assert turned == pytest.approx(
        light.rectangle_illuminance_per_luminance(*size, distance), rel=1e-9
    )


def test_a_receiver_that_looks_away_gets_nothing() -> None:
    assert light.turned_rectangle_illuminance_per_luminance(1, 1, 2, 150) == 0
    assert light.turned_rectangle_illuminance_per_luminance(1, 1, 2, 180) == 0


def test_off_axis_agrees_with_a_brute_sum_over_the_disk() -> None:
    radius, distance, offset = 0.4, 0.6, 0.9
    ticks = np.linspace(-radius, radius, 801)
    x, y = np.meshgrid((ticks[1:] + ticks[:-1]) / 2, (ticks[1:] + ticks[:-1]) / 2)
    area = (ticks[1] - ticks[0]) ** 2
    reach = (x - offset) ** 2 + y**2 + distance**2
    total = np.sum(np.where(x**2 + y**2 <= radius**2, distance**2 / reach**2, 0)) * area
    got = light.disk_off_axis_illuminance_per_luminance(radius, distance, offset)
    assert got == pytest.approx(float(total), rel=1e-3)


def test_a_disk_under_the_receiver_is_not_lost_to_rounding() -> None:
    near = light.disk_off_axis_illuminance_per_luminance(0.5, 0.02, 0.1)
    far = light.disk_off_axis_illuminance_per_luminance(0.01, 400, 100)
    assert near < math.pi
    assert far == pytest.approx(math.pi * 1e-4 * 400**2 / (400**2 + 100**2) ** 2, rel=1e-9)


def test_iso_on_scale_prefers_100_and_says_when_nothing_fits() -> None:
    assert light.iso_on_scale(2667) == 100
    assert light.iso_on_scale(40_000) == 50
    assert light.iso_on_scale(0.5) == 1600
    with pytest.raises(OutOfRange, match="exposure is 1e-05"):
        light.iso_on_scale(1e-5)
    with pytest.raises(OutOfRange, match="exposure is 1000000"):
        light.iso_on_scale(1_000_000)


@pytest.mark.parametrize(
    ("exact", "mark"), [(11.314, 11), (12.7, 13), (22.6, 22), (1.0, 1), (6.9, 7.1), (6.7, 6.3)]
)
def test_a_meter_displays_third_stops(exact: float, mark: float) -> None:
    assert light.nearest_third_f_number(exact) == mark


def test_pops_lose_what_they_are_told_to_lose() -> None:
    assert light.pops_stops(8, 0.05) == pytest.approx(2.85)
    assert light.pops_stops(1, 0.3) == 0


REFUSED: list[tuple[str, Callable[[], float], str]] = [
    ("1 mm", lambda: light.distance_stops(0.001), "distance is 0.001"),
    ("no distance", lambda: light.lamp_illuminance_lx(100, 0), "distance is 0"),
    ("1e9 W·s", lambda: light.luminous_energy_lms(1e9), "energy is 1000000000.0"),
    ("f/0.1", lambda: light.incident_exposure_lxs(0.1, 100), "f-number is 0.1"),
    ("no number", lambda: light.guide_number_m(math.nan, 100), "intensity is nan"),
    ("inf", lambda: light.exposure_lxs(math.inf, 1), "illuminance is inf"),
    ("a right angle", lambda: light.facing_stops(90), "angle is 90"),
    ("no pops", lambda: light.pops_stops(0), "pops is 0"),
    ("C", lambda: light.incident_f_number(100, 100, 30), "C is 30"),
    ("K", lambda: light.reflected_seconds(8, 100, 100, 1.16), "K is 1.16"),
    ("text", lambda: light.distance_stops("2"), "distance is '2'"),  # type: ignore[arg-type]
    ("truth", lambda: light.pops_stops(pops=True), "pops is True"),
    ("face", lambda: light.near_field_stops(50, None, 1), "diameter is 50"),
    ("small face, bad distance", lambda: light.near_field_stops(None, None, 0), "distance is 0"),
]


@pytest.mark.parametrize(
    ("call", "message"), [row[1:] for row in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_what_cannot_be_is_refused_by_name(call: Callable[[], float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        call()
