"""Two aims against what the paper holds: how far apart, and what brings them together."""

from __future__ import annotations

import copy
from dataclasses import dataclass, replace

import numpy as np

from stillroom.advice import Policy, Search, Table, Trial
from stillroom.belief import Curves, Posterior, States
from stillroom.documents import answers
from stillroom.documents import book as doc
from stillroom.documents.contrast import ContrastWay
from stillroom.documents.on_lens import goes_with
from stillroom.exposure import BareMove, BareSettings, Layout
from stillroom.paper import (
    PRE_FLASH_MOST_STOPS,
    FillWay,
    FilterEffect,
    FilterWay,
    PreFlashWay,
    Way,
    placement,
    ways_to_fit,
)
from stillroom.paper.contrast import WORTH_STOPS, best_first
from stillroom.paper.printed_range import HIGHLIGHT_ABOVE_DMIN, SHADOW_SHARE_OF_NET_DMAX
from stillroom.quantity import FloatArray, Stops
from stillroom.services.contrast_words import way_text
from stillroom.services.ledger_names import filter_name
from stillroom.services.worktable import Worktable

PRE_FLASH_PLACES = 1
"""A pre-flash is told in tenths of a stop."""
ALTERNATIVE_WITHIN = 0.15
"""Another way is told where it lands hardly less likely than the advised one."""
CARD_SD_STOPS = 0.2
"""How far a card that was set by a meter may miss its lift (invented)."""
LEAST_ODDS = 0.02
"""What lands less likely than that is no way to set a sheet."""


_KINDS: dict[type[Way], str] = {
    FilterWay: "filter",
    PreFlashWay: "preflash",
    FillWay: "card",
}
"""What a way is called among efforts."""


@dataclass(frozen=True, slots=True)
class Apart:
    """Two aimed regions, the one that is wanted lightest and the one that is wanted darkest.

    Attributes
    ----------
    lighter, darker : str
        Which regions.
    lighter_stops : float
        Where the lighter one is wanted [stops from the mid-tone].
    aims_stops : float
        How far apart they are wanted [stops].
    light_stops, held_stops : FloatArray
        How far the light puts them apart, and what the paper holds, in each state (states,).
    """

    lighter: str
    darker: str
    lighter_stops: float
    aims_stops: float
    light_stops: FloatArray
    held_stops: FloatArray

    @property
    def asked_stops(self) -> float:
        """The larger of how far they are wanted apart and how far the light puts them [stops]."""
        return max(self.aims_stops, float(self.light_stops.mean()))

    @property
    def takes_stops(self) -> float:
        """What the paper holds, on average over the states [stops]."""
        return float(self.held_stops.mean())

    @property
    def beyond_stops(self) -> float:
        """How far what is asked lies beyond what the paper holds; below 0 it fits [stops]."""
        return self.asked_stops - self.takes_stops

    @property
    def darker_fits_stops(self) -> float:
        """Where the darker one would just fit, the lighter one as wanted [stops]."""
        return self.lighter_stops - self.takes_stops


def held_stops(curves: Curves) -> FloatArray:
    """What the paper holds in each state (states,) [stops], between the ends of `tone_ends`.

    Parameters
    ----------
    curves : Curves
        Of the states, behind what is on the lens.
    """
    four = (curves.contrast, curves.asymmetry, curves.dmin, curves.dmax)
    span = curves.dmax - curves.dmin
    light = placement(curves.dmin + HIGHLIGHT_ABOVE_DMIN, *four)
    dark = placement(curves.dmin + SHADOW_SHARE_OF_NET_DMAX * span, *four)
    return np.asarray((light - dark)[:, 0])


def apart_by(table: Table, settings: BareSettings) -> Apart | None:
    """How far the lightest and the darkest aim lie apart; None with fewer than two."""
    if len(table.aimed) < 2:
        return None
    wanted = table.target.mean(axis=0)
    i, j = int(wanted.argmax()), int(wanted.argmin())
    deviation = table.deviations(table.light(settings), table.gains(settings))[0]
    placed = deviation + table.target
    return Apart(
        lighter=table.aimed[i],
        darker=table.aimed[j],
        lighter_stops=float(wanted[i]),
        aims_stops=float(wanted[i] - wanted[j]),
        light_stops=placed[:, i] - placed[:, j],
        held_stops=held_stops(table.states.curves),
    )


class Fitting:
    """What brings two aims together that lie further apart than the paper holds.

    Parameters
    ----------
    table : Worktable
        The sitting.
    standing : Settings
        How things stand, as a document says it.
    odds_table : Table
        What is believed, ready for trials.
    posterior : Posterior
        What is believed.
    stands : BareSettings
        How things stand, as the engine has it.
    policy : Policy
        How changes are weighed.
    fresh : bool
        Nothing has been set yet.
    """

    def __init__(
        self,
        table: Worktable,
        standing: doc.Settings,
        *,
        odds_table: Table,
        posterior: Posterior,
        stands: BareSettings,
        policy: Policy,
        fresh: bool,
    ) -> None:
        self._table = table
        self._standing = standing
        self._odds = odds_table
        self._posterior = posterior
        self._stands = stands
        self._policy = policy
        self._fresh = fresh

    def ways(self, apart: Apart) -> tuple[ContrastWay, ...]:
        """Each way with its odds, by what it leaves beyond the paper; empty where the two fit."""
        told = (self._told(way, apart) for way in self._candidates(apart))
        return tuple(one for one in told if one is not None)

    def alternatives(
        self, apart: Apart, best: Trial, most: int
    ) -> tuple[answers.Alternative, ...]:
        """Filter and pre-flash as other ways to set the next sheet, the least effort first.

        Those that land much less likely than the best without them, or only with another aim, are
        left out.
        """
        least = max(best.p_keeper - ALTERNATIVE_WITHIN, LEAST_ODDS)
        found: list[answers.Alternative] = []
        settable = [way for way in self._candidates(apart) if not isinstance(way, FillWay)]
        for candidate in sorted(settable, key=self._effort):
            if len(found) == most or self._aim(candidate, apart) is not None:
                continue  # each search takes a moment
            way = self._told(candidate, apart)
            if way is not None and way.settings is not None and way.p_keeper > least:
                found.append(
                    answers.Alternative(
                        settings=way.settings, p_keeper=way.p_keeper, text=way.text
                    )
                )
        return tuple(found)

    # ---- candidates -----------------------------------------------------------------------

    def _candidates(self, apart: Apart) -> list[Way]:
        """A filter changes what the paper holds; card and pre-flash bring the light together."""
        held, lighter = apart.takes_stops, apart.lighter_stops
        by_filter = ways_to_fit(
            apart.asked_stops,
            held,
            light_end_stops=lighter,
            filters=self._effects() if apart.beyond_stops >= WORTH_STOPS else (),
            most_fill_stops=0.0,
            most_pre_flash_stops=0.0,
        )
        has_flash = self._standing.pre_flash_stops is not None
        by_light = ways_to_fit(
            max(0.0, float(apart.light_stops.mean())),
            held,
            light_end_stops=lighter,
            most_pre_flash_stops=0.0 if has_flash else PRE_FLASH_MOST_STOPS,
        )
        return sorted((*by_filter, *by_light), key=best_first)

    def _effects(self) -> list[FilterEffect]:
        """What each filter would do, as it is believed now, against what is on the lens."""
        on_now, paper = self._standing.filter, self._table.paper
        usable = {
            one.id: one.grade
            for one in self._table.book.kit.filters
            if one.changes_contrast and goes_with(one, paper) and not one.retired
        }
        usable.pop(on_now or "", None)
        now = _Lens(self._odds.states, self._odds.layout)
        found = [_against(now, self._lens(name), name, grade) for name, grade in usable.items()]
        if on_now is not None:
            found.append(_against(now, self._lens(None), "", None))
        return found

    def _lens(self, filter_id: str | None) -> _Lens:
        layout = self._table.layout(self._with(filter=filter_id))
        return _Lens(self._posterior.states(layout), layout)

    def _with(self, **changes: object) -> doc.Settings:
        return self._standing.model_copy(update=changes)

    # ---- what each is worth ---------------------------------------------------------------

    def _told(self, way: Way, apart: Apart) -> ContrastWay | None:
        held, settings, aim = apart.takes_stops, None, self._aim(way, apart)
        said: dict[str, object]
        match way:
            case FilterWay():
                held /= way.detail_share
                settings, p_keeper = self._searched(self._with(filter=way.name or None), apart)
                said = {"kind": _KINDS[FilterWay], "filter": way.name or None}
            case PreFlashWay():
                below = round(way.below_mid_stops, PRE_FLASH_PLACES)
                if below < 0:
                    return None
                like = self._with(pre_flash_stops=below)
                settings, p_keeper = self._searched(like, apart, aim)
                said = {
                    "kind": _KINDS[PreFlashWay],
                    "below_mid_stops": below,
                    "lift_stops": way.lift_stops,
                }
            case FillWay():
                _, p_keeper = self._searched(self._standing, apart, aim, way.lift_stops)
                said = {
                    "kind": _KINDS[FillWay],
                    "fill_stops": way.fill_stops,
                    "lift_stops": way.lift_stops,
                }
            case _:  # pragma: no cover - there are no others
                raise AssertionError(way)
        said |= {
            "held_stops": held,
            "beyond_stops": way.beyond.value,
            "cost_stops": way.cost.value,
            "cost_sd_stops": way.cost.u,
            "detail_share": way.detail_share,
            "aim_stops": aim,
            "effort": self._effort(way),
            "settings": settings,
            "p_keeper": p_keeper,
            "text": way_text(way, apart.darker, held, self._called(way), aim),
        }
        return ContrastWay.model_validate(said)

    def _effort(self, way: Way) -> float:
        return self._policy.effort(_KINDS[type(way)])

    @staticmethod
    def _aim(way: Way, apart: Apart) -> float | None:
        """Where the darker one is to be aimed, where what lifts it leaves its aim behind."""
        if isinstance(way, FilterWay):
            return None
        wanted = apart.lighter_stops - apart.aims_stops
        fits = apart.darker_fits_stops - way.beyond.value
        return fits if fits > wanted + WORTH_STOPS else None

    def _searched(
        self,
        like: doc.Settings,
        apart: Apart,
        aim: float | None = None,
        card_stops: float | None = None,
    ) -> tuple[doc.Settings, float]:
        """The likeliest to land of settings like these, and its odds."""
        layout = _aimed(self._table.layout(like), apart.darker, aim)
        if card_stops is not None:
            layout = layout.with_moves([_card(apart.darker, card_stops)])
        odds = Table(self._posterior.states(layout), layout)
        trial = Search(odds, self._stands, self._policy, fresh=self._fresh).best()
        return self._table.document_settings(trial.settings, like), trial.p_keeper

    def _called(self, way: Way) -> str:
        name = way.name if isinstance(way, FilterWay) else ""
        found = next((x for x in self._table.book.kit.filters if x.id == name), None)
        return "" if found is None else filter_name(found)


def _card(region: str, lift_stops: float) -> BareMove:
    """A card or lamp that lifts one region by about so much."""
    return BareMove(
        name="card",
        label="a card nearer",
        sd_stops=CARD_SD_STOPS,
        regions=(region,),
        mean_stops=lift_stops,
    )


def _aimed(layout: Layout, region: str, placement_stops: float | None) -> Layout:
    """The same with another aim for a region, within its tolerance of before."""
    if placement_stops is None:
        return layout
    aim = replace(layout.aims[region], density=None, placement_stops=placement_stops)
    other = copy.copy(layout)
    other.aims = {**layout.aims, region: aim}
    return other


class _Lens:
    """What stands on the lens in a layout, as it is believed."""

    def __init__(self, states: States, layout: Layout) -> None:
        self.log_contrast = np.log(states.curves.contrast[:, 0])
        self.loss = np.zeros(states.count)
        for on in layout.kit.filters:
            off = states.theta[:, layout.index[f"filter/{on.id}/loss"]]
            self.loss = on.loss_stops + off


def _against(now: _Lens, then: _Lens, name: str, grade: int | None) -> FilterEffect:
    log = then.log_contrast - now.log_contrast
    loss = then.loss - now.loss
    return FilterEffect(
        grade=grade,
        loss=Stops(float(loss.mean()), float(loss.std())),
        contrast_factor=float(np.exp(log.mean())),
        contrast_log_sd=float(log.std()),
        name=name,
    )
