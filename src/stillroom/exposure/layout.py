"""The layout: all the engine ever sees of a sitting.

For fixed settings every contribution is affine in the unknowns,
``e[region, source] = c(settings) + a(settings) . theta``. A layout holds the names, prior
means, spreads and lives of the unknowns (terms), and the function from settings to `c` and `a`.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from stillroom.errors import BadValue, UnknownName
from stillroom.exposure.bare import (
    BareKit,
    BareMove,
    BareSettings,
    BareShared,
    BareSitting,
    BareSource,
)
from stillroom.exposure.chain import Chain, named, seat_terms, steady_level, without_slash
from stillroom.exposure.filtering import (
    contrast_term,
    filter_on,
    pre_flash_level,
    through_filter,
)
from stillroom.exposure.terms import (
    CurveTerms,
    DialScale,
    Life,
    Line,
    ResolvedAim,
    Rows,
    Scatter,
    Stage,
    Term,
)
from stillroom.paper import density
from stillroom.quantity import FloatArray
from stillroom.quantity.constants import REFERENCE_REFLECTANCE

SHEET_SCATTER = "kit/scatter"
"""The term that says how much sheets scatter against what the kit says (natural log)."""
NO_LIGHT_STOPS = -40.0
"""What a source gives a region it is not said to reach: nothing that any paper sees."""


class Layout:
    """A sitting as the engine sees it.

    Parameters
    ----------
    kit : BareKit
        Everything the sitting may name.
    sitting : BareSitting
        The sitting.
    details : mapping, optional
        For the ledger's display: ``(region, role)`` to lines that split `region_stops`.
    names : mapping, optional
        For the ledger's display: ids of kit and paper to the names people know.

    Raises
    ------
    UnknownName
        If the sitting names a paper, lens, filter, head or modifier that the kit does not have.
    """

    def __init__(
        self,
        kit: BareKit,
        sitting: BareSitting,
        *,
        details: Mapping[tuple[str, str], Sequence[Line]] | None = None,
        names: Mapping[str, str] | None = None,
    ) -> None:
        self.kit = kit
        self.sitting = sitting
        self.details = details or {}
        self._names = names or {}
        self.roles = tuple(s.role for s in sitting.sources)
        self.regions = self._all_regions()
        self.flash = np.array([s.kind == "flash" for s in sitting.sources])
        self.aims = {
            region: ResolvedAim(a.density, a.placement_stops, a.tol_stops, a.eye_tol_density)
            for region, a in sitting.aims.items()
        }
        self.scatter = Scatter(
            math.hypot(kit.process_scatter_sd_stops, kit.setting_scatter_sd_stops),
            kit.region_scatter_sd_stops,
            kit.spoiled_rate,
        )
        self._paper = named("paper", sitting.paper, {p.id: p for p in kit.papers})
        self._lens = named("lens", sitting.lens, {x.id: x for x in kit.lenses})
        self._filter = filter_on(kit, sitting)
        self._heads = {h.id: h for h in kit.heads}
        self._modifiers = {m.id: m for m in kit.modifiers}
        self.f_numbers = self._lens.f_numbers
        self.dials = self._dial_scales()
        self.place = without_slash(sitting.set or sitting.id)
        self.bath = bath_of(sitting)
        self.nth = sitting.sheets_before
        self._terms: dict[str, Term] = {}
        self.curve = self._curve_terms()
        self.veil = self._veil_term()
        self._kit_terms()
        self._bath_terms()
        self._lines = {
            (region, source.role): self._pre_flash_lines(source)
            if source.from_mid_tone
            else self._source_lines(source, region)
            for region in self.regions
            for source in sitting.sources
        }
        self._list_terms()

    def _list_terms(self) -> None:
        self.terms = tuple(self._terms.values())
        self.index = {t.name: i for i, t in enumerate(self.terms)}
        self._static_c, self._static_a = self._static_rows()

    # ---- what stands in the layout --------------------------------------------------------

    def _all_regions(self) -> tuple[str, ...]:
        seen = dict.fromkeys(self.sitting.aims)
        for source in self.sitting.sources:
            seen.update(dict.fromkeys(source.region_stops))
        return tuple(seen)

    def _dial_scales(self) -> dict[str, DialScale]:
        scales = {}
        for source in self.sitting.sources:
            if source.kind == "flash":
                head = named("head", source.head or "", self._heads)
                scales[source.role] = DialScale(
                    head.dial_min, head.dial_max, head.dial_step, head.dial_settings
                )
        return scales

    def _name(self, kind: str, key: str) -> str:
        return self._names.get(f"{kind}/{key}", key)

    def _curve_terms(self) -> CurveTerms:
        p = self._paper
        base = f"paper/{p.id}"
        label = self._name("paper", p.id)
        known = "paper's batch"
        for name, what, mean, sd in (
            ("speed", "speed of", p.speed_log2, p.speed_sd_stops),
            ("contrast", "contrast of", math.log(p.contrast_per_stop), p.contrast_log_sd),
            ("asymmetry", "shape of", 0.0, p.asym_log_sd),
            ("dmin", "Dmin of", p.dmin, p.dmin_sd),
            ("dmax", "Dmax of", p.dmax, p.dmax_sd),
        ):
            full = f"{base}/{name}"
            self._terms[full] = Term(full, f"{what} {label}", mean, sd, Life.PAPER, known)
        order = list(self._terms)
        found = CurveTerms(
            *(order.index(f"{base}/{n}") for n in ("contrast", "asymmetry", "dmin", "dmax"))
        )
        if self._filter is None:
            return found
        off = contrast_term(self._filter, self._name("filter", self._filter.id))
        self._terms[off.name] = off
        return replace(found, filter_off=len(order), filter_log=self._filter.contrast_log)

    def _veil_term(self) -> int | None:
        if self.sitting.veil_stops is None:
            return None
        name = f"veil/{self.sitting.lens}"
        share, sd = self.sitting.veil_stops, self.sitting.veil_sd_stops
        label = "flare that lands everywhere"
        self._terms[name] = Term(name, label, share, sd, Life.KIT, "lens and camera")
        return list(self._terms).index(name)

    # ---- the same for another sheet -------------------------------------------------------

    def at_sheet(self, nth: int) -> Layout:
        """The same for a sheet before which `nth` others went through the baths."""
        if nth == self.nth:
            return self
        other = copy.copy(self)
        other.nth = nth
        return other

    def with_moves(self, moves: Sequence[BareMove]) -> Layout:
        """The same with an unknown for each thing that moved.

        Raises
        ------
        UnknownName
            If a move names a light that does not stand here.
        """
        terms, lines = dict(self._terms), dict(self._lines)
        for move in moves:
            for role in move.roles:
                if role not in self.roles:
                    raise UnknownName("light", role, self.roles)
            name = f"moved/{move.name}"
            if name in terms:
                continue
            mean, sd = move.mean_stops, move.sd_stops
            terms[name] = Term(name, move.label, mean, sd, Life.SITTING, "what moved")
            line = Line(Stage(move.stage), move.label, "what moved", 0.0, name, 1.0)
            unlit = {s.role for s in self.sitting.sources if s.from_mid_tone}
            moved = set(move.roles or self.roles) - (set() if line.stage is Stage.PAPER else unlit)
            for (region, role), chain in lines.items():
                if role in moved and region in (move.regions or self.regions):
                    lines[region, role] = (*chain, line)
        other = copy.copy(self)
        other._terms, other._lines = terms, lines  # noqa: SLF001  (a layout like this one)
        other._list_terms()  # noqa: SLF001
        return other

    # ---- one source on one region ---------------------------------------------------------

    def _source_lines(self, source: BareSource, region: str) -> tuple[Line, ...]:
        """The settings-free lines of one chain, and the registration of its terms."""
        chain = Chain(self._terms)
        if source.kind == "flash":
            self._lamp_to_sitter(chain, source)
        else:
            if source.log2_lx is None:
                raise BadValue(f"log2_lx of {source.role}", None, "a steady light needs its level")
            steady_level(chain, source, self.sitting.id, self._name)
        split = self.details.get((region, source.role))
        if split:
            chain.lines.extend(split)
        else:
            stops = source.region_stops.get(region, NO_LIGHT_STOPS)
            chain.fixed(Stage.LIGHT, "where it stands and turns", stops, "geometry")
        sd = source.region_sd_stops.get(region, 0.0)
        if sd > 0:
            life = Life.SET if self.sitting.set else Life.SITTING
            name = f"geometry/{self.place}/{source.geo}/{region}"
            if source.daylight is not None:  # a seat stays where it is
                life, name = Life.KIT, f"{seat_terms(source.daylight.seat)}/at {region}"
            label = "how far that is off"
            # Of unit spread, so that lights of one place may know it each as well as they do.
            chain.term(Stage.LIGHT, Term(name, label, 0.0, 1.0, life, "geometry"), sd)
        if source.kind != "veil":
            colour = "colour of the light, as the paper sees it"
            chain.fixed(Stage.COLOUR, colour, source.actinic_stops, "kind of light")
            name = f"actinic/{source.kind}"
            light = "flash" if source.kind == "flash" else "steady light"
            label = f"how far the colour of {light} is off"
            off = Term(name, label, 0.0, 1.0, Life.KIT, "kind of light")
            chain.term(Stage.COLOUR, off, source.actinic_sd_stops)
        for shared in self.sitting.shared:
            if region in shared.regions and source.role in shared.sources:
                chain.term(Stage.SITTER, self._shared_term(shared))
        if source.kind != "veil":
            self._through_the_camera(chain)
        speed = f"paper/{self._paper.id}/speed"
        chain.lines.append(Line(Stage.PAPER, self._terms[speed].label, "batch", 0.0, speed, 1.0))
        self._in_the_baths(chain)
        return tuple(chain.lines)

    def _pre_flash_lines(self, source: BareSource) -> tuple[Line, ...]:
        chain = Chain(self._terms)
        pre_flash_level(chain, source, self._paper.id, self._name)
        self._in_the_baths(chain)
        return tuple(chain.lines)

    def _in_the_baths(self, chain: Chain) -> None:
        mix = self._terms[f"bath/{self.bath}/mix"]
        chain.lines.append(Line(Stage.PAPER, mix.label, mix.known_from, 0.0, mix.name, 1.0))

    def _lamp_to_sitter(self, chain: Chain, source: BareSource) -> None:
        head = self._heads[source.head or ""]
        name, label = f"head/{head.id}/output", f"{self._name('head', head.id)} at full, 1 m"
        output = Term(name, label, head.full_log2_lxs_1m, head.sd_stops, Life.KIT, "head")
        chain.term(Stage.LIGHT, output)
        if self.kit.stated_sd_stops:
            label = "outputs and losses as stated, all off alike"
            alike = Term("kit/stated", label, 0.0, self.kit.stated_sd_stops, Life.KIT, "kit")
            chain.term(Stage.LIGHT, alike, 1 + len(source.modifiers))
        slope = f"head/{head.id}/slope"
        label = f"dial of {self._name('head', head.id)}, a stop less a stop"
        self._terms[slope] = Term(slope, label, 0.0, self.kit.dial_slope_sd, Life.KIT, "head")
        for modifier_id in source.modifiers:
            modifier = named("modifier", modifier_id, self._modifiers)
            name = f"modifier/{modifier.id}/loss"
            loss = modifier.loss_stops
            term = Term(
                name,
                self._name("modifier", modifier.id),
                loss,
                modifier.sd_stops,
                Life.KIT,
                "modifier",
            )
            chain.term(Stage.LIGHT, term, -1.0)
        if source.distance_m is None:
            raise BadValue(
                f"distance_m of {source.role}", None, "a flash needs its distance in metres"
            )
        chain.fixed(Stage.LIGHT, "distance", -2 * math.log2(source.distance_m), "tape")

    def _shared_term(self, shared: BareShared) -> Term:
        by_sitter = shared.life == "sitter"
        name = f"shared/{shared.name}" if by_sitter else f"shared/{self.sitting.id}/{shared.name}"
        life = Life.SITTER if by_sitter else Life.SITTING
        label = self._name("shared", shared.name)
        return Term(name, label, shared.mean_stops, shared.sd_stops, life, "sitter")

    def _through_the_camera(self, chain: Chain) -> None:
        lens = self._lens
        glass = Term(
            f"lens/{lens.id}/transmission",
            f"glass of {self._name('lens', lens.id)}",
            lens.transmission_stops,
            lens.sd_stops,
            Life.KIT,
            "lens",
        )
        chain.term(Stage.CAMERA, glass)
        if self._filter is not None:
            through_filter(chain, self._filter, self._name("filter", self._filter.id))
        bellows = -2 * math.log2(1 + lens.magnification)
        chain.fixed(Stage.CAMERA, "bellows", bellows, "framing")
        reference = math.log2(REFERENCE_REFLECTANCE)
        chain.fixed(Stage.SITTER, "reference reflectance", reference, "definition")
        chain.fixed(Stage.CAMERA, "camera equation, one quarter", -2.0, "definition")

    def _bath_terms(self) -> None:
        kit, base = self.kit, f"bath/{self.bath}"
        for what, label, sd in (
            ("mix", "baths of the day", kit.fresh_mix_sd_stops),
            ("fatigue", "baths tiring, a sheet", kit.fatigue_sd_stops_per_sheet),
        ):
            name = f"{base}/{what}"
            self._terms[name] = Term(name, label, 0.0, sd, Life.DAY, "the day's baths")

    def _kit_terms(self) -> None:
        kit = self.kit
        name = SHEET_SCATTER
        label = "scatter from sheet to sheet (log)"
        self._terms[name] = Term(name, label, 0.0, kit.scatter_log_sd, Life.KIT, "kit")
        for name, label, mean, sd in (
            (
                "kit/pop_loss",
                "loss per doubling of pops",
                kit.pop_loss_per_doubling_stops,
                kit.pop_loss_sd,
            ),
            (
                "kit/reciprocity",
                "loss per doubling past 1 s",
                kit.reciprocity_loss_per_doubling_stops,
                kit.reciprocity_sd,
            ),
        ):
            self._terms[name] = Term(name, label, mean, sd, Life.KIT, "kit")

    def _static_rows(self) -> tuple[FloatArray, FloatArray]:
        shape = (len(self.regions), len(self.roles))
        c = np.zeros(shape)
        a = np.zeros((*shape, len(self.terms)))
        for i, region in enumerate(self.regions):
            for j, role in enumerate(self.roles):
                for line in self._lines[region, role]:
                    if line.term is None:
                        c[i, j] += line.stops
                    else:
                        a[i, j, self.index[line.term]] += line.coefficient
        return c, a

    def aim_density(self, region: str, curve: tuple[float, float, float, float]) -> float:
        """An aim as a density, for a curve (contrast, asymmetry, Dmin, Dmax)."""
        aim = self.aims[region]
        if aim.density is not None:
            return aim.density
        return float(density(aim.placement_stops or 0.0, *curve))

    # ---- with settings --------------------------------------------------------------------

    def _setting_lines(self, source: BareSource, settings: BareSettings, step: int) -> list[Line]:
        by_hand = "set by hand"
        pops = settings.pops * step
        lens = Line(Stage.CAMERA, "f-stop", by_hand, -2 * math.log2(settings.f_number))
        tired = self._terms[f"bath/{self.bath}/fatigue"]
        bath = Line(Stage.PAPER, tired.label, tired.known_from, 0.0, tired.name, self.nth)
        baths = [bath] if self.nth else []
        if source.kind == "flash":
            log_n = math.log2(pops)
            dial = settings.dial_stops.get(source.role, 0.0)
            loss = Line(Stage.PAPER, "loss of many pops", "kit", 0.0, "kit/pop_loss", -log_n)
            slope = self._terms[f"head/{source.head}/slope"]
            run = Line(Stage.LIGHT, slope.label, slope.known_from, 0.0, slope.name, dial)
            return [
                Line(Stage.LIGHT, "dial", by_hand, dial),
                *([run] if dial else []),
                Line(Stage.LIGHT, "pops", by_hand, log_n),
                *([loss] if log_n else []),
                lens,
                *baths,
            ]
        if source.kind == "continuous":
            log_t = math.log2(settings.seconds * pops)
            past = max(0.0, log_t)
            loss = Line(Stage.PAPER, "reciprocity", "kit", 0.0, "kit/reciprocity", -past)
            return [
                Line(Stage.LIGHT, "open time", by_hand, log_t),
                *([loss] if past else []),
                lens,
                *baths,
            ]
        return baths

    def lines(self, settings: BareSettings, region: str, role: str) -> tuple[Line, ...]:
        """Every line of one chain, in order from lamp to paper."""
        source = self.sitting.sources[self.roles.index(role)]
        lamp, *rest = self._lines[region, role]
        order = list(Stage)
        lines = [lamp, *self._setting_lines(source, settings, 1), *rest]
        return tuple(sorted(lines, key=lambda line: order.index(line.stage)))

    def rows(self, settings: BareSettings) -> Rows:
        """The affine form of one sheet: `c` (strips, regions, sources) and `a` (..., terms)."""
        still, set_ = self.still_rows(), self.set_rows(settings)
        return Rows(still.c + set_.c[:, None], still.a + set_.a[:, None])

    def still_rows(self) -> Rows:
        """The part of `rows` that no setting changes: `c` (regions, sources), `a` (..., terms)."""
        return Rows(self._static_c, self._static_a)

    def set_rows(self, settings: BareSettings) -> Rows:
        """The part of `rows` that the settings make: `c` (strips, sources), `a` (..., terms)."""
        steps = settings.steps_pops or (1,)
        c = np.zeros((len(steps), len(self.roles)))
        a = np.zeros((*c.shape, len(self.terms)))
        for k, step in enumerate(steps):
            for j, source in enumerate(self.sitting.sources):
                for line in self._setting_lines(source, settings, step):
                    if line.term is None:
                        c[k, j] += line.stops
                    else:
                        a[k, j, self.index[line.term]] += line.coefficient
        return Rows(c, a)

    def incident_rows(
        self, settings: BareSettings, region: str, roles: Sequence[str]
    ) -> tuple[FloatArray, FloatArray]:
        """What an incident meter sees at a region: `c` (sources,), `a` (sources, terms).

        Photopic lux-seconds at the sitter: colour of the light, reflectance, lens and paper
        stay out.
        """
        c = np.zeros(len(roles))
        a = np.zeros((len(roles), len(self.terms)))
        for j, role in enumerate(roles):
            if role not in self.roles:
                raise UnknownName("light", role, self.roles)
            for line in self.lines(settings, region, role):
                if line.stage is not Stage.LIGHT:
                    continue
                if line.term is None:
                    c[j] += line.stops
                else:
                    a[j, self.index[line.term]] += line.coefficient
        return c, a


def bath_of(sitting: BareSitting) -> str:
    """Whose baths a sitting's sheets go through, as it stands in names of terms."""
    return without_slash(sitting.bath or str(math.floor(sitting.day)))
