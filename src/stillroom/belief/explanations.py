"""What may have gone wrong with a sheet, each way with what it would do to the light.

How often each happens is invented: nobody has counted. A rate says how many sheets in all such
a slip spoils; where several lights may have had it, they share it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from stillroom.belief.named import stream
from stillroom.exposure import NO_LIGHT_STOPS, BareSettings, Layout
from stillroom.quantity import FloatArray

SPOILED_SD_STOPS = 1.5


class Slip(StrEnum):
    """Kinds of explanations of a sheet that contradicts the rest."""

    SCATTER = "scatter"
    SPOILED = "spoiled"
    DIAL = "dial"
    MODIFIER_OFF = "modifier_off"
    MODIFIER_ON = "modifier_on"
    STOP = "stop"
    POPS = "pops"
    NOT_FIRED = "not_fired"
    NOT_CHARGED = "not_charged"
    ROOM = "room"
    KNOCKED = "knocked"
    TIME = "time"
    TWICE = "twice"
    PAPER = "paper"
    WRONG_SIDE = "wrong_side"
    THIN_BLACKS = "thin_blacks"
    TIRED = "tired"
    VEIL = "veil"


RATES: Mapping[Slip, float] = {
    Slip.SPOILED: 0.008,
    Slip.DIAL: 0.010,
    Slip.MODIFIER_OFF: 0.003,
    Slip.MODIFIER_ON: 0.003,
    Slip.STOP: 0.006,
    Slip.POPS: 0.005,
    Slip.NOT_FIRED: 0.005,
    Slip.NOT_CHARGED: 0.003,
    Slip.ROOM: 0.004,
    Slip.KNOCKED: 0.003,
    Slip.TIME: 0.004,
    Slip.TWICE: 0.003,
    Slip.PAPER: 0.002,
    Slip.WRONG_SIDE: 0.002,
    Slip.THIN_BLACKS: 0.004,
    Slip.TIRED: 0.003,
    Slip.VEIL: 0.004,
}
"""Share of sheets that each spoils; invented. What is left is scatter alone."""

DIAL_THIRDS = 9
"""A dial may stand up to three stops from what was written."""
WHOLE_STEPS_LIKELIER = 3.0
NEAR_STOPS = 1.2
_MARKS = ((1, 0.4), (2, 0.1))
_UNCHARGED = ((-0.5, 0.35), (-1.0, 0.35), (-1.5, 0.2), (-2.0, 0.1))
_TIMES = ((0.5, 0.2), (2 / 3, 0.2), (0.8, 0.1), (1.25, 0.1), (1.5, 0.2), (2.0, 0.2))
_CAP_LATE_S = ((0.5, 0.2), (1.0, 0.3), (2.0, 0.3), (4.0, 0.2))
BY_HAND_FROM_S = 0.5
"""From here on a hand or a cap ends the opening: late by seconds, whatever time was meant."""
_WRONG_SIDE = ((-2.0, 0.3), (-3.0, 0.4), (-4.0, 0.3))
WRONG_SIDE_CONTRAST = 0.7
_THIN = ((0.15, 0.25), (0.3, 0.3), (0.45, 0.25), (0.6, 0.2))
_TIRED = ((-1 / 3, 0.4), (-2 / 3, 0.35), (-1.0, 0.25))
_VEILS = ((-4.0, 0.1), (-3.0, 0.2), (-2.0, 0.25), (-1.0, 0.2), (0.0, 0.15), (1.0, 0.1))
KNOCKED_DRAWS = 3
KNOCKED_STOPS, KNOCKED_SD_STOPS, KNOCKED_REGION_SD_STOPS = -0.5, 0.8, 0.5
"""A knocked light as a rule lights the sitter less, and each part of the picture by as much
as it likes."""


@dataclass(frozen=True, slots=True)
class Case:
    """One size of a slip, with its share among all of them.

    Attributes
    ----------
    weight : float
        Share [1]; those of one explanation sum to 1.
    value : float
        The size, in the unit of its kind: stops, an f-number, pops, seconds, density.
    gains : mapping
        Role to stops of light more; arrays fit (states, regions).
    layout : Layout, optional
        Where something else stands than was written.
    added_stops : float, optional
        Light that lands everywhere, as a placement.
    contrast : float
        What the paper's contrast is multiplied by.
    thinner : float
        Density that full black lacks.
    """

    weight: float
    value: float = 0.0
    gains: Mapping[str, FloatArray | float] = field(default_factory=dict)
    layout: Layout | None = None
    added_stops: float | None = None
    contrast: float = 1.0
    thinner: float = 0.0

    @property
    def is_of_light(self) -> bool:
        """Whether it leaves the paper what it is."""
        return self.layout is None and self.contrast == 1 and self.thinner == 0


@dataclass(frozen=True, slots=True)
class Explanation:
    """One kind of slip of one thing.

    Attributes
    ----------
    kind : Slip
    subject : str
        The light's role, the paper's id or the room's state it is about; empty: all.
    rate : float
        How often it happens, before anything is read [1].
    cases : tuple of Case
    part : str
        The modifier it is about.
    shift_sd_stops : float, optional
        Spread of the sheet's own shift where it is not that of every sheet.
    """

    kind: Slip
    subject: str = ""
    rate: float = 0.0
    cases: tuple[Case, ...] = (Case(1.0),)
    part: str = ""
    shift_sd_stops: float | None = None


def explanations(
    layout: Layout,
    settings: BareSettings,
    states: int,
    losses: Mapping[str, FloatArray],
    *,
    held_open: bool = False,
) -> tuple[Explanation, ...]:
    """Everything a bare ledger knows that can go wrong with a sheet.

    Parameters
    ----------
    layout : Layout
        The sheet's own.
    settings : BareSettings
        What was written down.
    states : int
        How many states the belief has [1]: what a knock does is drawn anew for each.
    losses : mapping
        Id of each modifier to its loss in each state (states,) [stops].
    held_open : bool
        Whether the lens stays open through all pops: then their number leaves steady light alone.

    Returns
    -------
    tuple of Explanation
        Without the two that are always there: scatter alone, and spoiled for no known cause.
    """
    maker = _Maker(layout, settings, states, losses)
    lights = (maker.dials(), maker.heads(), maker.modifiers(), maker.knocks())
    found = [e for part in lights for e in part]
    found += [*_camera(layout, settings, held_open=held_open), *_papers(layout), *_line(layout)]
    return tuple(e for e in found if e.cases)


def nulls(rate_of_slips: float) -> tuple[Explanation, Explanation]:
    """Scatter alone, and spoiled for no known cause."""
    spoiled = RATES[Slip.SPOILED]
    scatter = 1.0 - rate_of_slips - spoiled
    return (
        Explanation(Slip.SCATTER, rate=scatter),
        Explanation(Slip.SPOILED, rate=spoiled, shift_sd_stops=SPOILED_SD_STOPS),
    )


def shared_out(cases: list[Case]) -> tuple[Case, ...]:
    """The same cases with weights that sum to 1."""
    total = sum(c.weight for c in cases)
    return tuple(replace(c, weight=c.weight / total) for c in cases) if total > 0 else ()


# ---- lights -------------------------------------------------------------------------------------


class _Maker:
    """What can go wrong with the flash of one sheet."""

    def __init__(
        self,
        layout: Layout,
        settings: BareSettings,
        states: int,
        losses: Mapping[str, FloatArray],
    ) -> None:
        self.layout = layout
        self.settings = settings
        self.states = states
        self.losses = losses
        self.flash = [s for s in layout.sitting.sources if s.kind == "flash"]

    def dials(self) -> Iterator[Explanation]:
        """A dial that stood otherwise."""
        for source in self.flash:
            stood = self.settings.dial_stops.get(source.role, 0.0)
            scale = self.layout.dials[source.role]
            cases = []
            for third in range(-DIAL_THIRDS, DIAL_THIRDS + 1):
                stops = third / 3
                if third == 0 or not scale.min_stops <= stood + stops <= scale.max_stops:
                    continue
                likelier = WHOLE_STEPS_LIKELIER if third % 3 == 0 else 1.0
                weight = likelier * math.exp(-abs(stops) / NEAR_STOPS)
                cases.append(Case(weight, stops, {source.role: stops}))
            rate = RATES[Slip.DIAL] / len(self.flash)
            yield Explanation(Slip.DIAL, source.role, rate, shared_out(cases))

    def heads(self) -> Iterator[Explanation]:
        """A head that gave nothing, or less than its dial says."""
        for source in self.flash:
            role, share = source.role, 1 / len(self.flash)
            dark = (Case(1.0, NO_LIGHT_STOPS, {role: NO_LIGHT_STOPS}),)
            yield Explanation(Slip.NOT_FIRED, role, RATES[Slip.NOT_FIRED] * share, dark)
            weak = tuple(Case(w, stops, {role: stops}) for stops, w in _UNCHARGED)
            yield Explanation(Slip.NOT_CHARGED, role, RATES[Slip.NOT_CHARGED] * share, weak)

    def modifiers(self) -> Iterator[Explanation]:
        """A modifier taken off, or left on."""
        worn = [(s.role, m) for s in self.flash for m in s.modifiers]
        hung = {m for _, m in worn}
        free = [m.id for m in self.layout.kit.modifiers if m.id not in hung]
        bare = [(s.role, m) for s in self.flash for m in free]
        for kind, pairs, sign in ((Slip.MODIFIER_OFF, worn, 1.0), (Slip.MODIFIER_ON, bare, -1.0)):
            for role, modifier in pairs:
                cases = (Case(1.0, sign, {role: sign * self.losses[modifier][:, None]}),)
                yield Explanation(kind, role, RATES[kind] / len(pairs), cases, modifier)

    def knocks(self) -> Iterator[Explanation]:
        """A light that was knocked, so that each part of the picture gets what it will."""
        regions = len(self.layout.regions)
        for source in self.flash:
            rng = stream(f"{self.layout.sitting.id}/knocked/{source.role}")
            cases = []
            for _ in range(KNOCKED_DRAWS):
                whole = KNOCKED_STOPS + KNOCKED_SD_STOPS * rng.standard_normal((self.states, 1))
                own = KNOCKED_REGION_SD_STOPS * rng.standard_normal((self.states, regions))
                gains = {source.role: whole + own}
                cases.append(Case(1 / KNOCKED_DRAWS, KNOCKED_STOPS, gains))
            rate = RATES[Slip.KNOCKED] / len(self.flash)
            yield Explanation(Slip.KNOCKED, source.role, rate, tuple(cases))


# ---- camera, paper, wet line --------------------------------------------------------------------


def _camera(layout: Layout, settings: BareSettings, *, held_open: bool) -> Iterator[Explanation]:
    sources = layout.sitting.sources
    through = [s.role for s in sources if s.kind != "veil"]
    marks = sorted(layout.f_numbers)
    at = min(range(len(marks)), key=lambda i: abs(math.log2(marks[i] / settings.f_number)))
    stops = []
    for steps, weight in _MARKS:
        for i in (at - steps, at + steps):
            if 0 <= i < len(marks):
                gain = -2 * math.log2(marks[i] / settings.f_number)
                stops.append(Case(weight, marks[i], dict.fromkeys(through, gain)))
    yield Explanation(Slip.STOP, "", RATES[Slip.STOP], shared_out(stops))
    if settings.steps_pops is None:
        n = settings.pops
        counts = [(m, w) for m, w in ((n - 1, 0.4), (n + 1, 0.3), (2 * n, 0.3)) if m >= 1]
        pops = [Case(w, m, _of_pops(layout, settings, m, held_open=held_open)) for m, w in counts]
        yield Explanation(Slip.POPS, "", RATES[Slip.POPS], shared_out(pops))
    steady = [s.role for s in sources if s.kind == "continuous"]
    if steady:
        yield Explanation(
            Slip.TIME, "", RATES[Slip.TIME], _times(layout, settings, held_open=held_open)
        )
    yield Explanation(Slip.TWICE, "", RATES[Slip.TWICE], (_twice(layout),))


def _times(layout: Layout, settings: BareSettings, *, held_open: bool) -> tuple[Case, ...]:
    """Other times of one opening; its own whole time is the unit of the sizes [s]."""
    steady = [s.role for s in layout.sitting.sources if s.kind == "continuous"]
    pops = settings.pops
    opened = settings.seconds * (pops if held_open else 1)
    others = [(opened * factor, w) for factor, w in _TIMES]
    if opened >= BY_HAND_FROM_S:
        others = [(t, w) for t, w in others if t < opened]
        others += [(opened + late, w) for late, w in _CAP_LATE_S]
    whole = settings.seconds * pops
    cases = [
        Case(w, t, dict.fromkeys(steady, _of_time(layout, whole, whole * t / opened)))
        for t, w in others
    ]
    return shared_out(cases)


def _twice(layout: Layout) -> Case:
    """The same exposure again on the same sheet: flash tires as by pops, steady light adds up."""
    flash = 1 - layout.kit.pop_loss_per_doubling_stops
    gain = {"flash": flash, "continuous": 1.0}
    return Case(1.0, 2.0, {s.role: gain[s.kind] for s in layout.sitting.sources if s.kind in gain})


def _of_pops(
    layout: Layout, settings: BareSettings, pops: int, *, held_open: bool
) -> dict[str, float]:
    """What another number of pops does to each light [stops], losses as the kit says."""
    more = math.log2(pops / settings.pops)
    flash = more * (1 - layout.kit.pop_loss_per_doubling_stops)
    before = settings.seconds * settings.pops
    steady = _of_time(layout, before, before if held_open else settings.seconds * pops)
    gain = {"flash": flash, "continuous": steady}
    return {s.role: gain[s.kind] for s in layout.sitting.sources if s.kind in gain}


def _of_time(layout: Layout, seconds: float, other: float) -> float:
    """What another open time does to steady light [stops]; of the whole exposure [s]."""
    loss = layout.kit.reciprocity_loss_per_doubling_stops
    before, after = math.log2(seconds), math.log2(other)
    return after - before - loss * (max(0.0, after) - max(0.0, before))


def _papers(layout: Layout) -> Iterator[Explanation]:
    sitting = layout.sitting
    others = [p.id for p in layout.kit.papers if p.id != sitting.paper]
    for paper in others:
        other = Layout(layout.kit, replace(sitting, paper=paper)).at_sheet(layout.nth)
        rate = RATES[Slip.PAPER] / len(others)
        yield Explanation(Slip.PAPER, paper, rate, (Case(1.0, layout=other),))


def _line(layout: Layout) -> Iterator[Explanation]:
    """What can go wrong with paper and baths whatever the light was."""
    roles = layout.roles
    turned = [
        Case(w, stops, dict.fromkeys(roles, stops), contrast=WRONG_SIDE_CONTRAST)
        for stops, w in _WRONG_SIDE
    ]
    yield Explanation(Slip.WRONG_SIDE, "", RATES[Slip.WRONG_SIDE], tuple(turned))
    thin = [Case(w, lost, thinner=lost) for lost, w in _THIN]
    yield Explanation(Slip.THIN_BLACKS, "", RATES[Slip.THIN_BLACKS], tuple(thin))
    tired = [Case(w, stops, dict.fromkeys(roles, stops)) for stops, w in _TIRED]
    yield Explanation(Slip.TIRED, "", RATES[Slip.TIRED], tuple(tired))
    veils = [Case(w, stops, added_stops=stops) for stops, w in _VEILS]
    yield Explanation(Slip.VEIL, "", RATES[Slip.VEIL], tuple(veils))
