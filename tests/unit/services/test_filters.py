"""A filter and a pre-flash from the document to what is believed. Everything here is invented."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from stillroom.belief import Belief, landing
from stillroom.documents.book import Book, Settings
from stillroom.documents.checks import check_references
from stillroom.documents.filters import Filter
from stillroom.documents.on_lens import on_other_paper
from stillroom.documents.read import validated
from stillroom.light import light_of_kind
from stillroom.paper import contrast_filter, density
from stillroom.services.advising import advise
from stillroom.services.beliefs import kit_belief
from stillroom.services.choices import glossary, thing_of, unit_of
from stillroom.services.daylight_answers import daylight_now
from stillroom.services.daylight_asked import asked_of_sitting
from stillroom.services.demo_scene import bare_book
from stillroom.services.forecasts import predict
from stillroom.services.histories import known
from stillroom.services.several import advise_several
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders
from tests.unit.services.daylight_books import JUNE, by_the_window

NINE_IN_TEN = 1.645
POPS = 12
MORE_LOSS_STOPS, MORE_CONTRAST = 0.5, 1.2
"""What the filter of the synthetic book truly takes and gives beyond what it is held for."""


def data_on(response: str = "variable_contrast", **filters: Any) -> dict[str, Any]:
    """One sitting by flash on a paper that is fairly known, with a soft filter in the kit."""
    data = head_and_shoulders()
    data["kit"]["filters"] = [{"id": "soft", "name": "soft one", "grade": 0} | filters]
    data["papers"][0] |= {"response": response, "ei_sd_stops": 0.3, "contrast_log_sd": 0.15,
                          "dmax_sd": 0.04}  # fmt: skip
    data["sittings"][0]["lights"] = data["sittings"][0]["lights"][:2]
    data["sittings"][0]["stands"] = {"f_number": 8}
    return data


def table_of(data: dict[str, Any]) -> Worktable:
    return Worktable(book_of(data), "S1")


def settings(**more: Any) -> Settings:
    return validated(Settings, {"f_number": 8, **more})


# ---- from the document to the ledger --------------------------------------------------------


def test_numbers_left_out_are_those_of_the_grade_for_paper_lens_and_main_light() -> None:
    table = table_of(data_on())
    found = table.setup(settings(filter="soft")).filter
    effect = contrast_filter(0, light_of_kind("flash"), [table.lens.passes], table.batch.sees)
    assert found is not None
    assert (found.loss_stops, found.loss_sd_stops) == (effect.loss.value, effect.loss.u)
    assert found.contrast_log == pytest.approx(math.log(effect.contrast_factor))
    data = data_on()
    data["kit"]["lamps"] = [{"id": "hot", "kind": "tungsten", "intensity_cd": 2000}]
    data["sittings"][0]["lights"][0] = {"role": "key", "kind": "lamp", "kit_id": "hot",
                                        "distance_m": 1.0}  # fmt: skip
    warm = table_of(data).setup(settings(filter="soft")).filter
    assert warm is not None
    assert warm.loss_stops < found.loss_stops - 0.2  # more of it is green
    unlit = settings(filter="soft", lights={"key": {"on": False}})
    by_fill = table_of(data).setup(unlit).filter
    assert by_fill == found


def test_its_own_numbers_win_and_one_without_a_grade_keeps_contrast() -> None:
    own = table_of(data_on(loss_stops=2.0, contrast_log=-0.3, contrast_log_sd=0.01))
    found = own.setup(settings(filter="soft")).filter
    assert found is not None
    assert (found.loss_stops, found.contrast_log, found.contrast_log_sd) == (2.0, -0.3, 0.01)
    grey = table_of(data_on("graded", grade=None, loss_stops=3.0))
    found = grey.setup(settings(filter="soft")).filter
    assert found is not None
    assert (found.loss_stops, found.contrast_log, found.contrast_log_sd) == (3.0, 0.0, 0.0)


def test_a_filter_that_takes_a_stop_moves_a_forecast_as_the_next_f_stop_does() -> None:
    """Closed form, but for the marks: f/8 and f/11 stand a full stop apart."""
    book = book_of(data_on("graded", grade=None, loss_stops=1.0, loss_sd_stops=0.0))
    filtered = predict(book, "S1", settings(filter="soft"))
    stopped = predict(book, "S1", settings(f_number=11))
    for region, found in filtered.regions.items():
        wanted = stopped.regions[region].placement_stops
        assert found.placement_stops.mean == pytest.approx(wanted.mean, abs=1e-6)
        assert found.placement_stops.sd == pytest.approx(wanted.sd, rel=1e-6)


def test_the_same_sitting_tells_a_filter_and_a_pre_flash_apart_sheet_by_sheet() -> None:
    table = table_of(data_on())
    bare, filtered, both = (
        table.layout(settings(**more))
        for more in ({}, {"filter": "soft"}, {"filter": "soft", "pre_flash_stops": 2.5})
    )
    assert bare.curve.filter_off is None
    assert filtered.curve.filter_off is not None
    assert (filtered.roles, both.roles) == (bare.roles, (*bare.roles, "pre-flash"))
    assert table.layout(settings(filter="soft")).terms == filtered.terms


def test_a_pre_flash_lifts_the_shadow_and_hardly_the_light() -> None:
    """Closed form: exposures add; every state's own, flare aside."""
    data = data_on()
    data["kit"]["cameras"][0]["flare_share"] = 0
    table = table_of(data)
    plain, flashed = settings(), settings(pre_flash_stops=2.5)
    posterior = table.posterior()
    without, behind = (table.layout(s) for s in (plain, flashed))
    states = posterior.states(behind)
    lit = landing(posterior.states(without), without, table.bare_settings(plain))[:, 0]
    both = landing(states, behind, table.bare_settings(flashed))[:, 0]
    off = states.theta[:, [behind.index["preflash/sorrel/7/level"]]]
    off = off + states.theta[:, [behind.index[f"bath/{behind.bath}/mix"]]]
    np.testing.assert_allclose(both, np.log2(2**lit + 2 ** (off - 2.5)), atol=1e-9)
    shares = predict(table.book, "S1", flashed).regions["shadow"].sources
    assert 0 < shares["pre-flash"] < 1
    assert sum(shares.values()) == pytest.approx(1)


def test_another_paper_takes_neither_the_flash_nor_a_filter_it_has_no_use_for() -> None:
    data = data_on()
    data["kit"]["filters"].append({"id": "grey", "loss_stops": 2})
    book = book_of(data)
    variable, graded = book.papers[0], book.papers[0].model_copy(update={"response": "graded"})
    for filter_id, paper, wanted in (
        ("soft", graded, None), ("soft", variable, "soft"), ("grey", graded, "grey"),
        (None, graded, None),
    ):  # fmt: skip
        made = settings(filter=filter_id, pre_flash_stops=3, pops=2)
        moved = on_other_paper(book.kit, paper, made)
        assert (moved.filter, moved.pre_flash_stops, moved.pops) == (wanted, None, 2)


def test_daylight_is_longer_behind_a_filter_also_where_other_papers_are_graded() -> None:
    """Closed form, but for what a long opening loses: two stops take four times as long."""
    kit = bare_book().kit.model_copy(
        update={"filters": (Filter(id="soft", grade=0), Filter(id="grey", loss_stops=2.0))}
    )
    seconds = {}
    for on in (None, "grey", "soft"):
        sitting = by_the_window("KS", JUNE).model_copy(
            update={"paper": "lovage/1", "stands": settings(filter=on)}
        )
        book = bare_book().model_copy(update={"kit": kit, "sittings": (sitting,)})
        check_references(book)
        about = asked_of_sitting(sitting)
        assert about is not None
        found = daylight_now(book, about, JUNE)
        assert any(way.what == "paper" for way in found.ways)
        assert found.now.seconds is not None
        seconds[on] = found.now.seconds.q50
    assert 4.0 <= seconds["grey"] / seconds[None] < 4.0 * 2**0.35  # a tenth for each doubling
    assert seconds[None] < seconds["soft"] < seconds["grey"]


# ---- learning -------------------------------------------------------------------------------


def scanned_book(seed: int) -> Book:
    """Seven scanned sheets of one sitting, four of them behind the filter, and a sitting after.

    The light of a sheet is taken from a ledger without filter and pre-flash; what the filter does
    is laid on by hand from the table of grades.
    """
    rng = np.random.default_rng(seed)
    data = data_on()
    table = table_of(data)
    effect = contrast_filter(0, light_of_kind("flash"), [table.lens.passes], table.batch.sees)
    layout = table.layout(settings())
    theta = np.array([t.mean + 0.8 * t.sd * rng.standard_normal() for t in layout.terms])
    contrast, asymmetry, dmin, dmax = (theta[i] for i in layout.curve.four)
    flare = 2 ** theta[layout.index[f"veil/{layout.sitting.lens}"]]
    on: tuple[dict[str, str], ...] = ({}, {"filter": "soft"})
    sheets: list[dict[str, Any]] = []
    for number in range(1, 8):
        dials = {"key": {"dial": -0.6 * (number % 4)}, "fill": {"dial": -0.8 * (number % 3)}}
        behind = number > 3
        made = settings(lights=dials, pops=POPS)
        rows = layout.rows(table.bare_settings(made))
        light = np.exp2(rows.c[0] + rows.a[0] @ theta).sum(axis=1)
        placed = np.log2(light + flare * light.mean()) + 0.18 * rng.standard_normal()
        log_contrast = contrast
        if behind:
            placed = placed - effect.loss.value - MORE_LOSS_STOPS
            log_contrast = contrast + math.log(effect.contrast_factor * MORE_CONTRAST)
        placed = placed + 0.07 * rng.standard_normal(len(placed))
        tones = density(placed, math.exp(log_contrast), math.exp(asymmetry), dmin, dmax)
        read = {
            region: {"density": round(float(tone) + 0.03 * rng.standard_normal(), 2)}
            for region, tone in zip(layout.regions, tones, strict=True)
            if region in ("key", "shadow", "forehead", "rim")
        }
        sheets.append({
            "number": number,
            "settings": {"lights": dials, "f_number": 8, "pops": POPS} | on[behind],
            "readings": [{"state": "dry", "by": "scan", "regions": read}],
        })  # fmt: skip
    first = data["sittings"][0] | {"sheets": sheets}
    later = data["sittings"][0] | {
        "id": "S2", "when": "2026-11-15T10:00:00+00:00",
        "stands": {"f_number": 8, "filter": "soft"},
    }  # fmt: skip
    return book_of(data | {"sittings": [first, later]})


@pytest.fixture(scope="module")
def books() -> list[Book]:
    """Eight of them."""
    return [scanned_book(seed) for seed in range(8)]


@pytest.fixture(scope="module")
def taught(books: list[Book]) -> list[Belief]:
    """What is believed at the start of the second sitting of each."""
    return [Worktable(book, "S2").before() for book in books]


TRUTH = {"filter/soft/loss": MORE_LOSS_STOPS, "filter/soft/contrast": math.log(MORE_CONTRAST)}


@pytest.mark.parametrize("name", TRUTH)
def test_a_filter_is_learned_from_a_handful_of_scans(taught: list[Belief], name: str) -> None:
    """Of eight invented books at least five hold the truth within nine in ten, and none is far.

    With ranges that mean what they say fewer than five of eight happen once in 200.
    """
    truth, found = TRUTH[name], []
    layout = table_of(data_on()).layout(settings(filter="soft"))
    entered = layout.terms[layout.index[name]].sd
    for belief in taught:
        (at,) = belief.positions([name])
        mean, sd = float(belief.mean[at]), math.sqrt(float(belief.covariance[at, at]))
        assert sd < 0.8 * entered
        assert abs(mean - truth) < 3.5 * sd
        found.append((mean, abs(mean - truth) < NINE_IN_TEN * sd))
    assert sum(inside for _, inside in found) >= 5
    assert np.mean([mean for mean, _ in found]) == pytest.approx(truth, abs=0.4 * truth)


def test_the_next_sitting_on_the_same_filter_starts_from_it(books: list[Book]) -> None:
    """It knows better, and that only where the filter is on: the chain behind it is surer."""
    book = books[0]
    after = Worktable(book, "S2")
    alone = Worktable(book.model_copy(update={"sittings": book.sittings[1:]}), "S2")
    told, untold = (
        t.posterior().states().theta[:, t.posterior().layout.index["filter/soft/loss"]]
        for t in (after, alone)
    )
    assert untold.mean() == pytest.approx(0, abs=1e-9)
    assert told.mean() == pytest.approx(MORE_LOSS_STOPS, abs=0.25)
    assert told.std() < 0.8 * untold.std()
    placed = [
        predict(b, "S2").regions["key"].placement_stops.mean
        - predict(b, "S2", settings()).regions["key"].placement_stops.mean
        for b in (after.book, alone.book)
    ]
    assert placed[0] - placed[1] == pytest.approx(-told.mean(), abs=0.05)


def test_what_is_known_of_a_filter_is_told_by_its_name(books: list[Book]) -> None:
    book = books[0]
    terms = {t.term: t for t in known(book).terms}
    loss, contrast = terms["filter/soft/loss"], terms["filter/soft/contrast"]
    assert loss.label == "how far the loss of soft one is off"
    assert (loss.unit, contrast.unit) == ("stops", "log")
    assert loss.shift == pytest.approx(MORE_LOSS_STOPS, abs=0.25)
    assert kit_belief(book)["filter/soft"].shift_stops == loss.shift
    assert thing_of(book, "filter/soft/loss") == "the soft one"
    assert thing_of(book, "preflash/sorrel/7/level") == "the pre-flash"
    assert unit_of("filter/soft/contrast") == "log"
    assert "filter/soft/loss" in glossary(book).terms


def test_advice_after_it_is_behind_the_filter_for_one_sheet_and_for_two(
    books: list[Book],
) -> None:
    """Also where every pair takes more turning than one sheet would: that was an empty list."""
    book = books[1]
    one, two = advise(book, "S2"), advise_several(book, "S2", 2)
    assert {s.filter for s in (one.settings, *two.settings)} == {"soft"}
    assert one.forecast.p_keeper is not None
    assert two.forecast.p_any >= max(s.p_keeper or 0.0 for s in two.forecast.sheets)


def test_a_filter_that_hangs_on_one_of_two_alike_sittings_is_in_the_glossary() -> None:
    """Sittings that are laid out alike are looked at once; one with a filter is another."""
    data = data_on()
    scan = {"by": "scan", "state": "dry", "regions": {"key": {"density": 0.8}}}
    made = {"f_number": 8, "filter": "soft"}
    sheet = {"number": 1, "settings": made, "readings": [scan]}
    first = data["sittings"][0] | {"sheets": [sheet]}
    later = data["sittings"][0] | {"id": "S2", "when": "2026-11-15T10:00:00+00:00"}
    book = book_of(data | {"sittings": [first, later]})
    assert "filter/soft/loss" in glossary(book).terms
