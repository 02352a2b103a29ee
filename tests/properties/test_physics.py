"""What holds for every setting: there and back again, and more light is never darker."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom import camera, light, paper, quantity

distances = st.floats(0.05, 50)
faces = st.floats(0.05, 3)
shapes = st.tuples(
    st.floats(0.3, 6),  # contrast
    st.floats(0.05, 8),  # asymmetry
    st.floats(0.0, 0.3),  # Dmin
    st.floats(1.0, 2.5),  # Dmax
)
placements = st.floats(-6, 6)
dials = st.one_of(
    st.builds(light.Dial, st.just("stops"), st.integers(-9, -1), st.just(0), st.just(0.1)),
    st.builds(light.Dial, st.just("stops"), st.integers(-9, -1), st.just(0), st.just(1 / 3)),
    st.builds(light.Dial, st.just("fraction"), st.just(1 / 64), st.just(1), st.just(1 / 3)),
    st.builds(light.Dial, st.just("fraction"), st.just(1 / 32), st.just(1), st.just(0.1)),
    st.builds(light.Dial, st.just("energy"), st.just(50), st.just(1200), st.integers(5, 50)),
)


@given(shapes, placements)
def test_a_tone_gives_back_its_placement(
    shape: tuple[float, float, float, float], u: float
) -> None:
    kappa, nu, dmin, dmax = shape
    tone = float(paper.density(u, kappa, nu, dmin, dmax))
    net, short = tone - dmin, dmax - tone
    if min(net, short) < 1e-4:
        return  # a tone at the end of the curve tells nothing: rounding decides
    assert float(paper.placement(tone, kappa, nu, dmin, dmax)) == pytest.approx(u, abs=1e-6)


@given(shapes, st.floats(0.001, 0.999))
def test_a_placement_gives_back_its_tone(
    shape: tuple[float, float, float, float], share: float
) -> None:
    kappa, nu, dmin, dmax = shape
    tone = dmin + share * (dmax - dmin)
    u = paper.placement(tone, kappa, nu, dmin, dmax)
    assert float(paper.density(u, kappa, nu, dmin, dmax)) == pytest.approx(tone, abs=1e-9)


@given(shapes, st.lists(placements, min_size=2, max_size=20))
def test_more_light_is_never_darker(
    shape: tuple[float, float, float, float], us: list[float]
) -> None:
    tones = paper.density(np.sort(np.array(us)), *shape)
    assert np.all(np.diff(tones) <= 0)
    assert np.all(paper.density_slope(np.array(us), *shape) <= 0)


@given(shapes, placements)
def test_every_tone_lies_between_dmin_and_dmax(
    shape: tuple[float, float, float, float], u: float
) -> None:
    assert shape[2] <= float(paper.density(u, *shape)) <= shape[3]


@given(st.floats(0.01, 3200))
def test_ei_and_mid_tone_exposure(ei: float) -> None:
    h = paper.mid_tone_exposure_lxs(ei)
    assert paper.exposure_index(h) == pytest.approx(ei)
    assert paper.ei_of_speed_log2(paper.speed_log2(ei)) == pytest.approx(ei)
    assert paper.speed_log2(ei) == pytest.approx(-math.log2(h), abs=1e-12)


@given(dials, st.data())
def test_a_setting_gives_back_its_stops(dial: light.Dial, data: st.DataObject) -> None:
    steps = light.settings_stops(dial, 1200)
    wanted = float(steps[data.draw(st.integers(0, len(steps) - 1))])
    reading = light.reading_for_stops(dial, wanted, 1200)
    assert light.stops_below_full(dial, reading, 1200) == pytest.approx(wanted, abs=1e-9)


@given(dials, st.data())
def test_the_nearest_setting_is_the_nearest(dial: light.Dial, data: st.DataObject) -> None:
    steps = light.settings_stops(dial, 1200)
    wanted = data.draw(st.floats(float(steps[0]), 0))
    reading = light.reading_for_stops(dial, wanted, 1200)
    found = light.stops_below_full(dial, reading, 1200)
    assert abs(found - wanted) <= np.min(np.abs(steps - wanted)) + 1e-9


@given(dials, st.floats(0.05, 1), st.floats(0.05, 1))
def test_turning_a_dial_up_never_gives_less(dial: light.Dial, a: float, b: float) -> None:
    low, high = sorted((a, b))
    span = dial.max - dial.min
    less = light.stops_below_full(dial, dial.min + low * span, 1200)
    more = light.stops_below_full(dial, dial.min + high * span, 1200)
    assert less <= more + 1e-9


@given(faces, faces, distances)
def test_near_field_never_exceeds_the_point_rule(w: float, h: float, d: float) -> None:
    assert light.rectangle_near_field_stops(w, h, d) <= 0
    assert light.disk_near_field_stops(w, d) <= 0
    assert light.rectangle_illuminance_per_luminance(w, h, d) <= math.pi


@given(faces, faces, distances, st.floats(1.01, 4))
def test_going_away_never_brings_more_light(w: float, h: float, d: float, factor: float) -> None:
    near = light.rectangle_illuminance_per_luminance(w, h, d)
    assert light.rectangle_illuminance_per_luminance(w, h, factor * d) < near
    # ... but near field falls off more slowly than the inverse square.
    assert light.rectangle_near_field_stops(w, h, factor * d) >= (
        light.rectangle_near_field_stops(w, h, d) - 1e-12
    )


@given(faces, faces, distances)
def test_which_side_is_the_width_does_not_matter(w: float, h: float, d: float) -> None:
    assert light.rectangle_near_field_stops(w, h, d) == pytest.approx(
        light.rectangle_near_field_stops(h, w, d), abs=1e-12
    )


@given(faces, faces, distances, st.floats(0.1, 10))
def test_near_field_knows_shape_not_size(w: float, h: float, d: float, scale: float) -> None:
    scaled = [min(max(scale * x, 0.02), 20) for x in (w, h, d)]
    if scaled != [scale * w, scale * h, scale * d]:
        return
    assert light.rectangle_near_field_stops(*scaled) == pytest.approx(
        light.rectangle_near_field_stops(w, h, d), abs=1e-9
    )


@given(faces, faces, distances, st.floats(0, 180), st.floats(0, 180))
def test_turning_away_never_brings_more_light(
    w: float, h: float, d: float, a: float, b: float
) -> None:
    less, more = sorted((a, b))
    towards = light.turned_rectangle_illuminance_per_luminance(w, h, d, less)
    away = light.turned_rectangle_illuminance_per_luminance(w, h, d, more)
    assert away <= towards + 1e-12
    assert away >= 0


@given(faces, distances, st.floats(0, 10), st.floats(0, 10))
def test_going_aside_never_brings_more_light(r: float, d: float, a: float, b: float) -> None:
    near, far = sorted((a, b))
    inside = light.disk_off_axis_illuminance_per_luminance(r, d, near)
    assert light.disk_off_axis_illuminance_per_luminance(r, d, far) <= inside * (1 + 1e-12)


@given(st.floats(1, 1e5), st.floats(0.5, 6400))
def test_guide_number_and_intensity(intensity: float, iso: float) -> None:
    gn = light.guide_number_m(intensity, iso)
    assert light.intensity_from_guide_number_cds(gn, iso) == pytest.approx(intensity)
    assert light.guide_number_m_from_ft(light.guide_number_ft_from_m(gn)) == pytest.approx(gn)
    assert light.guide_number_at(gn, iso, 4 * iso) == pytest.approx(2 * gn)


@given(st.floats(1, 1e5), st.floats(0.5, 6400), distances)
def test_a_guide_number_and_a_meter_say_the_same(i: float, iso: float, d: float) -> None:
    f_number = light.incident_f_number(i / d**2, iso)
    assert f_number * d == pytest.approx(light.guide_number_m(i, iso))
    if 0.5 <= f_number <= 512:
        assert light.incident_exposure_lxs(f_number, iso) == pytest.approx(i / d**2)


@given(st.floats(0.1, 80_000))
def test_the_iso_chosen_keeps_the_meter_on_its_scale(exposure: float) -> None:
    shown = light.incident_f_number(exposure, light.iso_on_scale(exposure))
    mark = light.nearest_third_f_number(shown)
    assert 1.4 <= mark <= 90
    assert abs(camera.stops_between_f_numbers(shown, camera.exact_f_number(mark))) <= 1 / 6 + 1e-9


@given(st.floats(-8, 18))
def test_ev_and_lux(ev: float) -> None:
    assert light.ev100_from_lux(light.lux_from_ev100(ev)) == pytest.approx(ev, abs=1e-9)


@given(st.floats(1, 45), st.floats(0.001, 30), st.floats(1, 1000))
def test_a_meter_reading_gives_back_its_light(n: float, seconds: float, iso: float) -> None:
    lux = light.illuminance_from_meter_lx(n, iso, seconds)
    if 1e-6 <= lux <= 1e6:
        assert light.incident_seconds(n, lux, iso) == pytest.approx(seconds)


focals = st.floats(50, 1000)
magnifications = st.floats(0.01, 3)


@given(focals, magnifications, st.floats(0.5, 1.5))
def test_draw_and_distance_give_back_the_magnification(f: float, m: float, flange: float) -> None:
    draw = camera.draw_mm(f, m, flange * f)
    assert camera.magnification_from_draw(f, draw, flange * f) == pytest.approx(m, rel=1e-9)
    u = camera.subject_distance_m(f, m)
    assert camera.magnification_from_distance(f, u) == pytest.approx(m, rel=1e-9)


@given(focals, magnifications)
def test_conjugates_obey_the_lens_equation(f: float, m: float) -> None:
    u, v = 1000 * camera.subject_distance_m(f, m), camera.draw_mm(f, m)
    assert 1 / u + 1 / v == pytest.approx(1 / f)


@given(magnifications, magnifications, st.floats(0.4, 2.5))
def test_more_draw_never_gives_more_light(a: float, b: float, p: float) -> None:
    less, more = sorted((a, b))
    assert camera.bellows_stops(more, p) <= camera.bellows_stops(less, p) <= 0


@given(focals, st.floats(1, 64), st.floats(0.05, 0.3), st.floats(1.5, 50))
def test_sharpness_reaches_to_both_sides(f: float, n: float, c: float, s: float) -> None:
    near, far = camera.depth_of_field_limits_m(f, n, c, s)
    assert near < s < far
    smaller = camera.depth_of_field_limits_m(f, 1.4 * n, c, s)
    assert smaller[0] <= near
    assert smaller[1] >= far


@given(st.sampled_from(sorted(camera.MARKS)))
def test_a_mark_taken_literally_is_near_its_number(mark: float) -> None:
    error = camera.stops_between_f_numbers(mark, camera.exact_f_number(mark))
    assert abs(error) < 0.085


@given(st.floats(0.001, 1e4), st.floats(0, 1e3), st.floats(0, 1e3))
def test_more_veil_is_never_darker(exposure: float, a: float, b: float) -> None:
    less, more = sorted((a, b))
    assert 0 <= camera.veil_stops(exposure, less) <= camera.veil_stops(exposure, more)


@given(st.floats(0.002, 30), st.sampled_from(["metric", "imperial"]))
def test_a_length_reads_back_as_it_was_written(metres: float, preference: str) -> None:
    text = quantity.format_length(metres, preference)  # type: ignore[arg-type]
    # Half the last place printed: 1 cm, 1 mm or 0.1 mm; a quarter of an inch.
    if preference == "imperial":
        half = 0.0254 / 8 if metres > 0.0254 / 8 else 0.0254 / 4
    else:
        half = 0.005 if metres > 0.9995 else 0.0005 if metres > 0.0095 else 0.00005
    assert abs(quantity.parse_length_m(text) - metres) <= half * (1 + 1e-9)


@given(st.floats(0.2, 100), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_a_unit_may_stand_in_the_text_or_beside_it(number: float, unit: str) -> None:
    written = f"{number:.4f}"
    assert quantity.parse_length_m(f"{written} {unit}") == quantity.parse_length_m(written, unit)


@given(st.lists(st.floats(-40, 40), min_size=1, max_size=8))
def test_light_adds_as_light(stops: list[float]) -> None:
    total = math.log2(math.fsum(2.0**x for x in stops))
    assert float(quantity.light_sum_stops(np.array(stops))) == pytest.approx(total, abs=1e-9)


@given(st.floats(-40, 40))
def test_thirds_are_never_more_than_a_sixth_away(value: float) -> None:
    text = quantity.stops_text(value).replace("−", "-")
    thirds = {"⅓": 1 / 3, "⅔": 2 / 3}
    sign = -1 if text.startswith("-") else 1
    digits = text.strip("+-⅓⅔")
    read = sign * ((float(digits) if digits else 0.0) + thirds.get(text[-1], 0.0))
    assert abs(read - value) <= 1 / 6 + 1e-9


@given(st.floats(0.01, 600), st.floats(0.01, 600), st.floats(0, 0.4))
def test_a_longer_opening_never_records_less(a: float, b: float, q: float) -> None:
    short, long = sorted((a, b))
    effect = [math.log2(t) + paper.reciprocity_stops(t, q) for t in (short, long)]
    assert effect[0] <= effect[1] + 1e-12
