"""What a sheet would show: placements, densities, odds, and the ledger they come from."""

from __future__ import annotations

import math

import numpy as np

from stillroom.advice import QUANTILES, Table, scatter_scores, scattered_quantiles
from stillroom.belief import Belief, Posterior, States, exposures, with_veil
from stillroom.documents import answers
from stillroom.documents import book as doc
from stillroom.exposure import BareSettings, Layout
from stillroom.light import incident_f_number, iso_on_scale, nearest_third_f_number
from stillroom.quantity import Constants, FloatArray
from stillroom.services.cautions import FLASH_CAUTION, no_flash_wanted
from stillroom.services.good_until import with_end
from stillroom.services.marks import last_number, sheet_mark
from stillroom.services.metered import meter_at_hand, meter_constant_lx_s, only_spot_meters
from stillroom.services.remembered import BeliefMemo
from stillroom.services.worktable import Worktable, worktable
from stillroom.sitter import region_name

MANY_POPS = 8
SHIFTS_EACH = 8
LONG_OPEN_S = 1.0


def predict(
    book: doc.Book,
    sitting_id: str,
    settings: doc.Settings | None = None,
    *,
    memo: BeliefMemo | None = None,
    constants: Constants | None = None,
) -> answers.Forecast:
    """What the next sheet of a sitting would show.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings, optional
        What is set; left out, as things stand.
    memo : BeliefMemo, optional
        Where beliefs are remembered.
    constants : Constants, optional
        Meter constants.

    Returns
    -------
    Forecast

    Raises
    ------
    UnknownName
        If the sitting or something it names is not in the book.
    OutOfRange, BadValue
        If a setting cannot be made.
    """
    table = worktable(book, sitting_id, memo=memo, constants=constants)
    settings = table.standing() if settings is None else settings
    return with_end(table, forecast_of(table, table.posterior(), settings))


def forecast_of(
    table: Worktable,
    posterior: Posterior,
    settings: doc.Settings,
    *,
    later: int = 0,
    made: doc.Sheet | None = None,
) -> answers.Forecast:
    """The forecast of settings, given what is believed; made so many sheets after the next.

    With `made`, as what is believed of that sheet by now: with its room, and all that is its own.
    """
    if made is not None:
        layout = table.layout(settings, made.room_state or None, number=made.number)
    else:
        layout = table.layout(settings)
        layout = layout.at_sheet(layout.nth + later)
    bare = table.bare_settings(settings)
    states = posterior.states(layout)
    belief = posterior.belief.extended(layout.terms)
    odds_table = Table(states, layout)
    odds = odds_table.odds(bare)
    number = last_number(table.sitting) + 1
    stepped = bare.steps_pops is not None
    return answers.Forecast(
        sitting=table.sitting.id,
        sheet_number=number,
        mark=sheet_mark(table.sitter.initials, number),
        settings=settings,
        regions=_regions(belief, states, layout, bare, odds_table),
        p_keeper=None if stepped or not odds.regions else odds.p_keeper,
        meter_shows=_meter_shows(table, belief, layout, bare),
        output_from=_outputs(table, layout),
        cautions=_cautions(table, layout, bare),
    )


# ---- regions ------------------------------------------------------------------------------


def _regions(
    belief: Belief,
    states: States,
    layout: Layout,
    bare: BareSettings,
    odds_table: Table,
) -> dict[str, answers.RegionForecast]:
    single = BareSettings(bare.dial_stops, bare.f_number, bare.pops, bare.seconds)
    light = exposures(states, layout, single)[:, 0]
    placed = np.log2(np.maximum(with_veil(states, layout, light.sum(axis=2)), 1e-30))
    scatter = np.hypot(states.sheet_sd, layout.scatter.region_sd_stops)
    odds = odds_table.odds(single).regions
    found = {}
    for region in layout.aims:
        i = layout.regions.index(region)
        values = placed[:, i]
        quantiles = scattered_quantiles(values, scatter)
        share = light[:, i] / light[:, i].sum(axis=1, keepdims=True)
        found[region] = answers.RegionForecast(
            name=region_name(region),
            placement_stops=_spread(values, scatter, quantiles),
            density=_density_spread(states, values, scatter),
            sources={
                role: float(s) for role, s in zip(layout.roles, share.mean(axis=0), strict=True)
            },
            ledger=_ledger(belief, layout, single, region),
            landings=_landings(belief, layout, single, region),
            aim=_aim_shown(states, layout, region, odds_table),
            p_lands=odds[region].p_lands if region in odds else None,
        )
    return found


def _spread(
    values: FloatArray, scatter: FloatArray, quantiles: tuple[float, ...]
) -> answers.Spread:
    named = dict(zip(("q05", "q25", "q50", "q75", "q95"), quantiles, strict=True))
    sd = math.hypot(float(values.std()), float(np.sqrt((scatter**2).mean())))
    return answers.Spread(mean=float(values.mean()), sd=sd, **named)


def _density_spread(states: States, values: FloatArray, scatter: FloatArray) -> answers.Spread:
    """Densities with the sheet's scatter, evenly spread over the states."""
    shifts = scatter[:, None] * scatter_scores(len(values), SHIFTS_EACH)
    tones = states.curves.density(values[:, None] + shifts).ravel()
    quantiles = [float(q) for q in np.quantile(tones, QUANTILES)]
    named = dict(zip(("q05", "q25", "q50", "q75", "q95"), quantiles, strict=True))
    return answers.Spread(mean=float(tones.mean()), sd=float(tones.std()), **named)


def _ledger(
    belief: Belief, layout: Layout, bare: BareSettings, region: str
) -> tuple[answers.LedgerLine, ...]:
    where = {name: i for i, name in enumerate(belief.names)}
    prior = {t.name: t for t in layout.terms}
    lines = []
    for role in layout.roles:
        for line in layout.lines(bare, region, role):
            stops, sd, known = line.stops, 0.0, line.known_from
            if line.term is not None:
                at = where[line.term]
                stops += line.coefficient * float(belief.mean[at])
                sd = abs(line.coefficient) * math.sqrt(float(belief.covariance[at, at]))
                known = _known(known, sd, abs(line.coefficient) * prior[line.term].sd)
            lines.append(
                answers.LedgerLine(
                    source=role,
                    term=line.label,
                    stops=stops,
                    sd_stops=sd,
                    known_from=known,
                    name=line.term or "",
                )
            )
    return tuple(lines)


KNOWN_FROM_SHARE = 2 / 3
"""A term is called learned alone only when its spread has fallen by a third."""


def _known(start: str, sd: float, prior_sd: float) -> str:
    if prior_sd == 0:
        return start
    if sd < KNOWN_FROM_SHARE * prior_sd:
        return "sheets"
    return f"{start}, in a chain" if sd < 0.97 * prior_sd else start


def _landings(
    belief: Belief, layout: Layout, bare: BareSettings, region: str
) -> tuple[answers.Landing, ...]:
    at = belief.positions(t.name for t in layout.terms)
    mean, covariance = belief.mean[at], belief.covariance[np.ix_(at, at)]
    rows = layout.rows(bare)
    i = layout.regions.index(region)
    landings = []
    for j, role in enumerate(layout.roles):
        a = rows.a[0, i, j]
        stops = float(rows.c[0, i, j] + a @ mean)
        sd = math.sqrt(float(a @ covariance @ a))
        landings.append(answers.Landing(source=role, stops=stops, sd_stops=sd))
    return tuple(landings)


def _aim_shown(
    states: States, layout: Layout, region: str, odds_table: Table
) -> answers.AimShown | None:
    aim = layout.aims[region]
    c = states.curves
    curve = tuple(float(x.mean()) for x in (c.contrast, c.asymmetry, c.dmin, c.dmax))
    density = layout.aim_density(region, (curve[0], curve[1], curve[2], curve[3]))
    placement = aim.placement_stops
    if placement is None:
        if region in odds_table.aimed:
            placement = float(odds_table.target[:, odds_table.aimed.index(region)].mean())
        else:
            return None
    return answers.AimShown(
        placement_stops=placement,
        tol_stops=aim.tol_stops,
        density=density,
        relative_to="paper",
    )


# ---- the meter ----------------------------------------------------------------------------


def _meter_shows(
    table: Worktable, belief: Belief, layout: Layout, bare: BareSettings
) -> tuple[answers.MeterShows, ...]:
    """What the meter at hand should show, one pop, at the regions the flash lights serve."""
    meters = table.book.kit.meters
    if only_spot_meters(meters):
        return ()
    at = belief.positions(t.name for t in layout.terms)
    mean, covariance = belief.mean[at], belief.covariance[np.ix_(at, at)]
    one_pop = BareSettings(bare.dial_stops, bare.f_number, 1, bare.seconds)
    c = meter_constant_lx_s(meter_at_hand(meters), table.constants)
    found: list[answers.MeterShows] = []
    flash = [r for r, on in zip(layout.roles, layout.flash, strict=True) if on]
    for role in flash:
        region = role if role in layout.regions else "key"
        if role == "fill":
            region = "shadow"
        if region not in layout.regions or any(m.region == region for m in found):
            continue
        level, a = layout.incident_rows(one_pop, region, [role])
        stops = float(level[0] + a[0] @ mean)
        sd = math.sqrt(float(a[0] @ covariance @ a[0]))
        exposure_lxs = 2.0**stops
        iso = iso_on_scale(exposure_lxs, c)
        shown = nearest_third_f_number(incident_f_number(exposure_lxs, iso, c))
        found.append(
            answers.MeterShows(
                region=region,
                lights_on=(role,),
                exposure_lxs=exposure_lxs,
                f_number=shown,
                iso=iso,
                sd_stops=sd,
            )
        )
    return tuple(found)


def _outputs(table: Worktable, layout: Layout) -> dict[str, str]:
    ids = {s.head for s in layout.sitting.sources if s.kind == "flash" and s.head is not None}
    return {i: table.heads[i].output_from for i in sorted(ids)}


def _cautions(table: Worktable, layout: Layout, bare: BareSettings) -> tuple[str, ...]:
    cautions = []
    if layout.flash.any():
        cautions += [FLASH_CAUTION, *no_flash_wanted(table.book, table.sitting)]
    if bare.pops > MANY_POPS:
        cautions.append(
            f"{bare.pops} pops: the sitter must hold still through all of them, and the heads get "
            "hot; let them cool as their maker says."
        )
    longest = table.sitter.holds_still_s
    open_s = bare.seconds * bare.pops
    steady = any(s.kind == "continuous" for s in layout.sitting.sources)
    if longest is not None and open_s > longest and steady:
        cautions.append(
            f"The shutter is open {open_s:g} s and {table.sitter.initials} holds still for "
            f"{longest:g} s."
        )
    if layout.flash.any() and steady and open_s > LONG_OPEN_S:
        cautions.append("Steady light adds up while the lens is open: look for a ghost edge.")
    return tuple(cautions)
