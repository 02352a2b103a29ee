"""The layout against the formula of the bare ledger, written out once more by hand."""

from __future__ import annotations

import copy
import math
from typing import Any

import numpy as np
import pytest

from stillroom.belief import Belief, Posterior, landing
from stillroom.errors import BadValue, UnknownName
from stillroom.exposure import BareSettings, Layout, Life
from tests.unit.engine_cases import NAMES, all_known, layout_of, opening


def by_hand(
    begin: dict[str, Any], region: str, role: str, made: BareSettings, step: int = 1
) -> float:
    """Exposure of one source at one region in log2 lx·s plus paper speed.

    The formula at the end of section 3 of the exchange design, on the JSON as it is spoken.
    """
    kit, sitting = begin["kit"], begin["sitting"]
    source = next(s for s in sitting["sources"] if s["role"] == role)
    paper = next(p for p in kit["papers"] if p["id"] == sitting["paper"])
    lens = next(x for x in kit["lenses"] if x["id"] == sitting["lens"])
    pops = made.pops * step
    if source["kind"] == "flash":
        head = next(h for h in kit["heads"] if h["id"] == source["head"])
        losses = [
            m["loss_stops"] for i in source["modifiers"] for m in kit["modifiers"] if m["id"] == i
        ]
        assert len(losses) == len(source["modifiers"])
        light = head["full_log2_lxs_1m"] + made.dial_stops.get(role, 0.0) - sum(losses)
        light -= 2 * math.log2(source["distance_m"])
        light += (1 - kit["pop_loss_per_doubling_stops"]) * math.log2(pops)
    else:
        t = made.seconds * pops
        light = source["log2_lx"] + math.log2(t)
        light -= kit["reciprocity_loss_per_doubling_stops"] * max(0.0, math.log2(t))
    light += source["actinic_stops"] + source["region_stops"][region]
    for shared in sitting.get("shared", []):
        if region in shared["regions"] and role in shared["sources"]:
            light += shared.get("mean_stops", 0.0)
    camera = lens["transmission_stops"] - 2 * math.log2(made.f_number)
    camera += -2 * math.log2(1 + lens["magnification"]) + math.log2(1 / 4) + math.log2(0.30)
    return float(light + camera + paper["speed_log2"])


MADE = (
    BareSettings({}, 5.6, 1, 0.125),
    BareSettings({"key": -1.3, "fill": -2.0, "rim": -1 / 3}, 11, 6, 0.5),
    BareSettings({"key": -0.1}, 8, 8, 4.0),
)


def at_means(layout: Layout, made: BareSettings) -> np.ndarray:
    rows = layout.rows(made)
    return np.asarray(rows.c + rows.a @ np.array([t.mean for t in layout.terms]))


@pytest.mark.parametrize("made", MADE)
@pytest.mark.parametrize("name", NAMES)
def test_each_chain_is_the_formula(name: str, made: BareSettings) -> None:
    begin = opening(name)
    layout = layout_of(begin)
    found = at_means(layout, made)
    for i, region in enumerate(layout.regions):
        for j, role in enumerate(layout.roles):
            assert found[0, i, j] == pytest.approx(by_hand(begin, region, role, made), abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_a_stepped_sheet_multiplies_the_pops(name: str) -> None:
    begin = opening(name)
    layout = layout_of(begin)
    made = BareSettings({"key": -2.0}, 5.6, 2, 0.5, (1, 2, 4, 8))
    found = at_means(layout, made)
    for k, step in enumerate((1, 2, 4, 8)):
        for i, region in enumerate(layout.regions):
            for j, role in enumerate(layout.roles):
                wanted = by_hand(begin, region, role, made, step)
                assert found[k, i, j] == pytest.approx(wanted, abs=1e-12)


def moved(begin: dict[str, Any], part: str, key: str, field: str, by: float) -> dict[str, Any]:
    other = copy.deepcopy(begin)
    next(x for x in other["kit"][part] if x["id"] == key)[field] += by
    return other


@pytest.mark.parametrize(
    ("term", "part", "key", "field"),
    [
        ("head/H1/output", "heads", "H1", "full_log2_lxs_1m"),
        ("modifier/M_grid/loss", "modifiers", "M_grid", "loss_stops"),
        ("lens/L1/transmission", "lenses", "L1", "transmission_stops"),
        ("paper/P1/speed", "papers", "P1", "speed_log2"),
        ("kit/pop_loss", "kit", "", "pop_loss_per_doubling_stops"),
        ("kit/reciprocity", "kit", "", "reciprocity_loss_per_doubling_stops"),
    ],
)
def test_an_unknown_moves_the_chains_as_its_number_does(
    term: str, part: str, key: str, field: str
) -> None:
    """The rows `a` say how each unknown acts: the same as changing that number of the kit."""
    begin = opening()
    layout = layout_of(begin)
    theta = np.array([t.mean for t in layout.terms])
    theta[layout.index[term]] += 0.37
    if part == "kit":
        other = copy.deepcopy(begin)
        other["kit"][field] += 0.37
    else:
        other = moved(begin, part, key, field, 0.37)
    for made in MADE:
        rows = layout.rows(made)
        found = rows.c + rows.a @ theta
        for i, region in enumerate(layout.regions):
            for j, role in enumerate(layout.roles):
                wanted = by_hand(other, region, role, made)
                assert found[0, i, j] == pytest.approx(wanted, abs=1e-12)


def test_a_level_and_a_place_that_are_off_move_their_own_chains_only() -> None:
    layout = layout_of(opening())
    rows = layout.rows(MADE[0])
    level = rows.a[0, :, :, layout.index["level/S0/amb"]]
    assert level[:, layout.roles.index("amb")].tolist() == [1.0] * 4
    assert level.sum() == 4
    place = rows.a[0, :, :, layout.index["geometry/S0/key/shadow"]]
    assert place[layout.regions.index("shadow"), layout.roles.index("key")] == 0.5
    assert place.sum() == 0.5
    assert layout.terms[layout.index["geometry/S0/key/shadow"]].sd == 1
    assert "geometry/S0/key/rim" not in layout.index  # known exactly: no unknown


def test_colour_of_one_kind_is_one_unknown() -> None:
    begin = opening()
    begin["sitting"]["sources"][1]["actinic_sd_stops"] = 0.25
    layout = layout_of(begin)
    rows = layout.rows(MADE[0])
    flash = (
        rows.a[0, 0, :, layout.index["actinic/flash"]]
        * layout.terms[layout.index["actinic/flash"]].sd
    )
    steady = rows.a[0, 0, :, layout.index["actinic/continuous"]]
    assert flash.tolist() == [0.1, 0.25, 0.1, 0.0]  # of each source its own size
    assert steady.tolist() == [0.0, 0.0, 0.0, 0.1]


def test_a_shared_unknown_moves_its_regions_and_sources_together() -> None:
    begin = opening()
    begin["sitting"]["shared"] = [
        {"name": "skin", "sd_stops": 0.7, "regions": ["key", "shadow"], "sources": ["key", "amb"],
         "mean_stops": -0.4}
    ]  # fmt: skip
    layout = layout_of(begin)
    found = at_means(layout, MADE[1])
    for i, region in enumerate(layout.regions):
        for j, role in enumerate(layout.roles):
            wanted = by_hand(begin, region, role, MADE[1])
            assert found[0, i, j] == pytest.approx(wanted, abs=1e-12)
    skin = layout.index["shared/S0/skin"]
    touched = layout.rows(MADE[0]).a[0, :, :, skin]
    assert touched.sum() == 4
    assert layout.terms[skin].life is Life.SITTING


def test_light_from_everywhere_is_a_share_of_the_frames_mean() -> None:
    begin = all_known(opening())
    begin["sitting"]["veil_stops"] = math.log2(0.04)
    begin["sitting"]["veil_sd_stops"] = 0.0
    layout = layout_of(begin)
    made = BareSettings({"key": -1.0}, 8, 2, 0.125)
    light = {
        region: sum(2 ** by_hand(begin, region, role, made) for role in layout.roles)
        for region in layout.regions
    }
    mean = sum(light.values()) / len(light)
    found = landing(Posterior(Belief.empty(), layout).states(), layout, made)[0, 0]
    for i, region in enumerate(layout.regions):
        assert found[i] == pytest.approx(math.log2(light[region] + 0.04 * mean), abs=1e-9)


def test_a_source_of_kind_veil_lands_as_it_is() -> None:
    """A leak or a wished fog: lens, pops and time do not touch it, the paper's speed does."""
    begin = opening()
    leak = {"role": "leak", "kind": "veil", "log2_lx": -6.0, "sd_stops": 0.5, "geo": "leak",
            "region_stops": {"key": 0.0, "bg": -1.0}}  # fmt: skip
    begin["sitting"]["sources"].append(leak)
    layout = layout_of(begin)
    for made in MADE:
        found = at_means(layout, made)[0, :, layout.roles.index("leak")]
        assert found[layout.regions.index("key")] == pytest.approx(-6.0 - 0.74)
        assert found[layout.regions.index("bg")] == pytest.approx(-7.0 - 0.74)
        assert found[layout.regions.index("rim")] < -40  # not said to be reached


def test_lights_of_one_geo_share_where_they_stand() -> None:
    begin = opening("C-eye.jsonl")
    layout = layout_of(begin)
    rows = layout.rows(MADE[0])
    geo = {s["role"]: s["geo"] for s in begin["sitting"]["sources"]}
    assert geo["key"] == geo["key2"]
    at = layout.index[f"geometry/{begin['sitting']['id']}/{geo['key']}/key"]
    key = layout.regions.index("key")
    moved_by = rows.a[0, key, :, at]
    assert moved_by[layout.roles.index("key")] == moved_by[layout.roles.index("key2")] == 0.15


def test_lights_of_one_geo_keep_each_their_own_spread_in_any_order() -> None:
    """One place, known better of one light than of the other: neither takes the other's."""
    begin = opening()
    begin["sitting"]["sources"][1]["geo"] = "key"  # the fill stands where the key does
    for sources in (begin["sitting"]["sources"], begin["sitting"]["sources"][::-1]):
        begin["sitting"]["sources"] = sources
        layout = layout_of(begin)
        place = layout.rows(MADE[0]).a[0, layout.regions.index("shadow")]
        at = layout.index["geometry/S0/key/shadow"]
        spread = place[:, at] * layout.terms[at].sd
        assert spread[layout.roles.index("key")] == 0.5
        assert spread[layout.roles.index("fill")] == 0.2


def test_sittings_of_one_set_share_where_things_stand() -> None:
    begin = opening()
    begin["sitting"]["set"] = "pump house"
    first = layout_of(begin)
    begin["sitting"]["id"] = "S9"
    second = layout_of(begin)
    shared = set(first.index) & set(second.index)
    assert "geometry/pump house/key/shadow" in shared
    assert "level/S0/amb" not in shared
    assert first.terms[first.index["geometry/pump house/key/shadow"]].life is Life.SET


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"paper": "P9"}, "There is no paper called 'P9'; known here: P1."),
        ({"lens": "L9"}, "There is no lens called 'L9'; known here: L1, L2."),
    ],
)
def test_what_the_kit_does_not_have_is_named(change: dict[str, str], sentence: str) -> None:
    begin = opening()
    begin["sitting"].update(change)
    with pytest.raises(UnknownName) as caught:
        layout_of(begin)
    assert str(caught.value) == sentence


def test_a_head_or_modifier_the_kit_does_not_have_is_named() -> None:
    begin = opening()
    begin["sitting"]["sources"][0]["head"] = "H9"
    with pytest.raises(UnknownName, match="There is no head called 'H9'"):
        layout_of(begin)
    begin = opening()
    begin["sitting"]["sources"][0]["modifiers"] = ["M_box", "M_9"]
    with pytest.raises(UnknownName, match="There is no modifier called 'M_9'"):
        layout_of(begin)


def test_a_steady_light_without_a_level_is_refused() -> None:
    layout = layout_of(opening())
    source = next(s for s in layout.sitting.sources if s.role == "amb")
    from dataclasses import replace

    broken = replace(layout.sitting, sources=(replace(source, log2_lx=None),))
    with pytest.raises(BadValue, match="log2_lx of amb is None: a steady light needs its level"):
        Layout(layout.kit, broken)


def test_the_name_of_a_set_may_hold_a_slash() -> None:
    begin = opening()
    begin["sitting"]["set"] = "pump house/winter"
    layout = layout_of(begin)
    place = [t.name for t in layout.terms if t.life is Life.SET]
    assert {name.split("/")[1] for name in place} == {"pump house|winter"}
