"""Whether a second edge shows on the next sheet of a sitting, how long is safe, what helps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillroom.belief import Posterior
from stillroom.documents import book as doc
from stillroom.documents.ghost import (
    Ghost,
    GhostWay,
    Mixing,
    Modelling,
    RegionGhost,
    StateOdds,
    Walk,
)
from stillroom.documents.holding import Fires, Support
from stillroom.documents.kit import Room
from stillroom.errors import BadValue, in_range
from stillroom.light import OPENED_BY
from stillroom.services.ghost import (
    DARKEST_STOPS,
    TIMES_S,
    Asked,
    GhostLight,
    darker_stops,
    least_open_s,
    longest_s,
    moved_mm,
)
from stillroom.services.ghost_words import (
    NO_FLASH,
    NO_STEADY,
    darker_text,
    held_text,
    modelling_off_text,
    shorter_text,
    shows_sentence,
    too_long_by_hand,
    wanted_text,
)
from stillroom.services.remembered import BeliefMemo
from stillroom.services.stillness import Held, held_as, held_odds, whole_open_s
from stillroom.services.stillness_words import open_text
from stillroom.services.worktable import Worktable, worktable
from stillroom.sitter import SUPPORTS, region_name
from stillroom.sitter.sway import OPEN_RANGE_S

USUAL_ODDS = 0.9
"""Odds wanted that no second edge shows."""
WALK_S = 8.0
"""Cap off, to the chair, sit down; rise, walk back, cap on: four seconds each (invented)."""
ODDS_RANGE = (0.05, 0.99)
SHARE_RANGE = (0.01, 0.99)
WORTH_STATES = 6
_WALKS_TRIED = 13


@dataclass(frozen=True, slots=True)
class GhostAsked:
    """What may be asked otherwise than the sitting has it; None: as it has it.

    Attributes
    ----------
    open_s : float or None
        How long the lens is open, all openings together [s].
    room_state : str or None
        State of the room.
    odds : float
        Wanted that no second edge shows [1].
    modelling : bool
        Whether modelling lamps are on.
    away_s : float or None
        How long the sitter is not in place while it is open [s].
    mix : float or None
        Share of steady light that is wanted [1].
    support : str or None
        How the sitter is held.
    fires : str or None
        How the lens is opened.
    """

    open_s: float | None = None
    room_state: str | None = None
    odds: float = USUAL_ODDS
    modelling: bool = False
    away_s: float | None = None
    mix: float | None = None
    support: Support | None = None
    fires: Fires | None = None


def ghost(
    book: doc.Book,
    sitting_id: str,
    settings: doc.Settings,
    asked: GhostAsked | None = None,
    *,
    memo: BeliefMemo | None = None,
) -> Ghost:
    """Whether a second edge shows on the next sheet, and what would help.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings
        How the next sheet is set.
    asked : GhostAsked, optional
        What is asked otherwise than the sitting has it.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    Ghost

    Raises
    ------
    UnknownName
        If the sitting or something it names is not in the book.
    BadValue
        If no light is on, or the open time is none that can be reckoned with.
    OutOfRange
        If odds, share or time away lie outside their ranges.
    """
    asked = asked or GhostAsked()
    odds = in_range("odds", asked.odds, *ODDS_RANGE)
    table = worktable(book, sitting_id, memo=memo)
    held = held_as(book, table.sitting, support=asked.support)
    under = Asked(asked.room_state, asked.modelling)
    return _Answer(
        table, settings, held, posterior=table.posterior(), under=under, asked=asked, odds=odds
    ).whole()


class _Answer:
    """One answer in the making."""

    def __init__(
        self,
        table: Worktable,
        settings: doc.Settings,
        held: Held,
        *,
        posterior: Posterior,
        under: Asked,
        asked: GhostAsked,
        odds: float,
    ) -> None:
        self.table, self.settings, self.posterior = table, settings, posterior
        self.held, self.asked, self.odds = held, asked, odds
        self.light = self._light(under)
        self.fires = asked.fires or table.sitting.holding.fires
        self.longest = longest_s(self.light, odds) if self._both else None
        self.planned_s = self._planned_s()
        self.away_s = self._away_s()
        self.open_s = least_open_s(settings, self.fires, self.planned_s) + self.away_s
        by = OPENED_BY[self.fires] if self.fires else None
        self.sd_s = by.sd_of(self.open_s) if by else 0.0

    def _light(self, under: Asked) -> GhostLight:
        return GhostLight(self.table, self.settings, self.posterior, self.held, under)

    @property
    def _both(self) -> bool:
        return self.light.has_flash and self.light.has_steady and not self.held.is_card

    def _planned_s(self) -> float:
        asked_s = self.asked.open_s
        planned = float(whole_open_s(self.settings) if asked_s is None else asked_s)
        low, high = OPEN_RANGE_S
        if not low <= planned <= high:
            near = high if self.longest is None else self.longest
            safe = f"; no second edge shows {wanted_text(self.odds)} up to {open_text(near)}"
            raise BadValue(
                "open time",
                int(planned) if planned.is_integer() else planned,
                f"give a number from {low:.5f} to {high:g} s{safe if near else ''}",
            )
        return planned

    def _away_s(self) -> float:
        """How long nobody sits there while the lens is open [s]."""
        if self.asked.away_s is not None:
            return in_range("time away", self.asked.away_s, 0.0, OPEN_RANGE_S[1] / 2, "s")
        holding = self.table.sitting.holding
        by_hand = self.fires in ("cap_in_dark", "cap_in_light")
        return WALK_S if holding.is_self_portrait and by_hand else 0.0

    # ---- the parts --------------------------------------------------------------------------

    def whole(self) -> Ghost:
        """All of it."""
        regions = tuple(self._region(r) for r in self.light.regions)
        worst = max(regions, key=lambda r: r.p_shows)
        shows = worst.p_shows
        darker = 0.0
        if shows > 1 - self.odds:
            darker = darker_stops(self.light, self.open_s, self.odds, sd_s=self.sd_s)
        modelling = self._modelling()
        moved, _ = moved_mm(self.open_s, self.held)
        return Ghost(
            sitting=self.table.sitting.id,
            settings=self.settings,
            open_s=self.open_s,
            planned_s=self.planned_s,
            open_sd_s=self.sd_s,
            fires=self.fires,
            room_state=self._state,
            has_flash=self.light.has_flash,
            has_steady=self.light.has_steady,
            support=self.held.support,
            smear_mm=moved,
            allowed_mm=self.held.allowed_mm,
            regions=regions,
            p_shows=shows,
            odds=self.odds,
            longest_s=self.longest,
            darker_stops=darker,
            states=self._states(),
            modelling=modelling,
            walk=self._walk(),
            mixing=self._mixing(),
            ways=self._ways(shows, darker) if shows > 1 - self.odds else (),
            sentence=self._sentence(worst),
        )

    @property
    def _state(self) -> str:
        asked = self.asked.room_state
        return self.table.sitting.room_state if asked is None else asked

    def _region(self, region: str) -> RegionGhost:
        steps = self.light.steps(self.open_s, region)
        return RegionGhost(
            region=region,
            name=region_name(region),
            beside=self.light.beside(region),
            steady=self.light.spread(self.open_s, region),
            step_beside=float(np.median(steps.beside)),
            step_inside=float(np.median(steps.inside)),
            p_shows=self.light.p_shows(self.open_s, region, sd_s=self.sd_s),
        )

    def _states(self) -> tuple[StateOdds, ...]:
        room = room_of(self.table.book, self.table.sitting)
        if room is None or not self.light.has_flash:
            return ()
        lit_from_place = any(
            x.kind in ("room", "window", "daylight") for x in self.table.lights.values()
        )
        others = [s for s in room.states if s != self._state][:WORTH_STATES]
        return tuple(
            StateOdds(
                room_state=state,
                p_shows=self._light(Asked(state, self.asked.modelling)).worst(
                    self.open_s, sd_s=self.sd_s
                ),
            )
            for state in (others if lit_from_place else ())
        )

    def _modelling(self) -> Modelling | None:
        roles = self.light.modelling_roles
        if not roles:
            return None
        on = self._light(Asked(self.asked.room_state, modelling=True))
        lamps = on.modelling(self.open_s)
        _, every = on.parts(self.open_s)
        at = [on.layout.regions.index(r) for r in on.regions]
        return Modelling(
            roles=roles,
            are_on=self.asked.modelling,
            share=float((lamps / every).mean(axis=0)[at].max()),
            p_shows=on.worst(self.open_s, sd_s=self.sd_s),
        )

    def _walk(self) -> Walk | None:
        if self.away_s <= 0 or not self.light.has_flash:
            return None
        stays_s = self.open_s - self.away_s

        def through(away_s: float) -> tuple[float, str]:
            found = {
                r: self.light.p_through(stays_s + away_s, away_s, r) for r in self.light.regions
            }
            region = max(found, key=found.__getitem__)
            return found[region], region

        shows, region = through(self.away_s)
        tried = np.geomspace(0.5, 120.0, _WALKS_TRIED)
        over = [float(t) for t in tried if through(float(t))[0] > 1 - self.odds]
        under = [float(t) for t in tried if not over or t < over[0]]
        longest = None if not over else (under[-1] if under else 0.0)
        return Walk(
            away_s=self.away_s, region=region, p_shows_through=shows, longest_away_s=longest
        )

    def _mixing(self) -> Mixing | None:
        if self.asked.mix is None:
            return None
        wanted = in_range("share of steady light", self.asked.mix, *SHARE_RANGE)
        region = self.light.regions[0]
        shares = [float(self.light.share(float(t), region).mean()) for t in TIMES_S]
        open_s = None
        if self.light.has_steady and shares[0] < wanted <= shares[-1]:
            open_s = float(np.exp(np.interp(wanted, shares, np.log(TIMES_S))))
        p_held = None if open_s is None else float(held_odds(self.held)(open_s))
        return Mixing(wanted_share=wanted, region=region, open_s=open_s, p_held=p_held)

    def _ways(self, shows: float, darker: float) -> tuple[GhostWay, ...]:
        ways = []
        if self.asked.modelling:
            off = self._light(Asked(self.asked.room_state)).worst(self.open_s, sd_s=self.sd_s)
            ways.append(GhostWay(kind="modelling_off", p_shows=off, text=modelling_off_text(off)))
        if self.longest and self.longest < self.open_s:
            ways.append(self._shorter(self.longest))
        if 0 < darker < DARKEST_STOPS:
            ways.append(
                GhostWay(
                    kind="darker",
                    darker_stops=darker,
                    p_shows=1 - self.odds,
                    text=darker_text(darker, self.odds),
                )
            )
        stiller = SUPPORTS[SUPPORTS.index(self.held.support) + 1 :]
        if stiller:
            other = held_as(self.table.book, self.table.sitting, support=stiller[-1])
            left = self.light.worst(self.open_s, sd_s=self.sd_s, held=other)
            if left < shows:
                ways.append(
                    GhostWay(
                        kind="support",
                        support=stiller[-1],
                        p_shows=left,
                        text=held_text(stiller[-1], left),
                    )
                )
        return tuple(ways)

    def _shorter(self, longest: float) -> GhostWay:
        least = least_open_s(self.settings, self.fires, 0.0)
        text = shorter_text(longest, self.odds)
        if self.fires is not None and least > longest:
            text = too_long_by_hand(self.fires, least, longest)
        return GhostWay(kind="shorter", open_s=longest, p_shows=1 - self.odds, text=text)

    def _sentence(self, worst: RegionGhost) -> str:
        if not self.light.has_flash:
            return NO_FLASH
        if not self.light.has_steady:
            return NO_STEADY
        by_hand = self.open_s - self.away_s > self.planned_s * 1.001
        why = ", the shortest by hand" if by_hand and self.away_s <= 0 else ""
        return shows_sentence(worst.name, self.open_s, worst.p_shows, why)


def room_of(book: doc.Book, sitting: doc.Sitting) -> Room | None:
    """The room a sitting is in: as said, else the only one that is worked in."""
    named = next((r for r in book.kit.rooms if r.id == sitting.holding.room), None)
    used = [room for room in book.kit.rooms if not room.retired]
    return named or (used[0] if len(used) == 1 else None)
