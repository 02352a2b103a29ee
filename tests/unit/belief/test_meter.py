"""What a meter reading teaches: the light, not the paper; and its bias, once."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from stillroom.belief import Belief, LaidMeterReading, Posterior
from stillroom.errors import UnknownName
from stillroom.exposure import BareMeterReading
from tests.unit.engine_cases import layout_of, mean_of, opening, sd_of, settings

MADE = settings({"key": -1.0, "fill": -2.0, "rim": 0.0})
# The head's 14 less 1 on the dial, 3 in box and grid, and 2 log2 1.1 for the distance.
KEY_AT_CHEEK = 14.0 - 1.0 - 3.0 - 2 * math.log2(1.1)
CHAIN = ("head/H1/output", "modifier/M_box/loss", "modifier/M_grid/loss", "geometry/S0/key/key")
CHAIN_VARIANCE = 0.3**2 + 0.5**2 + 0.4**2 + 0.15**2


def taken(level: float, *, meter: str = "M", region: str = "key", **more: Any) -> BareMeterReading:
    said: dict[str, Any] = {"sources": ("key",), "settings": MADE, "sd_stops": 0.12}
    said |= {"bias_sd_stops": 0.15} | more
    return BareMeterReading(region=region, log2_lxs=level, meter=meter, **said)


def true_dials() -> dict[str, Any]:
    """The sitting with dials whose stops are stops, so that chains add up in closed form."""
    begin = opening()
    begin["kit"]["dial_slope_sd"] = 0.0
    return begin


def after(*readings: BareMeterReading) -> Belief:
    layout = layout_of(true_dials())
    laid = [LaidMeterReading(layout, r) for r in readings]
    return Posterior(Belief.empty(), layout, (), laid).belief


def chain(belief: Belief) -> tuple[float, float]:
    """Mean and sd of the light of the key at the cheek, as the meter would see it [stops]."""
    signs = dict(zip(CHAIN, (1, -1, -1, 0.15), strict=True))  # the place is of unit spread
    at = [belief.names.index(n) for n in CHAIN]
    mean = sum(signs[n] * belief.mean[i] for n, i in zip(CHAIN, at, strict=True))
    variance = sum(
        signs[a] * signs[b] * belief.covariance[i, j]
        for a, i in zip(CHAIN, at, strict=True)
        for b, j in zip(CHAIN, at, strict=True)
    )
    return float(mean) - 1.0 - 2 * math.log2(1.1), math.sqrt(float(variance))


def test_a_reading_moves_the_chain_and_narrows_it_as_two_gaussians_combine() -> None:
    """Closed form: prior variance 0.52, reading's own 0.12 and its meter's bias 0.15.

    800 states give the mean to 0.02 stop and the spread to 3 %: three of these each.
    """
    belief = after(taken(KEY_AT_CHEEK + 1.0))
    mean, sd = chain(belief)
    seen = 0.12**2 + 0.15**2
    weight = CHAIN_VARIANCE / (CHAIN_VARIANCE + seen)
    assert mean == pytest.approx(KEY_AT_CHEEK + weight, abs=0.04)
    assert sd == pytest.approx(math.sqrt(weight * seen), rel=0.1)


def test_a_reading_says_nothing_of_paper_lens_or_colour() -> None:
    belief = after(taken(KEY_AT_CHEEK + 1.0))
    for name, mean, sd in (
        ("paper/P1/speed", -0.74, 1.0),
        ("lens/L1/transmission", -0.2, 0.15),
        ("actinic/flash", 0.0, 1.0),
        ("head/H2/output", 14.0, 0.3),
    ):
        assert mean_of(belief, name) == pytest.approx(mean, abs=1e-9)
        assert sd_of(belief, name) == pytest.approx(sd, abs=1e-9)


def test_two_readings_of_one_meter_share_its_bias_and_of_two_meters_do_not() -> None:
    """Ten readings of one meter leave its 0.15; of ten meters they leave 0.19 over root ten."""
    one = chain(after(*[taken(KEY_AT_CHEEK + 1.0)] * 10))[1]
    many = [taken(KEY_AT_CHEEK + 1.0, meter=f"M{n}") for n in range(10)]
    ten = chain(after(*many))[1]

    def left(seen: float) -> float:
        return math.sqrt(CHAIN_VARIANCE * seen / (CHAIN_VARIANCE + seen))

    assert one == pytest.approx(left(0.15**2 + 0.12**2 / 10), rel=0.1)
    assert ten == pytest.approx(left((0.15**2 + 0.12**2) / 10), rel=0.1)
    belief = after(*[taken(KEY_AT_CHEEK + 1.0)] * 2)
    assert [n for n in belief.names if n.startswith("meter/")] == ["meter/M/bias"]


def test_lights_read_together_add_as_light() -> None:
    layout = layout_of(opening())
    c, a = layout.incident_rows(MADE, "key", ("key", "fill"))
    theta = [t.mean for t in layout.terms]
    key, fill = (float(x) for x in c + a @ theta)
    assert key == pytest.approx(KEY_AT_CHEEK)
    assert fill == pytest.approx(14 - 2 - 1.8 - 2 - 0.3)
    both = math.log2(2**key + 2**fill)
    belief = after(taken(both, sources=("key", "fill")))
    # Weighted draws from the prior, good to 0.005 stop; the cloud's own noise is 0.02.
    rng = np.random.default_rng(1)
    off = rng.standard_normal(200_000) * math.sqrt(CHAIN_VARIANCE)
    of_fill = rng.standard_normal(200_000) * math.sqrt(0.3**2 + 0.5**2 + 0.3**2)
    level = np.log2(2 ** (key + off) + 2 ** (fill + of_fill))
    weight = np.exp(-0.5 * (level - both) ** 2 / (0.12**2 + 0.15**2))
    wanted = key + weight @ off / weight.sum()
    assert chain(belief)[0] == pytest.approx(float(wanted), abs=0.06)


def test_steady_light_is_read_over_the_open_time() -> None:
    """Room light: level, place and time, without reciprocity, which is the paper's."""
    layout = layout_of(opening())
    slow = settings({}, seconds=8.0)
    c, a = layout.incident_rows(slow, "shadow", ("amb",))
    assert float(c[0] + a[0] @ [t.mean for t in layout.terms]) == pytest.approx(4.5 - 0.5 + 3)
    belief = after(taken(4.5 + 1.0 - 0.5 + 3, region="shadow", sources=("amb",), settings=slow))
    assert 0.8 < mean_of(belief, "level/S0/amb") < 1.0
    assert sd_of(belief, "level/S0/amb") < 0.45


def test_a_region_or_light_that_is_not_there_is_named() -> None:
    with pytest.raises(UnknownName, match="There is no region called 'nose'"):
        after(taken(10.0, region="nose"))
    with pytest.raises(UnknownName, match="There is no light called 'sun'"):
        after(taken(10.0, sources=("sun",)))
