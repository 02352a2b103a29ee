"""What a sheet would show: that its figures belong together, and that they are sane."""

from __future__ import annotations

import math
from typing import Any

import pytest

from stillroom.documents.answers import Forecast, RegionForecast
from stillroom.documents.book import Settings
from stillroom.documents.read import read_book
from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.paper import density
from stillroom.services.demo import demo_document
from stillroom.services.plan import advise_several, predict
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned, small_data

FULL: dict[str, Any] = {"lights": {"key": {"dial": 0}, "fill": {"dial": -1}}, "f_number": 5.6}


def key_alone(**light: Any) -> dict[str, Any]:
    """A grey card, the key alone at full, f/5.6."""
    data = head_and_shoulders(sitters=[], stands={"lights": {"key": {"dial": 0}}, "f_number": 5.6})
    data["sittings"][0]["lights"] = [data["sittings"][0]["lights"][0] | light]
    return data


def region(data: dict[str, Any], name: str = "key", **settings: Any) -> RegionForecast:
    made = Settings.model_validate(settings) if settings else None
    return predict(book_of(data), "S1", made).regions[name]


# ---- sanity: common practice, no source ----------------------------------------------------


def test_a_thousand_watt_seconds_in_a_softbox_put_mid_grey_near_the_middle() -> None:
    """Common practice, no source: mid-grey falls within a stop of the middle of the paper.

    About 1000 W·s through a doubly diffused softbox at 0.9 m, f/5.6, close head and shoulders
    on 4x5, paper of EI about 3.
    """
    card = region(key_alone()).placement_stops.mean
    grey = card + math.log2(0.18 / 0.30)
    assert abs(grey) < 1.0


def test_a_grid_taken_off_gives_about_a_stop() -> None:
    """Common practice, no source: 0.3 to 1.3 stops."""
    without = region(key_alone()).placement_stops.mean
    with_grid = region(key_alone(modifiers=["box", "grid"])).placement_stops.mean
    assert 0.3 < without - with_grid < 1.3


def test_a_true_stop_of_5_5_for_one_marked_5_6_hardly_counts() -> None:
    """Under a tenth of a stop: closed form 2 log2(2**2.5 / 5.5) = 0.08."""
    data = key_alone()
    before = region(data).placement_stops.mean
    data["kit"]["lenses"][0]["true_f_number_wide_open"] = 5.5
    gained = region(data).placement_stops.mean - before
    assert gained == pytest.approx(2 * math.log2(2**2.5 / 5.5), abs=1e-9)
    assert 0 < gained < 0.1


def test_a_modifier_nobody_has_put_on_yet_can_be_asked_about() -> None:
    """Its loss is at its prior, as independent arithmetic says: 0.75 stop, unsure by 0.4."""
    data = key_alone()
    book = book_of(data)
    stands = Worktable(book, "S1").standing()
    found = []
    for modifiers in (("box",), ("box", "grid")):
        key = stands.lights["key"].model_copy(update={"modifiers": modifiers})
        asked = stands.model_copy(update={"lights": stands.lights | {"key": key}})
        found.append(predict(book, "S1", asked).regions["key"])
    bare, gridded = (f.landings[0] for f in found)
    assert bare.stops - gridded.stops == pytest.approx(0.75, abs=1e-9)
    assert gridded.sd_stops**2 - bare.sd_stops**2 == pytest.approx(0.4**2, abs=1e-9)
    spreads = [f.placement_stops for f in found]
    assert spreads[0].mean - spreads[1].mean == pytest.approx(0.75, abs=0.02)


def test_half_the_distance_is_two_stops_less_what_a_large_face_keeps() -> None:
    far, near = (region(key_alone(distance_m=d)) for d in (1.8, 0.9))
    gained = near.placement_stops.mean - far.placement_stops.mean
    assert 1.4 < gained < 2.0
    bare = [region(key_alone(modifiers=[], distance_m=d)).placement_stops.mean for d in (1.8, 0.9)]
    assert bare[1] - bare[0] == pytest.approx(2.0, abs=0.01)


# ---- figures belong together ---------------------------------------------------------------


@pytest.fixture(scope="module")
def forecast() -> Forecast:
    data = head_and_shoulders(stands=FULL)
    data["sittings"][0]["sheets"] = [scanned(1, 0.9, 1.5), scanned(2, 0.7, 1.3)]
    return predict(book_of(data), "S1")


def test_the_ledger_of_a_source_adds_up_to_where_it_lands(forecast: Forecast) -> None:
    for found in forecast.regions.values():
        for landing in found.landings:
            lines = [line for line in found.ledger if line.source == landing.source]
            assert sum(line.stops for line in lines) == pytest.approx(landing.stops, abs=1e-9)
            assert len({line.term for line in lines}) == len(lines)


def test_sources_landings_and_placement_are_one_sum(forecast: Forecast) -> None:
    """Shares sum to 1; light of the landings added is the placement, but for flare and spread.

    Flare is 2 % of the frame's mean. The mean of a logarithm of a sum lies above the sum of the
    means by at most half the variance of the weaker chains: 0.15 stop here.
    """
    for found in forecast.regions.values():
        assert sum(found.sources.values()) == pytest.approx(1.0)
        total = math.log2(sum(2**x.stops for x in found.landings))
        assert total - 0.02 < found.placement_stops.mean < total + 0.15


def test_a_chain_is_surer_than_its_parts_together(forecast: Forecast) -> None:
    found = forecast.regions["key"]
    key = next(x for x in found.landings if x.source == "key")
    apart = math.sqrt(sum(x.sd_stops**2 for x in found.ledger if x.source == "key"))
    assert key.sd_stops < 0.5 * apart


def test_densities_are_the_placements_through_the_curve() -> None:
    """Curve known exactly: the lighter end of placements is the thinner end of densities."""
    data = head_and_shoulders(stands=FULL)
    paper = data["papers"][0]
    paper |= {"contrast_log_sd": 0, "asymmetry_log_sd": 0, "dmin_sd": 0, "dmax_sd": 0}
    for found in predict(book_of(data), "S1").regions.values():
        p, d = found.placement_stops, found.density
        pairs = ((p.q05, d.q95), (p.q25, d.q75), (p.q50, d.q50), (p.q75, d.q25), (p.q95, d.q05))
        for stops, tone in pairs:
            assert tone == pytest.approx(float(density(stops, 1.5, 1.0, 0.08, 1.9)), abs=0.01)


def test_the_meter_shows_the_light_alone() -> None:
    """H at the cheek in lux-seconds and N^2 = H S / C with C = 250: closed form, flat receptor."""
    data = key_alone()
    shown = predict(book_of(data), "S1").meter_shows[0]
    assert (shown.region, shown.lights_on) == ("key", ("key",))
    ledger = {x.term: x.stops for x in region(data).ledger}
    light = sum(ledger[t] for t in ("A at full, 1 m", "dial", "box", "distance"))
    light += ledger["near a large face"]
    assert math.log2(shown.exposure_lxs) == pytest.approx(light, abs=1e-6)
    exact = math.sqrt(shown.exposure_lxs * shown.iso / 250)
    assert abs(2 * math.log2(shown.f_number / exact)) <= 1 / 6 + 0.03  # thirds, as printed
    assert shown.sd_stops == pytest.approx(math.hypot(0.3, 0.5, 0.15), abs=0.02)


def test_what_the_meter_shows_is_by_the_kind_of_meter_at_hand() -> None:
    """A dome's constant is 330 lx s against 250 of a flat disc (ISO 2720, usual values)."""
    data = key_alone()
    flat = predict(book_of(data), "S1").meter_shows[0]
    data["kit"]["meters"][0] |= {"kind": "incident_dome"}
    dome = predict(book_of(data), "S1").meter_shows[0]
    assert dome.exposure_lxs == pytest.approx(flat.exposure_lxs)
    exact = math.sqrt(dome.exposure_lxs * dome.iso / 330)
    assert abs(2 * math.log2(dome.f_number / exact)) <= 1 / 6 + 0.03  # thirds, as printed
    assert dome.f_number < flat.f_number


def test_a_spot_meter_alone_is_asked_nothing() -> None:
    data = key_alone()
    data["kit"]["meters"] = [{"id": "spot", "kind": "spot"}]
    assert predict(book_of(data), "S1").meter_shows == ()
    data["kit"]["meters"] = []
    assert predict(book_of(data), "S1").meter_shows != ()


def test_a_stepped_sheet_has_no_odds() -> None:
    made = Settings.model_validate(FULL | {"steps_pops": [1, 2, 4, 8]})
    assert predict(book_of(head_and_shoulders()), "S1", made).p_keeper is None


def test_without_an_aimed_region_there_are_no_odds() -> None:
    data = head_and_shoulders()
    for aim in data["sittings"][0]["aims"].values():
        aim["tol_stops"] = None
    forecast = predict(book_of(data), "S1")
    assert forecast.p_keeper is None
    assert {f.p_lands for f in forecast.regions.values()} == {None}


def test_the_odds_of_all_are_below_the_odds_of_each(forecast: Forecast) -> None:
    assert forecast.p_keeper is not None
    for found in forecast.regions.values():
        assert found.p_lands is not None
        assert forecast.p_keeper < found.p_lands


def test_output_says_where_it_comes_from(forecast: Forecast) -> None:
    assert forecast.output_from == {"A": "1000 W·s × 40 lm·s/W·s × 4 / 4π",
                                    "B": "1000 W·s × 40 lm·s/W·s × 4 / 4π"}  # fmt: skip


def test_flash_brings_its_caution_and_long_times_theirs() -> None:
    flash = predict(book_of(head_and_shoulders(stands=FULL)), "S1").cautions
    assert any("charge that can kill" in c for c in flash)
    data = head_and_shoulders(stands=FULL | {"open_s": 4.0})
    data["sitters"][0]["holds_still_s"] = 2
    long = " ".join(predict(book_of(data), "S1").cautions)
    assert "open 4 s and O. M. holds still for 2 s" in long
    assert "ghost edge" in long


# ---- a forecast learns ---------------------------------------------------------------------


def test_a_darker_sheet_than_expected_makes_the_next_forecast_darker() -> None:
    made = Settings.model_validate(FULL)
    before = predict(book_of(head_and_shoulders(stands=FULL)), "S1", made)
    means = {}
    for key in (0.5, 1.4):  # nearer either end one sheet tells less
        data = head_and_shoulders(stands=FULL)
        data["sittings"][0]["sheets"] = [scanned(1, key, None)]
        means[key] = predict(book_of(data), "S1", made).regions["key"].placement_stops
    prior = before.regions["key"].placement_stops
    assert means[1.4].mean < prior.mean < means[0.5].mean
    assert max(m.sd for m in means.values()) < 0.5 * prior.sd


@pytest.mark.parametrize("kind", ["incident_flat", "incident_dome"])
@pytest.mark.parametrize(
    ("less", "middle", "more"),
    [
        ({"f_number": 8, "iso": 100}, {"f_number": 11, "iso": 100}, {"f_number": 16, "iso": 100}),
        ({"f_number": 11, "iso": 200}, {"f_number": 11, "iso": 100}, {"f_number": 11, "iso": 50}),
    ],
)
def test_a_meter_reading_moves_the_chain_the_right_way_and_narrows_it(
    kind: str, less: dict[str, float], middle: dict[str, float], more: dict[str, float]
) -> None:
    chains = []
    for shows in (less, middle, more):
        data = key_alone()
        data["kit"]["meters"][0]["kind"] = kind
        taken = {"region": "key", "lights_on": ["key"], "meter": "flat", "shows": shows}
        data["sittings"][0]["meter_readings"] = [taken]
        chains.append(region(data).landings[0])
    assert chains[0].stops + 0.6 < chains[1].stops < chains[2].stops - 0.6  # by a stop each
    prior = region(key_alone()).landings[0].sd_stops
    assert all(x.sd_stops < prior - 0.1 for x in chains)


F_8 = {"f_number": 8, "iso": 100}


def test_a_spot_reading_is_refused_with_a_way_out() -> None:
    data = key_alone()
    data["kit"]["meters"][0]["kind"] = "spot"
    data["sittings"][0]["meter_readings"] = [
        {
            "region": "key",
            "lights_on": ["key"],
            "meter": "flat",
            "shows": {"f_number": 8, "iso": 100},
        }
    ]
    with pytest.raises(BadValue, match="take an incident one"):
        region(data)


# ---- what cannot be --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "error", "sentence"),
    [
        ({"framing": {"draw_mm": 100}}, OutOfRange, "draw is 100.0: give a number from 210"),
        ({"framing": {"subject_distance_m": 0.1}}, OutOfRange, "subject distance is 0.1"),
        ({"stands": {"f_number": 6.3}}, BadValue, "lens '210' is marked 5.6, 8, 11"),
        ({"stands": {"lights": {"sun": {}}, "f_number": 8}}, UnknownName, "called 'sun'"),
        ({"stands": {"lights": {"key": {"dial": -9}}, "f_number": 8}}, OutOfRange, "is -9"),
        ({"efforts": {"dial": -1}}, BadValue, "effort 'dial' of sitting 'S1' is -1"),
    ],
)
def test_one_sentence_says_what_cannot_be(
    change: dict[str, Any], error: type[Exception], sentence: str
) -> None:
    with pytest.raises(error) as caught:
        predict(book_of(head_and_shoulders(**change)), "S1")
    assert sentence in str(caught.value)
    assert str(caught.value).count("\n") == 0


@pytest.mark.parametrize("value", ["much", None, True, [], {}, "NaN", 1e400])
def test_numbers_that_are_none_are_refused(value: Any) -> None:
    data = small_data()
    data["sittings"][0]["lights"][0]["distance_m"] = value
    with pytest.raises(ValueError, match=r"distance_m|holds Infinity"):
        book_of(data)


@pytest.mark.parametrize("sitting", ["S9", "", "S1 "])
def test_a_sitting_that_is_not_there_is_named(sitting: str) -> None:
    with pytest.raises(UnknownName, match="There is no sitting called"):
        predict(book_of(head_and_shoulders()), sitting)


def test_every_light_off_is_said() -> None:
    off = {"lights": {r: {"on": False} for r in ("key", "fill", "room")}, "f_number": 5.6}
    with pytest.raises(BadValue, match="switch at least one light on"):
        predict(book_of(head_and_shoulders(stands=off)), "S1")


def test_each_of_several_sheets_finds_the_baths_more_tired_by_one() -> None:
    """Closed form: three sheets were made, so their shares of one unknown are as 3, 4, 5."""
    book = read_book(demo_document())
    sheets = advise_several(book, "OM", 3).forecast.sheets
    tired = [
        next(line for line in one.regions["key"].ledger if line.name.endswith("/fatigue")).sd_stops
        for one in sheets
    ]
    assert [sd / tired[0] for sd in tired] == pytest.approx([3 / 3, 4 / 3, 5 / 3])
