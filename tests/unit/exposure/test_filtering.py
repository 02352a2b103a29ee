"""Filters and pre-flash in the ledger, against sums that can be done by hand. Invented data."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from stillroom.belief import Belief, Posterior, landing
from stillroom.documents.bare_ledger import LedgerDocument, ledger_document
from stillroom.errors import UnknownName
from stillroom.exposure import BareMove, BareSettings, Layout, Life
from stillroom.paper import density
from stillroom.quantity import FloatArray
from tests.unit.engine_cases import all_known, layout_of, opening

MADE = BareSettings({"key": -1.0, "fill": -1.5}, 5.6, 2, 0.5)
PLAIN: dict[str, Any] = {"id": "soft", "loss_stops": 1.0, "loss_sd_stops": 0.3}
SOFT: dict[str, Any] = PLAIN | {"contrast_log": math.log(0.5), "contrast_log_sd": 0.2}


def with_filter(begin: dict[str, Any], made: dict[str, Any] = PLAIN) -> dict[str, Any]:
    """The same sitting with a filter on the lens."""
    kit, sitting = begin["kit"] | {"filters": [made]}, begin["sitting"] | {"filter": made["id"]}
    return begin | {"kit": kit, "sitting": sitting}


def with_pre_flash(begin: dict[str, Any], below_mid_stops: float) -> dict[str, Any]:
    """The same sitting with an even pre-flash."""
    regions = dict.fromkeys(("key", "shadow", "rim", "bg"), 0.0)
    flash = {"role": "pre-flash", "kind": "veil", "log2_lx": -below_mid_stops, "sd_stops": 0.25,
             "geo": "pre-flash", "region_stops": regions, "from_mid_tone": True}  # fmt: skip
    sources = [*begin["sitting"]["sources"], flash]
    return begin | {"sitting": begin["sitting"] | {"sources": sources}}


def at(layout: Layout, made: BareSettings, **moved: float) -> FloatArray:
    """Each chain at the terms' means, some of them moved: (regions, sources) [stops]."""
    theta = np.array([t.mean for t in layout.terms])
    for name, by in moved.items():
        theta[layout.index[name]] += by
    rows = layout.rows(made)
    return np.asarray((rows.c + rows.a @ theta)[0])


def test_a_filter_that_takes_a_stop_is_the_next_f_stop() -> None:
    """Closed form: one full stop of the lens is a factor of the square root of two."""
    filtered, bare = layout_of(with_filter(opening())), layout_of(opening())
    next_stop = BareSettings(MADE.dial_stops, 5.6 * math.sqrt(2), 2, 0.5)
    np.testing.assert_allclose(at(filtered, MADE), at(bare, next_stop), atol=1e-12)


def test_it_stands_in_every_light_once_and_no_meter_sees_it() -> None:
    filtered, bare = layout_of(with_filter(opening())), layout_of(opening())
    assert {t.name for t in filtered.terms} - {t.name for t in bare.terms} == {
        "filter/soft/loss",
        "filter/soft/contrast",
    }
    assert all(filtered.terms[filtered.index[n]].life is Life.KIT for n in filtered.index
               if n.startswith("filter/"))  # fmt: skip
    moved = at(filtered, MADE, **{"filter/soft/loss": 0.5})
    np.testing.assert_allclose(moved, at(filtered, MADE) - 0.5, atol=1e-12)
    (seen, a), (unseen, _) = (
        x.incident_rows(MADE, "key", ["key", "amb"]) for x in (filtered, bare)
    )
    np.testing.assert_array_equal(seen, unseen)
    assert not a[:, [i for n, i in filtered.index.items() if n.startswith("filter/")]].any()


def test_it_leaves_light_that_never_passes_the_lens() -> None:
    begin = opening()
    leak = {"role": "leak", "kind": "veil", "log2_lx": -6.0, "sd_stops": 0.5, "geo": "leak",
            "region_stops": {"key": 0.0}}  # fmt: skip
    begin["sitting"]["sources"].append(leak)
    key = 0
    for case in (begin, with_filter(begin)):
        layout = layout_of(case)
        assert at(layout, MADE)[key, layout.roles.index("leak")] == pytest.approx(-6.0 - 0.74)


def test_the_curve_behind_it_is_the_papers_at_another_contrast() -> None:
    begin = with_filter(all_known(opening()), SOFT | {"contrast_log_sd": 0.0})
    states = Posterior(Belief.empty(), layout_of(begin)).states()
    paper = begin["kit"]["papers"][0]
    contrast = 0.5 * paper["contrast_per_stop"]
    for stops in (-3.0, 0.0, 1.5):
        wanted = density(stops, contrast, 1.0, paper["dmin"], paper["dmax"])
        found = states.curves.density(np.full((states.count, 1), stops))
        np.testing.assert_allclose(found, float(wanted), atol=1e-9)


def test_another_light_leaves_what_was_learned_of_it() -> None:
    """What it takes is a fixed figure for one light; the term is how far it is off from that."""
    one = layout_of(with_filter(opening(), SOFT))
    other = layout_of(with_filter(opening(), SOFT | {"loss_stops": 1.4, "contrast_log": -0.4}))
    for layout in (one, other):
        for name in ("filter/soft/loss", "filter/soft/contrast"):
            assert layout.terms[layout.index[name]].mean == 0.0
    np.testing.assert_allclose(at(other, MADE), at(one, MADE) - 0.4, atol=1e-12)
    assert (one.curve.filter_log, other.curve.filter_log) == (math.log(0.5), -0.4)


def test_a_filter_nobody_has_is_named() -> None:
    begin = opening()
    begin["sitting"]["filter"] = "hard"
    with pytest.raises(UnknownName, match="There is no filter called 'hard'"):
        layout_of(begin)


# ---- pre-flash ------------------------------------------------------------------------------


def test_as_much_again_is_one_stop() -> None:
    """Closed form: where the pre-flash alone gives what the light gives, it is twice as much."""
    begin = all_known(opening())
    bare = layout_of(begin)
    lit = landing(Posterior(Belief.empty(), bare).states(), bare, MADE)[0, 0]
    flashed = layout_of(all_known(with_pre_flash(opening(), -float(lit[1]))))
    both = landing(Posterior(Belief.empty(), flashed).states(), flashed, MADE)[0, 0]
    assert both[1] - lit[1] == pytest.approx(1.0, abs=1e-9)
    for region in range(len(lit)):
        wanted = math.log2(2 ** lit[region] + 2 ** lit[1])
        assert both[region] == pytest.approx(wanted, abs=1e-9)


def test_no_setting_and_no_speed_moves_it_and_the_baths_move_it_once() -> None:
    layout = layout_of(with_filter(with_pre_flash(opening(), 3.0)))
    j, bath = layout.roles.index("pre-flash"), layout.bath
    other = BareSettings({"key": 0.0}, 11, 8, 4.0)
    for made in (MADE, other):
        np.testing.assert_array_equal(at(layout, made)[:, j], -3.0)
    for name, moves in (
        ("paper/P1/speed", 0.0),
        ("filter/soft/loss", 0.0),
        ("lens/L1/transmission", 0.0),
        ("kit/reciprocity", 0.0),
        ("preflash/P1/level", 1.0),
        (f"bath/{bath}/mix", 1.0),
    ):
        np.testing.assert_allclose(at(layout, other, **{name: 0.4})[:, j], -3.0 + 0.4 * moves)
    later = layout.at_sheet(5)
    tired = at(later, MADE, **{f"bath/{bath}/fatigue": -0.02})
    np.testing.assert_allclose(tired[:, j], -3.1)
    assert layout.terms[layout.index["preflash/P1/level"]].life is Life.PAPER


def test_what_moves_before_the_camera_leaves_it() -> None:
    layout = layout_of(with_pre_flash(opening(), 3.0))
    j = layout.roles.index("pre-flash")
    moves = (BareMove("sitter", "", 0.3), BareMove("developer", "", 0.15, stage="paper"))
    moved = layout.with_moves(moves)
    both = at(moved, MADE, **{"moved/sitter": 0.5, "moved/developer": -0.2})
    assert both[:, j].tolist() == pytest.approx([-3.2] * len(layout.regions))
    others = np.delete(both - at(layout, MADE), j, axis=1)
    np.testing.assert_allclose(others, 0.3, atol=1e-12)


def test_what_moves_may_be_expected_to_do_something() -> None:
    """A card that lifts the shadow by half a stop lifts its light by that, and nothing else."""
    layout = layout_of(opening())
    card = BareMove("card", "", 0.2, regions=("shadow",), mean_stops=0.5)
    lifted = at(layout.with_moves([card]), MADE) - at(layout, MADE)
    shadow = layout.regions.index("shadow")
    np.testing.assert_allclose(lifted[shadow], 0.5)
    np.testing.assert_array_equal(np.delete(lifted, shadow, axis=0), 0.0)


def test_a_bare_ledger_with_both_comes_back_as_it_was() -> None:
    layout = layout_of(with_filter(with_pre_flash(opening(), 2.5), SOFT))
    text = ledger_document(layout.kit, layout.sitting).model_dump_json()
    read = LedgerDocument.model_validate_json(text)
    again = Layout(read.kit.bare(), read.sitting.bare())
    assert (again.terms, again.curve) == (layout.terms, layout.curve)
    np.testing.assert_array_equal(at(again, MADE), at(layout, MADE))


def test_only_a_veil_is_told_from_the_mid_tone() -> None:
    begin = opening()
    begin["sitting"]["sources"][0]["from_mid_tone"] = True
    with pytest.raises(ValidationError, match="only a veil is told from the mid-tone"):
        layout_of(begin)
