"""Several sheets made before any is seen: alike, or spread by the quickest knob.

In one state of the world sheets scatter on their own, so the chance that none of them lands is
the product of their chances of missing, averaged over the states. Settings about the best
single sheet make up a library, each with its chance of missing state by state; sets are picked
from it by turns: one sheet of the set after the other is changed for whichever setting helps
most, until none does. Every set is judged on the same states. A sheet later in a set finds the
baths more tired by those before it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations

import numpy as np

from stillroom.advice.odds import Table
from stillroom.advice.plan import NextSheet, how_it_stands
from stillroom.advice.policy import TIE, Policy
from stillroom.advice.search import MOST_POPS, QUIET_SHARE
from stillroom.advice.ways import Library, Way
from stillroom.belief import Posterior
from stillroom.errors import in_range
from stillroom.exposure import BareSettings

MOST_TOGETHER = 4
"""Sheets that may be planned before any is seen."""
OFFSETS_STOPS = (0.2, 0.3, 0.45, 0.6, 0.8, 1.0, 1.25, 1.5)
"""Turns of one knob that are tried, either way."""
CAMERA = frozenset({"stop", "pops", "seconds"})
COARSE_STATES = 400
GROWN = 2
"""How often the library grows by what lies about the sets picked from it."""
COARSE_SLACK = 0.01
"""How much better a set may turn out when it is looked at closely."""
ORDER_SLACK = 0.002
"""Odds an order may cost for fewer turns: what an even belief of the baths makes of any order."""
LOOKED_AT = 4
"""Sets of each number that are looked at closely, those of the least effort first."""


@dataclass(frozen=True, slots=True)
class Together:
    """Sheets made before any is seen.

    Attributes
    ----------
    settings : tuple of BareSettings
        One for each sheet, in the order in which least is turned unless tiring baths ask for
        another.
    p_any : float
        Chance that every aimed region lands on one sheet at least.
    p_alike : float
        The same, were all of them made like the best single one.
    landed : float
        How many of them are expected to land.
    """

    settings: tuple[BareSettings, ...]
    p_any: float
    p_alike: float
    landed: float


def several_sheets(
    posterior: Posterior,
    first: NextSheet,
    count: int,
    *,
    last: BareSettings | None = None,
    policy: Policy | None = None,
) -> Together:
    """Settings for `count` sheets made before any is seen.

    Parameters
    ----------
    posterior : Posterior
        What is believed now.
    first : NextSheet
        What is planned for one sheet; the search begins at its best plain one.
    count : int
        How many sheets, 1 to 4.
    last : BareSettings, optional
        How the last sheet was made; without it only turns between the sheets cost effort.
    policy : Policy, optional
        Locks and efforts; the usual ones unless given.

    Returns
    -------
    Together
        With one sheet, the best single one.

    Raises
    ------
    OutOfRange
        If there are fewer or more.
    """
    in_range("sheets", count, 1, MOST_TOGETHER)
    return sheets_together(posterior, first, last=last, policy=policy, most=count)[-1]


def sheets_together(
    posterior: Posterior,
    first: NextSheet,
    *,
    last: BareSettings | None = None,
    policy: Policy | None = None,
    most: int = MOST_TOGETHER,
) -> tuple[Together, ...]:
    """The set of one sheet, of two, and so on up to `most`; the odds never fall.

    Parameters
    ----------
    posterior, first, last, policy
        As for `several_sheets`.
    most : int
        The largest set, 1 to 4.

    Returns
    -------
    tuple of Together
        One for each number of sheets, from 1.
    """
    layout = posterior.layout
    tables = [Table(posterior.states(), layout.at_sheet(layout.nth + n)) for n in range(most)]
    stands = None if last is None else how_it_stands(layout, last)
    return _Sets(tables, first.best.settings, stands, policy or Policy()).best(most)


@dataclass(frozen=True, slots=True)
class _Set:
    ways: tuple[Way, ...]
    p_any: float
    changes: int
    """Most knobs to turn before any one sheet."""
    effort: float


class _Sets:
    """The search for sets of every number."""

    def __init__(
        self,
        tables: Sequence[Table],
        base: BareSettings,
        stands: BareSettings | None,
        policy: Policy,
    ) -> None:
        self._table, self._settings, self._policy = tables[0], base, policy
        self._roles = self._free_roles()
        self._base = self._way(base)
        self._stands = None if stands is None else self._way(stands)
        self._locked = policy.locks
        coarse = [table.thinned(COARSE_STATES) for table in tables]
        self._coarse = Library(coarse, base, self._roles, is_exact=False)
        self._exact = Library(tables, base, self._roles, is_exact=True)

    def best(self, most: int) -> tuple[Together, ...]:
        """The set of each number up to `most`."""
        found = [self._set((self._base,))]
        if most > 1:
            self._grow(most)
            for rough in self._families(most).values():
                found.append(self._chosen(self._close(rough), found[-1]))
        return tuple(self._together(one) for one in found)

    # ---- what can be turned ---------------------------------------------------------------

    def _free_roles(self) -> tuple[str, ...]:
        """Dials that are not locked and bear on an aimed region."""
        table, dials = self._table, self._settings.dial_stops
        light = table.light(self._settings) * np.exp2(table.gains(self._settings)[0])
        aimed = light[:, table.rows].mean(axis=0)
        shares = (aimed / aimed.sum(axis=1, keepdims=True)).max(axis=0)
        return tuple(
            role
            for role, share in zip(table.layout.roles, shares, strict=True)
            if role in dials
            and role not in self._policy.locks
            and share >= QUIET_SHARE
            and len(table.layout.dials[role].steps()) > 1
        )

    def _way(self, settings: BareSettings) -> Way:
        dials = tuple(settings.dial_stops.get(role, 0.0) for role in self._roles)
        return Way(settings.f_number, settings.pops, settings.seconds, dials)

    def _about(self, way: Way) -> list[Way]:
        """Everything one knob, or all dials together, can do from one way of setting."""
        found = [way]
        for i, role in enumerate(self._roles):
            for dial in self._turns(role, way.dials[i]):
                dials = (*way.dials[:i], dial, *way.dials[i + 1 :])
                found.append(Way(way.f_number, way.pops, way.seconds, dials))
        found += [
            Way(way.f_number, way.pops, way.seconds, dials)
            for dials in zip(
                *(self._turns(role, d) for role, d in zip(self._roles, way.dials, strict=True)),
                strict=True,
            )
        ]
        layout, far = self._table.layout, OFFSETS_STOPS[-1] + 1e-9
        stops = () if "stop" in self._locked else layout.f_numbers
        pops = () if "pops" in self._locked else range(1, MOST_POPS + 1)
        times = () if "seconds" in self._locked else layout.sitting.seconds_choices
        found += [
            Way(f, way.pops, way.seconds, way.dials)
            for f in stops
            if 2 * abs(math.log2(f / way.f_number)) <= far
        ]
        found += [
            Way(way.f_number, n, way.seconds, way.dials)
            for n in pops
            if abs(math.log2(n / way.pops)) <= far
        ]
        found += [
            Way(way.f_number, way.pops, t, way.dials)
            for t in times
            if abs(math.log2(t / way.seconds)) <= far
        ]
        return found

    def _turns(self, role: str, dial: float) -> list[float]:
        """Where a dial is tried: on its steps, nearest to each offset."""
        steps = self._table.layout.dials[role].steps()
        offsets = np.concatenate([OFFSETS_STOPS, np.negative(OFFSETS_STOPS)])
        nearest = np.abs(steps - (dial + offsets)[:, None]).argmin(axis=1)
        return [round(float(d), 10) + 0.0 for d in steps[nearest]]

    # ---- picking --------------------------------------------------------------------------

    def _grow(self, most: int) -> None:
        """Fill the coarse library about the best single sheet, and about what is picked."""
        library = self._coarse
        library.add(self._about(self._base))
        for _ in range(GROWN):
            sets = library.best_sets(most, np.arange(len(library.ways)))
            picked = {i for one in sets.values() for i in one}
            size = len(library.ways)
            # All in one go, for each call asks every camera setting anew.
            library.add([w for i in sorted(picked) for w in self._about(library.ways[i])])
            if len(library.ways) == size:
                break

    def _families(self, most: int) -> dict[int, list[_Set]]:
        """By number, sets that turn no knob, one, two or any: the best of each kind, nearly."""
        library = self._coarse
        turned = [way.turned(self._base, self._roles) for way in library.ways]
        knobs = sorted(frozenset().union(*turned))
        kinds = [frozenset(c) for n in (0, 1, 2) for c in combinations(knobs, n)]
        found: dict[int, dict[tuple[Way, ...], _Set]] = {n: {} for n in range(2, most + 1)}
        for kind in [*kinds, frozenset(knobs)]:
            allowed = np.array([i for i, t in enumerate(turned) if t <= kind])
            for count, picked in library.best_sets(most, allowed).items():
                one = self._ordered([library.ways[i] for i in picked], library)
                found[count][one.ways] = one
        return {count: list(sets.values()) for count, sets in found.items()}

    def _close(self, rough: Sequence[_Set]) -> list[_Set]:
        """The sets that may be chosen, computed on every state."""
        best = max(one.p_any for one in rough)
        near = [one for one in rough if one.p_any >= best - TIE - COARSE_SLACK]
        near.sort(key=lambda one: (one.effort, -one.p_any))
        likeliest = sorted(near, key=lambda one: -one.p_any)[:2]
        looked_at = dict.fromkeys([*near[:LOOKED_AT], *likeliest])
        self._exact.add([way for one in looked_at for way in one.ways])
        close = [self._set(one.ways) for one in looked_at]
        library = self._exact
        every = np.arange(len(library.ways))
        best_close = max(close, key=lambda one: one.p_any)
        at = library.picked([library.at[way] for way in best_close.ways], every)
        return [*close, self._set([library.ways[i] for i in at])]

    def _chosen(self, sets: Sequence[_Set], fewer: _Set) -> _Set:
        """Best odds, within a tie the least effort; never worse than with a sheet fewer."""
        longer = [(*fewer.ways, way) for way in dict.fromkeys(fewer.ways)]
        more = [self._set(ways) for ways in longer]
        sets = [*sets, *more, *(self._in_order(ways, self._exact) for ways in longer)]
        most = self._policy.most_changes
        if most is not None:
            usual = 0 if self._stands is None else len(self._turned(self._stands, self._base))
            few = [one for one in sets if one.changes <= max(most, usual)]
            gain = self._policy.worth_more
            if few and max(o.p_any for o in few) > max(o.p_any for o in sets) - gain:
                sets = few
        good = max(max(one.p_any for one in sets) - TIE, fewer.p_any)
        return min(
            (one for one in sets if one.p_any >= good),
            key=lambda one: (one.effort, -one.p_any),
        )

    # ---- what a set is worth --------------------------------------------------------------

    def _set(self, ways: Sequence[Way]) -> _Set:
        self._exact.add(ways)
        return self._ordered(ways, self._exact)

    def _ordered(self, ways: Sequence[Way], library: Library) -> _Set:
        """In the order in which the least is turned, of those that hardly cost any odds."""
        orders = [self._in_order(o, library) for o in sorted(set(permutations(ways)))]
        best = max(one.p_any for one in orders)
        return min(
            (one for one in orders if one.p_any >= best - ORDER_SLACK),
            key=lambda one: one.effort,
        )

    def _in_order(self, order: Sequence[Way], library: Library) -> _Set:
        hops = [len(self._turned(a, b)) for a, b in self._hops(order)]
        p_any = library.p_any([library.at[way] for way in order])
        return _Set(tuple(order), p_any, max(hops, default=0), round(self._effort(order), 6))

    def _hops(self, order: Sequence[Way]) -> list[tuple[Way, Way]]:
        start = [] if self._stands is None else [self._stands]
        return list(pairwise([*start, *order]))

    def _effort(self, order: Sequence[Way]) -> float:
        return sum(
            self._policy.effort(knob if knob in CAMERA else "dial")
            for a, b in self._hops(order)
            for knob in self._turned(a, b)
        )

    def _turned(self, a: Way, b: Way) -> frozenset[str]:
        return a.turned(b, self._roles)

    def _together(self, one: _Set) -> Together:
        library, count = self._exact, len(one.ways)
        library.add([self._base])
        at = [library.at[way] for way in one.ways]
        alike = library.p_any([library.at[self._base]] * count)
        landed = float((1 - library.missed(at)).mean(axis=1).sum())
        settings = tuple(library.settings(way) for way in one.ways)
        return Together(settings, one.p_any, alike, landed)
