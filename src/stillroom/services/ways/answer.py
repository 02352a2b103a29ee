"""The whole answer about another camera."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from stillroom.advice import TIE, Table
from stillroom.documents import book as doc
from stillroom.documents.thing import Thing
from stillroom.documents.to_domain import batch_of, lens_of, named
from stillroom.documents.ways import OutOfFrame, Price, Way, Ways
from stillroom.errors import NotPossible
from stillroom.quantity import Constants
from stillroom.services.advising import policy_of
from stillroom.services.cautions import no_flash_wanted
from stillroom.services.daylight_asked import REGION
from stillroom.services.focus_asked import focus_asked
from stillroom.services.focusing import floor_marks
from stillroom.services.ledger_names import paper_name
from stillroom.services.remembered import BeliefMemo
from stillroom.services.ways.asked import Asked, Other, other_of, seat_asked
from stillroom.services.ways.carried import InUse, carried
from stillroom.services.ways.choices import Stood
from stillroom.services.ways.firing import Fired, fired
from stillroom.services.ways.ground import Ground
from stillroom.services.ways.hours import Hours, best_hours
from stillroom.services.ways.limits import Limits
from stillroom.services.ways.piece import piece_on_sheet
from stillroom.services.ways.price import (
    NO_MORE_STOPS,
    exact,
    in_focus,
    price,
    shown,
)
from stillroom.services.ways.search import Exact, Search
from stillroom.services.ways.sets import on_other, sets_of, stood_so
from stillroom.services.ways.words import (
    changes,
    detail,
    headline,
    is_deep,
    modifier_called,
    not_possible,
    part_headline,
    pays,
    title,
    why,
)
from stillroom.services.worktable import Worktable, worktable

MOST_WAYS = 5
MOST_ALIKE = 2
"""So many ways with the same things are told: they differ by their stop."""
DEPTH_TIE = 1.05
"""Depths that differ by less are alike (ours)."""
MOST_BEYOND = 2
"""So many of those that are not possible are told."""
Named = TypeVar("Named", bound=Thing)


@dataclass(frozen=True, slots=True, eq=False)
class _Judged:
    """A way with what its heads and the picture's edge say."""

    way: Exact
    ground: Ground
    fired: Fired
    clear_mm: float | None
    beyond: str
    """Why it is not possible; empty where it is."""


def ways(
    book: doc.Book,
    asked: Asked,
    *,
    memo: BeliefMemo | None = None,
    constants: Constants | None = None,
) -> Ways:
    """What another camera asks, and ways to the same aims there.

    Parameters
    ----------
    book : Book
        The whole book.
    asked : Asked
        What is asked.
    memo : BeliefMemo, optional
        Where beliefs are remembered.
    constants : Constants, optional
        Meter constants.

    Returns
    -------
    Ways
        Five ways at most, the cheapest first; those that are not possible last.

    Raises
    ------
    UnknownName
        If something asked about is not in the book.
    BadValue
        If it cannot be done; the sentence tells the nearest that can.
    NotPossible
        If there is no light at all.
    """
    other = other_of(book, asked)
    table = worktable(book, asked.sitting, memo=memo, constants=constants)
    return _Answer(table, other).ways()


class _Answer:
    def __init__(self, table: Worktable, other: Other) -> None:
        self.table = table
        self.other = other
        self.asked = other.asked
        self.standing = table.standing()
        self.stood: Stood = stood_so(other, self.standing)
        self.posterior = table.posterior()
        self.f_now = exact(other.in_use.lens, self.standing.f_number)
        self.limits = Limits(other, self.f_now)
        self.policy = policy_of(table.sitting)
        self.batch = batch_of(named("paper", other.other.sitting.paper, other.book.papers))
        self.key = next(x for x in self.stood.lights if x.role == self.stood.key)

    def ways(self) -> Ways:
        grounds, hours = self._grounds()
        search = Search(grounds, self.limits, self.policy, self.standing)
        judged = [self._judged(way, grounds) for way in search.exact()]
        if not judged:
            raise NotPossible(
                "No light can be set for that camera: name a seat by a window with --at."
            )
        chosen = _chosen(judged)
        possible = [j for j in chosen if not j.beyond]
        first = (possible or chosen)[0]
        told = tuple(
            self._told(rank, one, first, possible, hours) for rank, one in enumerate(chosen, 1)
        )
        other, viewing = self.other, self.other.viewing
        hand, wall = (
            price(other, view, self.standing.f_number, self.posterior, self.batch)
            for view in ("in_the_hand", "on_the_wall")
        )
        mine = hand if viewing == "in_the_hand" else wall
        there = other.other
        mark = mine.f_number or max(there.lens.f_numbers)
        book = on_other(other, first.way.lit, first.way.document)
        return Ways(
            sitting=self.asked.sitting,
            paper=paper_name(named("paper", there.sitting.paper, other.book.papers)),
            viewing=viewing,
            in_use=shown(other, other.in_use, self.standing.f_number, self.f_now),
            other=shown(other, there, mark, exact(there.lens, mark)),
            framing=there.sitting.framing,
            in_the_hand=hand,
            on_the_wall=wall,
            headline=self._headline(mine, judged, first, is_possible=bool(possible)),
            floor=floor_marks(focus_asked(other.book, there.sitting.id, f_number=mark)),
            out_of_frame=self._frame(grounds),
            ways=told,
            tried=search.tried,
            carried=carried(other, self._in_use(), self.limits, first.way),
            piece=piece_on_sheet(other, book, first.way) if possible else None,
            nearest="" if possible else self._nearest(chosen[0]),
            modifiers=_once(m for j in chosen for m in j.way.lit.modifiers),
            hired=_once(h for j in chosen for h in j.way.lit.hired),
            cautions=(*other.cautions, *no_flash_wanted(other.book, there.sitting)),
        )

    def _grounds(self) -> tuple[list[Ground], Hours | None]:
        seat = seat_asked(self.other.book, self.asked)
        hours = None
        if seat is not None:
            lens = lens_of(self.other.other.lens)
            sitting = self.other.other.sitting
            hours = best_hours(self.other.book, seat, sitting, self.batch, lens)
        at: datetime | None = None if hours is None else hours.at
        found = sets_of(self.other, self.stood, seat, at)
        return [Ground(self.other, self.stood, lit, self.posterior) for lit in found], hours

    def _in_use(self) -> InUse:
        layout = self.table.layout(self.standing)
        settings = self.table.bare_settings(self.standing)
        return InUse(Table(self.posterior.states(layout), layout), settings, self.stood.key)

    # ---- judging ------------------------------------------------------------------------------

    def _judged(self, way: Exact, grounds: Sequence[Ground]) -> _Judged:
        ground = grounds[way.at]
        by_heads = fired(self.other.in_use.sitting, way)
        distance = way.lit.key_light.distance_m
        clear = ground.clear_mm(distance) if distance is not None and way.lit.together else None
        beyond = not_possible(self.other, way, by_heads.hinders, clear)
        return _Judged(way, ground, by_heads, clear, beyond)

    def _headline(
        self, price_now: Price, judged: Sequence[_Judged], first: _Judged, *, is_possible: bool
    ) -> str:
        """What it asks, and what pays for it; where nothing pays for all of it, that too."""
        if not is_possible:
            return price_now.sentence
        book, stands_m = self.other.book, self.key.distance_m
        deepest = _deepest([j for j in judged if not j.beyond])
        one = first.way if deepest is None else deepest.way
        if not is_deep(one) and price_now.stops > NO_MORE_STOPS:
            part = pays(book, one, stands_m, f"f/{one.mark:g}")
            return part_headline(price_now.sentence, part, one)
        return headline(price_now.sentence, pays(book, one, stands_m))

    def _nearest(self, nearest: _Judged) -> str:
        """What comes nearest where nothing is possible."""
        called = title(self.other.book, nearest.way)
        return f"No way reaches it. Nearest: {called}. {nearest.beyond}"

    # ---- telling ------------------------------------------------------------------------------

    def _told(
        self,
        rank: int,
        one: _Judged,
        first: _Judged,
        possible: Sequence[_Judged],
        hours: Hours | None,
    ) -> Way:
        way, book = one.way, self.other.book
        ways_possible = [j.way for j in possible]
        when = hours.text if hours is not None and way.lit.seat is not None else ""
        row = way.odds.aimed.index(REGION) if REGION in way.odds.aimed else 0
        aimed = bool(way.odds.aimed)
        return Way(
            rank=rank,
            feasible=not one.beyond,
            kind=way.lit.kind,
            title=title(book, way),
            detail=detail(way, when),
            why=one.beyond or why(rank, way, first.way, ways_possible),
            changes=tuple(changes(book, way, self.stood)),
            effort=way.effort,
            cost=way.cost,
            lights=way.lit.lights,
            settings=way.document,
            heads=one.fired.heads,
            heads_in_key=sum(
                x.kind == "head" and x.role in way.lit.together for x in way.lit.lights
            ),
            cloths_off=way.lit.cloths_off,
            distance_m=way.lit.key_light.distance_m,
            pops=way.settled.settings.pops,
            open_s=way.document.open_s,
            aims=tuple(way.odds.aimed),
            p_tones=way.settled.p_lands,
            reaches_stops=way.settled.off_stops[row] if aimed else 0.0,
            in_focus=in_focus(self.other.other, way.settled.settings.f_number, self.limits.circle),
            depth_share=way.depth_share,
            p_eye_sharp=way.p_eye,
            hold_s=way.hold_s,
            p_held=way.p_held,
            p_ghost=way.p_ghost,
            steady_share=way.settled.steady_share[row] if aimed else 0.0,
            p_all=way.p_all,
            firing=one.fired.firing,
            buy_ws=way.lit.buy_ws,
            when=when,
            out_of_frame=self._out(one.ground, way.lit.key_light.distance_m, one.clear_mm),
        )

    def _frame(self, grounds: Sequence[Ground]) -> OutOfFrame | None:
        """The key light as it stands, in the picture of the other camera."""
        ground = next((g for g in grounds if g.lit.together), None)
        if ground is None or self.key.distance_m is None:
            return None
        return self._out(ground, self.key.distance_m, ground.clear_mm(self.key.distance_m))

    def _out(
        self, ground: Ground, distance_m: float | None, clear_mm: float | None
    ) -> OutOfFrame | None:
        if distance_m is None or clear_mm is None:
            return None
        known = (*self.other.book.kit.modifiers, *ground.lit.modifiers)
        hung = [named("modifier", i, known) for i in ground.lit.key_light.modifiers]
        faces = [m for m in hung if m.width_m is not None]
        what = modifier_called(faces[-1]) if faces else "head"
        if clear_mm < 0:
            text = (
                f"The {what} enters the picture by {-clear_mm / 10:.0f} cm at {distance_m:.2f} m"
            )
        else:
            text = f"The {what} stays out by {clear_mm / 10:.0f} cm at {distance_m:.2f} m"
        return OutOfFrame(
            role=ground.lit.key,
            distance_m=distance_m,
            clear_mm=clear_mm,
            nearest_m=ground.nearest_m,
            text=f"{text}, if it stands half-way to the side.",
        )


def _once(things: Iterable[Named]) -> tuple[Named, ...]:
    """Each thing once, by its id."""
    return tuple({thing.id: thing for thing in things}.values())


def _chosen(judged: Sequence[_Judged]) -> list[_Judged]:
    """Five ways: possible ones by cost, few of them alike; then what is not possible.

    The cheapest that is as deep as the camera in use is always among them, else the deepest.
    """
    can = [j for j in judged if not j.beyond]
    deep = _deepest(can)
    possible = _few_alike(can, MOST_WAYS)
    if deep is not None and deep not in possible:
        possible = [*possible[: MOST_WAYS - 1], deep]
    told = {_things(j) for j in possible}
    nearest: dict[tuple[object, ...], _Judged] = {}
    for one in judged:
        if one.beyond and _things(one) not in told:
            nearest.setdefault(_things(one), one)
    if deep is None:
        return list(nearest.values())[:MOST_WAYS]
    # By how little it takes: what somebody would try first is worth a reason why not.
    last = sorted(nearest.values(), key=lambda j: (j.way.lit.kind == "mixed", j.way.effort))
    last = last[: max(1, min(MOST_BEYOND, MOST_WAYS - len(possible)))]
    room = MOST_WAYS - len(last)
    if len(possible) > room:
        possible = [*[j for j in possible if j is not deep][: room - 1], deep]
    return [*sorted(possible, key=lambda j: j.way.cost), *last]


def _deepest(can: Sequence[_Judged]) -> _Judged | None:
    """Of ways by cost the first that is as deep as the camera in use, else the deepest."""
    found = next((j for j in can if is_deep(j.way)), None)
    return found or max(can, key=lambda j: round(j.way.depth_share, 2), default=None)


def _things(one: _Judged) -> tuple[object, ...]:
    """What a way carries, whatever is turned."""
    return (one.way.group[0],)


def _few_alike(judged: Sequence[_Judged], most: int) -> list[_Judged]:
    """The first of them, none with the same things and stop; what gains nothing comes last."""
    better: list[_Judged] = []
    no_better: list[_Judged] = []
    for one in judged:
        alike = [two for two in better if _things(one) == _things(two)]
        if len(alike) >= MOST_ALIKE or any(one.way.mark == two.way.mark for two in alike):
            continue
        gains_nothing = any(_is_no_better(one.way, two.way) for two in better)
        (no_better if gains_nothing else better).append(one)
    found = better[:most]
    for one in no_better:
        if len(found) < most and all(_things(one) != _things(two) for two in found):
            found.append(one)
    return sorted(found, key=lambda j: j.way.cost)


def _is_no_better(way: Exact, cheaper: Exact) -> bool:
    """Whether a way costs more than another and gives nothing for it."""
    return (
        way.p_all <= cheaper.p_all + TIE
        and way.depth_share <= cheaper.depth_share * DEPTH_TIE
        and way.lit.buy_ws >= cheaper.lit.buy_ws
    )
