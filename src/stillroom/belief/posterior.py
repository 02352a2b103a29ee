"""What is believed within one sitting, and how it is carried to the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from stillroom.belief.cloud import STATES, Cloud, draw_cloud
from stillroom.belief.evidence import (
    Evidence,
    LaidBathReading,
    LaidMeterReading,
    LaidSheet,
    gather,
)
from stillroom.belief.likelihood import Curves, Likelihood
from stillroom.belief.named import Belief, standard_normal, stream
from stillroom.exposure import SHEET_SCATTER, BareSettings, Layout, Life, Rows
from stillroom.quantity import FloatArray

SETS_REMEMBERED = 4
"""Of how many sets it is remembered where things stood."""
ODD_FROM = 0.5
"""A sheet is called odd when it is likelier than this to be a spoiled one."""


@dataclass(frozen=True, slots=True)
class States:
    """Equally weighted states of everything that bears on a layout."""

    theta: FloatArray
    """(states, terms of the layout)."""
    curves: Curves
    sheet_sd: FloatArray
    """Scatter from sheet to sheet (states,) [stops]."""

    @property
    def count(self) -> int:
        """How many states."""
        return len(self.theta)


class Posterior:
    """One sitting: what was believed before, what was seen, and what follows.

    Parameters
    ----------
    before : Belief
        What was believed before the sitting.
    layout : Layout
        The sitting as it stands now.
    sheets, meters, baths : sequences
        What was recorded, each with the layout it was made under; the sheets in order.
    """

    def __init__(
        self,
        before: Belief,
        layout: Layout,
        sheets: Sequence[LaidSheet] = (),
        meters: Sequence[LaidMeterReading] = (),
        baths: Sequence[LaidBathReading] = (),
    ) -> None:
        first = layout.sitting.sheets_before
        numbered = [
            LaidSheet(laid.layout.at_sheet(first + i), laid.sheet) for i, laid in enumerate(sheets)
        ]
        self.layout = layout.at_sheet(first + len(sheets))
        # A sheet of which nothing is said has no shift to ask for: it must change no answer.
        told = [i for i, laid in enumerate(numbered) if _tells(laid)]
        self._told = {number: column for column, number in enumerate(told)}
        spoken = [numbered[i] for i in told]
        self.evidence: Evidence = gather(before, self.layout, spoken, meters, baths)
        self.likelihood = Likelihood(self.evidence)
        self._rng = stream(layout.sitting.id)

    @cached_property
    def cloud(self) -> Cloud:
        """The posterior as states, drawn once."""
        return draw_cloud(self.likelihood, self._rng)

    @cached_property
    def _theta(self) -> FloatArray:
        """All terms of all states: (states, terms of the belief)."""
        belief, likelihood = self.evidence.belief, self.likelihood
        cloud = self.cloud
        free = standard_normal(self._rng, STATES, len(belief.names))
        v = likelihood.directions
        x = cloud.z @ v.T + free - (free @ v) @ v.T
        return np.asarray(belief.mean + x @ likelihood.root.T)

    def states(self, layout: Layout | None = None) -> States:
        """States of the terms of a layout (this sitting's, unless another is given).

        A term that nothing here has to do with, such as a modifier not yet put on, is at its
        prior, apart from all others.
        """
        layout = layout or self.layout
        where = {name: i for i, name in enumerate(self.evidence.belief.names)}
        theta = np.empty((STATES, len(layout.terms)))
        for column, term in enumerate(layout.terms):
            if term.name in where:
                theta[:, column] = self._theta[:, where[term.name]]
            else:
                rng = stream(f"{self.layout.sitting.id}/{term.name}")
                theta[:, column] = term.mean + term.sd * standard_normal(rng, STATES, 1)[:, 0]
        scatter = np.exp(theta[:, layout.index[SHEET_SCATTER]])
        curves = curves_of(layout, theta)
        return States(theta, curves, layout.scatter.sheet_sd_stops * scatter)

    # ---- moments --------------------------------------------------------------------------

    @cached_property
    def belief(self) -> Belief:
        """Mean and covariance after the sitting, of all its terms.

        The mean is the cloud's. The covariance in the directions the evidence touched is the
        cloud's where it differs from the Gaussian at the mode by more than the noise of so
        many states in so many directions (the band of Marchenko and Pastur, 1967), and the
        Gaussian's elsewhere. Untouched directions keep their prior exactly.
        """
        before, likelihood, cloud = self.evidence.belief, self.likelihood, self.cloud
        d = likelihood.size
        if d == 0:
            return before
        mean_z = cloud.z.mean(axis=0)
        spread = _without_noise(cloud.z - mean_z, cloud.mode.covariance[:d, :d])
        v, root = likelihood.directions, likelihood.root
        inner = np.eye(len(before.names)) + v @ (spread - np.eye(d)) @ v.T
        covariance = root @ inner @ root.T
        return Belief(
            before.names,
            before.mean + root @ (v @ mean_z),
            (covariance + covariance.T) / 2,
            before.lives,
            before.day,
        )

    def p_spoiled(self, number: int) -> float:
        """How likely it is that a recorded sheet was a spoiled one."""
        if number not in self._told:
            return self.layout.scatter.spoiled_rate
        sd = self.likelihood.sheet_sd(self.cloud.z)[:, None]
        good = self.likelihood.p_good(self.cloud.b, sd)
        return float(1 - good[:, self._told[number]].mean())

    def shift(self, number: int) -> float:
        """Mean shift of a recorded sheet against what its settings give [stops]."""
        return float(self.own_shift(number).mean())

    def own_shift(self, number: int) -> FloatArray:
        """The same in every state (states,); 0 for a sheet of which nothing is said."""
        if number not in self._told:
            return np.zeros(STATES)
        return self.cloud.b[:, self._told[number]]


def _tells(laid: LaidSheet) -> bool:
    return laid.sheet.reading is not None or laid.sheet.kept is not None


def close(posterior: Posterior) -> Belief:
    """What is carried out of a sitting: kit, papers, sitters and the sets used last."""
    place = posterior.layout.place
    belief = posterior.belief.with_last(lambda name: _set_of(name) == place)
    pairs = zip(belief.names, belief.lives, strict=True)
    sets = list(dict.fromkeys(_set_of(n) for n, life in pairs if life is Life.SET))
    remembered = set(sets[-SETS_REMEMBERED:])

    def stays(name: str, life: Life) -> bool:
        if life is Life.SET:
            return _set_of(name) in remembered
        return life is not Life.SITTING

    return belief.keeping(stays).on_day(posterior.layout.sitting.day)


def _set_of(name: str) -> str:
    """Which set a term of geometry belongs to; nothing for other terms."""
    return name.split("/")[1] if name.startswith("geometry/") else ""


def opened(before: Belief, layout: Layout) -> Belief:
    """Belief at the start of a sitting: papers have drifted, and the baths may be others."""
    before = before.keeping(lambda name, life: life is not Life.DAY or _bath_is(name, layout))
    if before.day is None:
        return before
    days = max(0.0, layout.sitting.day - before.day)
    drift, most = layout.kit.drift_sd_stops_per_sqrt_day**2 * days, layout.kit.drift_most_sd_stops

    def extra(name: str) -> float:
        if not (name.startswith("paper/") and name.endswith("/speed")):
            return 0.0
        at = before.positions([name])[0]
        return min(drift, max(0.0, most**2 - float(before.covariance[at, at])))

    return before.widened(extra)


def _bath_is(name: str, layout: Layout) -> bool:
    return name.startswith(f"bath/{layout.bath}/")


def curves_of(layout: Layout, theta: FloatArray) -> Curves:
    """Tone curves of states of a layout's terms (states, terms), behind the filter it has on."""
    four, at = theta[:, layout.curve.four], layout.curve
    if at.filter_off is None:
        return Curves.of(four)
    return Curves.of(four, at.filter_log + theta[:, [at.filter_off]])


def landing(states: States, layout: Layout, settings: BareSettings) -> FloatArray:
    """Placement of every region (states, strips, regions), without the sheet's own scatter."""
    light = exposures(states, layout, settings).sum(axis=3)
    return np.asarray(np.log2(np.maximum(with_veil(states, layout, light), 1e-30)))


def exposures(
    states: States, layout: Layout, settings: BareSettings, still: FloatArray | None = None
) -> FloatArray:
    """Light over the mid-tone's: (states, strips, regions, sources).

    `still` is what `still_stops` gives, for whoever tries many settings.
    """
    if still is None:
        still = still_stops(states, layout)
    made = _affine(states, layout.set_rows(settings))
    return np.exp2(still[:, None] + made[:, :, None])


def still_stops(states: States, layout: Layout) -> FloatArray:
    """The part of every chain that no setting changes (states, regions, sources) [stops]."""
    return _affine(states, layout.still_rows())


def _affine(states: States, rows: Rows) -> FloatArray:
    e = rows.c.reshape(1, -1) + states.theta @ rows.a.reshape(-1, rows.a.shape[-1]).T
    return e.reshape(len(states.theta), *rows.c.shape)


def with_veil(states: States, layout: Layout, light: FloatArray) -> FloatArray:
    """Add the share of the frame's mean that lands everywhere; regions are the last axis."""
    if layout.veil is None:
        return light
    share = np.exp2(states.theta[:, layout.veil]).reshape(-1, *([1] * (light.ndim - 1)))
    return np.asarray(light + share * light.mean(axis=-1, keepdims=True))


def _without_noise(centred: FloatArray, gaussian: FloatArray) -> FloatArray:
    states, d = centred.shape
    root = np.linalg.cholesky(gaussian + 1e-12 * np.eye(d))
    y = np.linalg.solve(root, centred.T)
    values, vectors = np.linalg.eigh(y @ y.T / states)
    edge = np.sqrt(d / states)
    noise = (values > (1 - edge) ** 2) & (values < (1 + edge) ** 2)
    kept = np.where(noise, 1.0, values)
    turned = root @ vectors
    return np.asarray((turned * kept) @ turned.T)
