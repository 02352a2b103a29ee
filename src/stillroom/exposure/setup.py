"""A sitting as physical things, and its compilation into the bare ledger."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from stillroom.camera import Camera, Lens
from stillroom.errors import BadValue
from stillroom.exposure.bare import (
    BareAim,
    BareDaylight,
    BareFilter,
    BareHead,
    BareKit,
    BareLens,
    BareModifier,
    BarePaper,
    BareShared,
    BareSitting,
    BareSource,
)
from stillroom.exposure.layout import Layout
from stillroom.exposure.terms import Line, Stage
from stillroom.light import (
    Head,
    Lamp,
    Modifier,
    colour_stops,
    distance_stops,
    far_field_loss_stops,
)
from stillroom.paper import PaperBatch
from stillroom.quantity import Stops
from stillroom.scene import RegionLight, StandingLight, light_on_regions
from stillroom.sitter import REGIONS, Sitter, reflectance_stops, region_name, skin_stops

LightKind = Literal["head", "lamp", "daylight", "window", "room"]
FLARE_SD_STOPS = 1.0  # invented: a factor of two either way
RECIPROCITY_SD_STOPS = 0.07  # invented, until learned
_COLOUR_OF_KIND = {"daylight": "daylight", "window": "daylight", "room": "other"}
DRIFT_MOST_SD_STOPS = 0.4
"""What a batch kept cool and dark moves by from one season to another, at most (common practice,
no source): a walk from day to day would have it lost in half a year."""
MIX_SD_STOPS = 0.10
"""How far one day's baths lie from the usual, invented; nothing else tells them from the paper."""
READ_MIX_SD_STOPS = 0.30
"""The same where a control strip was read: then what it says counts, not what is usual."""
PRE_FLASH = "pre-flash"
"""The role of an even flash on the sheet before or after it is exposed."""
PRE_FLASH_SD_STOPS = 0.25
"""How far a pre-flash may lie from where a test on that paper put it; invented."""

SKY_SHARE = 0.5
"""Of how far the light of a sky may be off, what comes back with every sky of that kind; the rest
is that day's own (invented)."""


@dataclass(frozen=True, slots=True)
class Daylit:
    """Daylight where somebody sits, as sun and sky have it at one moment.

    Attributes
    ----------
    log2_lx : float
        At the face, as a meter sees it [log2 lx].
    colour : Stops
        What the paper in this camera gets more than that, and how sure [stops].
    sd_stops : float
        How far the weather may have it off [stops].
    seat, sky : str
        Where, and under what kind of sky: what is learned of either is kept by these names.
    seat_sd_stops : float
        How far the seat itself may have it off, whatever the weather [stops].
    """

    log2_lx: float
    colour: Stops
    sd_stops: float
    seat: str
    sky: str
    seat_sd_stops: float


@dataclass(frozen=True, slots=True)
class SetLight:
    """One light as it stands.

    Attributes
    ----------
    role : str
        What it is for.
    kind : str
        ``head``, ``lamp``, or light of the place: ``daylight``, ``window``, ``room``.
    head, lamp : Head or Lamp, optional
        The thing, for the first two kinds.
    modifiers : tuple of Modifier
        From the lamp outwards.
    distance_m : float, optional
        From cloth or front to the region it serves [m].
    facing_deg : float
        How far the surface is turned away [deg].
    metered_lx, metered_sd_stops : float
        Level of light of the place at the sitter [lx], and how sure [stops].
    geo : str, optional
        Lights with the same `geo` stand in the same place and share its error.
    state : str
        State of the room, for light of the place; levels of different states are learned apart.
    state_stops, state_sd_stops : float
        How far that state lies from the one the level was metered in [stops], and how sure.
    daylit : Daylit, optional
        Light of a seat, in place of a metered level.
    """

    role: str
    kind: LightKind
    head: Head | None = None
    lamp: Lamp | None = None
    modifiers: tuple[Modifier, ...] = ()
    distance_m: float | None = None
    facing_deg: float = 0.0
    metered_lx: float | None = None
    metered_sd_stops: float = 1.5
    geo: str | None = None
    state: str = ""
    state_stops: float = 0.0
    state_sd_stops: float = 0.0
    daylit: Daylit | None = None

    @property
    def steady(self) -> bool:
        """Whether it shines all the time."""
        return self.kind != "head"


@dataclass(frozen=True, slots=True)
class Setup:
    """A sitting as physical things.

    Attributes
    ----------
    magnification : float
        Of the sitter on the sheet.
    aims : mapping
        Region to aim.
    f_default, open_s : float
        Marked f-number and open time to start from.
    open_choices_s : tuple of float
        Open times that may be planned; empty when the time stays.
    bath, sheets_before : str, int
        Whose baths the sheets go through, and how many had gone through them before.
    bath_is_read : bool
        Whether a control strip of the day tells: then the baths may be far from the usual.
    filter : BareFilter, optional
        What is on the lens, for this paper in this light.
    pre_flash_stops : float, optional
        An even pre-flash, by how far below the mid-tone it alone lands [stops].
    names : mapping
        ``kind/id`` to the name people know, for the ledger.
    """

    id: str
    day: float
    batch: PaperBatch
    lens: Lens
    camera: Camera
    magnification: float
    sitter: Sitter
    lights: tuple[SetLight, ...]
    aims: Mapping[str, BareAim]
    f_default: float
    open_s: float
    open_choices_s: tuple[float, ...] = ()
    set: str | None = None
    bath: str = ""
    sheets_before: int = 0
    bath_is_read: bool = False
    filter: BareFilter | None = None
    pre_flash_stops: float | None = None
    names: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Compiled:
    """The bare ledger of a sitting, and what its display needs besides."""

    kit: BareKit
    sitting: BareSitting
    details: Mapping[tuple[str, str], tuple[Line, ...]]
    names: Mapping[str, str]

    def layout(self) -> Layout:
        """The layout of this ledger."""
        return Layout(self.kit, self.sitting, details=self.details, names=self.names)


def compile_setup(setup: Setup) -> Compiled:
    """Compile a sitting of physical things to stops.

    Parameters
    ----------
    setup : Setup
        The sitting.

    Returns
    -------
    Compiled

    Raises
    ------
    BadValue
        If no light is on, or a light lacks what its kind needs.
    OutOfRange
        If a number lies outside its range.
    """
    if not setup.lights:
        raise BadValue("lights", "none", "switch at least one light on")
    regions = tuple(dict.fromkeys([*REGIONS, *setup.aims]))
    details: dict[tuple[str, str], tuple[Line, ...]] = {}
    sources = []
    for light in setup.lights:
        standing = StandingLight(light.role, light.modifiers, light.distance_m, light.facing_deg)
        on_regions = light_on_regions(standing, regions)
        for region, part in on_regions.items():
            details[region, light.role] = _split(part)
        sources.append(_source(setup, light, on_regions))
    if setup.pre_flash_stops is not None:
        sources.append(_pre_flash(setup.pre_flash_stops, regions))
    sitting = BareSitting(
        id=setup.id,
        day=setup.day,
        paper=setup.batch.id,
        lens=setup.lens.id,
        f_default=setup.lens.f_number(setup.f_default).exact,
        seconds_default=setup.open_s,
        seconds_choices=setup.open_choices_s,
        sources=tuple(sources),
        aims=setup.aims,
        set=setup.set,
        bath=setup.bath,
        sheets_before=setup.sheets_before,
        shared=_reflectances(setup, regions),
        veil_stops=math.log2(setup.camera.flare_share) if setup.camera.flare_share > 0 else None,
        veil_sd_stops=FLARE_SD_STOPS,
        filter=None if setup.filter is None else setup.filter.id,
    )
    names = {f"shared/{s.name}": _shared_name(s.name) for s in sitting.shared}
    return Compiled(_kit(setup), sitting, details, names | dict(setup.names))


def _split(part: RegionLight) -> tuple[Line, ...]:
    lines = [Line(Stage.LIGHT, "where it falls on the head", "typical", part.spill_stops)]
    if part.near_field_stops:
        near = Line(Stage.LIGHT, "near a large face", "size and tape", part.near_field_stops)
        lines.insert(0, near)
    if part.facing_stops:
        lines.insert(0, Line(Stage.LIGHT, "turned away", "angle", part.facing_stops))
    return tuple(lines)


def _source(setup: Setup, light: SetLight, on_regions: Mapping[str, RegionLight]) -> BareSource:
    head, level, sd = None, None, 0.0
    if light.kind == "head":
        if light.head is None or light.distance_m is None:
            raise BadValue(f"light {light.role}", light.kind, "give its head and its distance")
        head, colour = light.head.id, "flash"
    elif light.kind == "lamp":
        if light.lamp is None or light.distance_m is None:
            raise BadValue(f"light {light.role}", light.kind, "give its lamp and its distance")
        head, colour, sd = light.lamp.id, light.lamp.kind, light.lamp.intensity_sd_stops
        lost = sum(far_field_loss_stops(m) for m in light.modifiers)
        level = light.lamp.log2_cd + distance_stops(light.distance_m) - lost
    elif light.daylit is not None:
        level = light.daylit.log2_lx + light.state_stops
        colour = _COLOUR_OF_KIND[light.kind]
    else:
        if light.metered_lx is None:
            raise BadValue(f"light {light.role}", light.kind, "give its level in lux")
        level = math.log2(light.metered_lx) + light.state_stops
        sd = math.hypot(light.metered_sd_stops, light.state_sd_stops)
        colour = _COLOUR_OF_KIND[light.kind]
    if light.daylit is not None:
        shift = light.daylit.colour
    else:
        shift = colour_stops(colour, setup.batch.sees, [setup.lens.passes])
    return BareSource(
        role=light.role,
        kind="continuous" if light.steady else "flash",
        head=head,
        modifiers=() if light.steady else tuple(m.id for m in light.modifiers),
        distance_m=light.distance_m,
        log2_lx=level,
        sd_stops=sd,
        geo=light.geo or light.role,
        actinic_stops=shift.value,
        actinic_sd_stops=shift.u,
        region_stops={r: part.stops for r, part in on_regions.items()},
        region_sd_stops={r: part.sd_stops for r, part in on_regions.items()},
        state=light.state or None,
        daylight=_weather(light),
    )


def _pre_flash(below_mid_stops: float, regions: tuple[str, ...]) -> BareSource:
    return BareSource(
        role=PRE_FLASH,
        kind="veil",
        head=None,
        modifiers=(),
        distance_m=None,
        log2_lx=-below_mid_stops,
        sd_stops=PRE_FLASH_SD_STOPS,
        geo=PRE_FLASH,
        actinic_stops=0.0,
        actinic_sd_stops=0.0,
        region_stops=dict.fromkeys(regions, 0.0),
        region_sd_stops={},
        from_mid_tone=True,
    )


def _weather(light: SetLight) -> BareDaylight | None:
    there = light.daylit
    if there is None:
        return None
    return BareDaylight(
        seat=there.seat,
        sky=there.sky,
        seat_sd_stops=math.hypot(there.seat_sd_stops, light.state_sd_stops),
        sky_sd_stops=there.sd_stops * SKY_SHARE,
        day_sd_stops=there.sd_stops * math.sqrt(1 - SKY_SHARE**2),
    )


def _reflectances(setup: Setup, regions: tuple[str, ...]) -> tuple[BareShared, ...]:
    roles = tuple(light.role for light in setup.lights)
    skin = skin_stops(setup.sitter)
    skins = tuple(r for r in regions if r in REGIONS and REGIONS[r].is_skin)
    name = f"skin of {setup.sitter.id}"
    shared = [BareShared(name, skin.u, skins, roles, skin.value, "sitter")]
    for region in regions:
        if region in skins:
            continue
        known = REGIONS.get(region)
        mean = 0.0 if known is None else reflectance_stops(known.reflectance)
        sd = 1.0 if known is None else known.sd_stops
        shared.append(BareShared(f"tone of {region}", sd, (region,), roles, mean))
    return tuple(shared)


def _shared_name(name: str) -> str:
    tone = "tone of "
    if name.startswith(tone):
        return f"{region_name(name.removeprefix(tone)).lower()}, in the paper's band"
    return f"{name}, in the paper's band"


def _kit(setup: Setup) -> BareKit:
    batch, lens = setup.batch, setup.lens
    heads = {light.head.id: light.head for light in setup.lights if light.head is not None}
    modifiers = {m.id: m for light in setup.lights for m in light.modifiers if not light.steady}
    return BareKit(
        papers=(
            BarePaper(
                batch.id,
                batch.speed_log2,
                batch.ei_sd_stops,
                batch.contrast_per_stop,
                batch.contrast_log_sd,
                batch.asymmetry_log_sd,
                batch.dmin,
                batch.dmax,
                batch.dmin_sd,
                batch.dmax_sd,
            ),
        ),
        heads=tuple(_bare_head(h) for h in heads.values()),
        modifiers=tuple(
            BareModifier(m.id, far_field_loss_stops(m), m.loss_sd_stops)
            for m in modifiers.values()
        ),
        lenses=(
            BareLens(
                lens.id,
                tuple(lens.f_number(mark).exact for mark in lens.f_numbers),
                lens.transmission_stops,
                lens.transmission_sd_stops,
                setup.magnification / lens.pupil_ratio,
            ),
        ),
        filters=() if setup.filter is None else (setup.filter,),
        reciprocity_sd=RECIPROCITY_SD_STOPS,
        drift_most_sd_stops=DRIFT_MOST_SD_STOPS,
        fresh_mix_sd_stops=READ_MIX_SD_STOPS if setup.bath_is_read else MIX_SD_STOPS,
    )


def _bare_head(head: Head) -> BareHead:
    steps = tuple(float(s) for s in head.settings_stops())
    # A bare ledger counts its steps from full, a dial from its own top.
    from_full = steps[-1] / head.dial.step
    even = head.dial.kind != "energy" and abs(from_full - round(from_full)) < 1e-6
    return BareHead(
        head.id,
        head.full_log2_lxs_1m,
        head.output_sd_stops,
        steps[0],
        steps[-1],
        head.dial.step if even else 0.1,
        () if even else steps,
    )
