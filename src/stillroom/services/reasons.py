"""Why something changes, and why something is left, in sentences."""

from __future__ import annotations

import numpy as np

from stillroom.advice import Table
from stillroom.belief import Posterior
from stillroom.documents import book as doc
from stillroom.exposure import BareSettings, Layout
from stillroom.paper import placement
from stillroom.quantity import NINE_IN_TEN, FloatArray, range_text, stops_text
from stillroom.sitter import region_name

CLOSE_STOPS = 1 / 6
"""What prints as nothing in thirds."""
HARDLY_LIT_SHARE = 0.05


class Reasons:
    """What would happen without a change.

    Parameters
    ----------
    posterior : Posterior
        What is believed.
    table : Table
        The same, ready for trials.
    stands : BareSettings
        How things stand now.
    planned : BareSettings
        What is advised.
    """

    def __init__(
        self, posterior: Posterior, table: Table, stands: BareSettings, planned: BareSettings
    ) -> None:
        self.posterior = posterior
        self.table = table
        self.layout = posterior.layout
        self.stands = stands
        self.planned = planned
        self.as_it_stands = self._deviation(stands)

    def _deviation(self, settings: BareSettings) -> dict[str, float]:
        """Mean distance of each aimed region from its aim [stops]."""
        table = self.table
        deviation = table.deviations(table.light(settings), table.gains(settings))
        means = deviation[0].mean(axis=0)
        return {r: float(d) for r, d in zip(table.aimed, means, strict=True)}

    def shares(self) -> FloatArray:
        """Share of each source in each aimed region, as things stand (regions, sources)."""
        table = self.table
        light = table.light(self.stands)[:, table.rows] * np.exp2(table.gains(self.stands)[0])
        return np.asarray((light / light.sum(axis=2, keepdims=True)).mean(axis=0))

    def dial(self, role: str) -> str:
        """Why a light is turned: for the aimed region it lights most."""
        shares = self.shares()
        aimed = self.table.aimed
        j = self.layout.roles.index(role)
        region = aimed[int(shares[:, j].argmax())] if aimed else None
        if region is None or shares[:, j].max(initial=0.0) < HARDLY_LIT_SHARE:
            return "It lights a part that is not aimed, and that part would miss its tone."
        name = region_name(region).lower()
        stood = self.as_it_stands[region]
        if abs(stood) >= CLOSE_STOPS:
            return f"As it stood, {name} would fall {size_and_way(stood)} than wanted."
        without = self._without(role)[region]
        if abs(without) >= CLOSE_STOPS:
            return (
                f"The other changes alone would leave {name} {size_and_way(without)} than wanted; "
                "this makes up for them."
            )
        return f"It brings {name} the last bit nearer to where it is wanted."

    def _without(self, role: str) -> dict[str, float]:
        dials = {**self.planned.dial_stops, role: self.stands.dial_stops.get(role, 0.0)}
        planned = self.planned
        return self._deviation(
            BareSettings(dials, planned.f_number, planned.pops, planned.seconds)
        )

    def camera(self, kind: str, stops: float) -> str:
        """Why the stop, the pops or the open time change."""
        short = [r for r, d in self.as_it_stands.items() if d < -1 / 3]
        if stops > 0 and short:
            names = " and ".join(region_name(r).lower() for r in short)
            return f"The dials alone would leave {names} darker than wanted."
        if kind == "stop":
            return "It moves every light alike; the dials do the rest."
        if kind == "pops":
            return "Pops move all flash alike and leave depth of field as it is."
        return "It moves the steady light and leaves the flash as it is."

    def left_alone(self, sheets: tuple[doc.Sheet, ...]) -> tuple[str, ...]:
        """What was considered and left, each a sentence."""
        sentences = []
        scatter = self.table.sheet_sd
        seen = self._last_seen(sheets)
        for region, deviation in self.as_it_stands.items():
            off = seen.get(region)
            if off is None or abs(off) < CLOSE_STOPS or abs(deviation) > scatter:
                continue
            sentences.append(
                f"{region_name(region)} came out {size_and_way(off)} than wanted, but one sheet "
                f"alone scatters by {range_text(NINE_IN_TEN * scatter)}. Leave it."
            )
        if not sentences and self.planned == self.stands:
            sentences.append("Leave it. The next sheet will scatter by more than any change.")
        return tuple(sentences)

    def _last_seen(self, sheets: tuple[doc.Sheet, ...]) -> dict[str, float]:
        """The last sheet in stops from the aims, under the curve now believed."""
        read = [s for s in sheets if s.readings and s.settings.steps_pops is None]
        if not read:
            return {}
        targets = self.table.target.mean(axis=0)
        found = {}
        for reading in max(read, key=lambda s: s.number).readings:
            for region, value in reading.regions.items():
                if value.density is not None and region in self.table.aimed:
                    placed = placement_of_density(self.posterior, value.density)
                    if placed is not None:
                        found[region] = placed - float(targets[self.table.aimed.index(region)])
        return found


def placement_of_density(
    posterior: Posterior, density: float, layout: Layout | None = None
) -> float | None:
    """A density as stops from the mid-tone under the curve now believed; None past its ends.

    The curve is that behind the filter of a layout; left out, of the one believed in.
    """
    c = posterior.states(layout).curves
    low, high = float(c.dmin.mean()), float(c.dmax.mean())
    if not low + 0.02 < density < high - 0.02:
        return None
    curve = (float(c.contrast.mean()), float(c.asymmetry.mean()), low, high)
    return float(placement(density, *curve))


def size(stops: float) -> str:
    """The size of a difference in thirds, without its sign; a small one in words.

    Examples
    --------
    >>> size(-0.7), size(1.3), size(0.1)
    ('⅔', '1⅓', 'a little')
    """
    text = stops_text(abs(stops)).lstrip("+")
    return "a little" if text == "0" else text


def size_and_way(stops: float) -> str:
    """A difference as a photographer says it: ``⅔ lighter``.

    Examples
    --------
    >>> size_and_way(-1.0)
    '1 darker'
    """
    return f"{size(stops)} {'lighter' if stops > 0 else 'darker'}"
