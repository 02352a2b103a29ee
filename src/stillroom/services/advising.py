"""Advice in what the hand turns: what to change, why, and how sure it is."""

from __future__ import annotations

import math
from dataclasses import replace

from stillroom.advice import NextSheet, Policy, Table, how_it_stands, next_sheet
from stillroom.documents import answers
from stillroom.documents import book as doc
from stillroom.exposure import ReadBy
from stillroom.quantity import Constants
from stillroom.services.changes import Set, changes_between
from stillroom.services.forecasts import forecast_of
from stillroom.services.good_until import with_end
from stillroom.services.metered import meter_at_hand
from stillroom.services.other_ways import OtherWays
from stillroom.services.pieces import last_was_piece, piece_advice, piece_cost, piece_unread
from stillroom.services.readings import is_read
from stillroom.services.reasons import Reasons
from stillroom.services.remembered import BeliefMemo
from stillroom.services.sharp import sharp_of
from stillroom.services.sittings import in_order_of_time
from stillroom.services.worktable import Worktable, worktable
from stillroom.sitter import region_name

MOST_CHANGES = 2
SPOILS_FROM = 0.02
"""Chances of missing under 1 in 50 are left out."""
WORTH_A_READING_SHEETS = 0.1
"""A meter reading is worth its minute when it saves so much of a sheet."""
METER_LEAST_SD_STOPS = 0.02


def advise(
    book: doc.Book,
    sitting_id: str,
    *,
    memo: BeliefMemo | None = None,
    constants: Constants | None = None,
) -> answers.Advice:
    """What to set for the next sheet of a sitting.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    memo : BeliefMemo, optional
        Where beliefs are remembered.
    constants : Constants, optional
        Meter constants.

    Returns
    -------
    Advice

    Raises
    ------
    UnknownName
        If the sitting or something it names is not in the book.
    """
    table = worktable(book, sitting_id, memo=memo, constants=constants)
    return _Adviser(table).advice()


def policy_of(sitting: doc.Sitting) -> Policy:
    """Her efforts and locks."""
    return Policy(
        efforts=dict(sitting.efforts),
        locks=frozenset(sitting.locks),
        most_changes=MOST_CHANGES,
    )


def policy_at(table: Worktable) -> Policy:
    """Her efforts and locks, and what sharpness asks."""
    return replace(policy_of(table.sitting), sharp=sharp_of(table.book, table.sitting))


class _Adviser:
    def __init__(self, table: Worktable) -> None:
        self.table = table
        self.sitting = table.sitting
        self.standing = table.standing()
        self.posterior = table.posterior()
        self.layout = self.posterior.layout
        self.policy = policy_at(table)
        self.last = (
            table.bare_settings(self.standing)
            if self.sitting.sheets or self.sitting.stands is not None
            else None
        )
        self.fresh = not self.sitting.sheets
        self.stands = how_it_stands(self.layout, self.last)
        self.odds_table = Table(self.posterior.states(), self.layout)

    def advice(self) -> answers.Advice:
        book = self.table.book
        waiting = self._stepped_unread() or piece_unread(self.sitting)
        planned = self.table.planned = next_sheet(
            self.posterior,
            last=self.last,
            policy=self.policy,
            read_by=read_by(book, self.sitting),
            stepped_allowed=waiting is None,
            piece=None if last_was_piece(self.sitting) else piece_cost(book, self.sitting),
        )
        settings = self.table.document_settings(planned.settings, self.standing)
        forecast = with_end(self.table, forecast_of(self.table, self.posterior, settings))
        reasons = Reasons(self.posterior, self.odds_table, self.stands, planned.settings)
        ways = OtherWays(self.table, self.standing, reasons, self.policy, fresh=self.fresh)
        missing = ways.missing(planned.best)
        piece = None if missing else self._piece(planned)
        never_lands = planned.stepped or (piece is not None and piece.first)
        return answers.Advice(
            sitting=self.sitting.id,
            sheet_number=forecast.sheet_number,
            mark=forecast.mark,
            settings=settings,
            forecast=forecast,
            changes=() if self.fresh else self._changes(reasons, settings),
            left_alone=() if self.fresh else reasons.left_alone(self.sitting.sheets),
            note=self._note(planned, forecast, waiting, piece),
            spoilers=() if never_lands else _spoilers(forecast),
            alternatives=ways.alternatives(planned, missing),
            stepped_sheet=None if missing else self._stepped(planned),
            not_yet_read=tuple(
                s.number for s in self.sitting.sheets if not is_read(s) and s.kept is None
            ),
            reachable=not missing,
            missing=missing,
            meter_first=self._meter_first(planned),
            piece=piece,
        )

    def _changes(self, reasons: Reasons, settings: doc.Settings) -> tuple[answers.Change, ...]:
        before, after = Set(self.standing, self.stands), Set(settings, reasons.planned)
        return changes_between(self.table, self.policy, before, after, reasons)

    # ---- what else ------------------------------------------------------------------------

    def _stepped(self, planned: NextSheet) -> doc.Settings | None:
        if planned.stepped_option is None:
            return None
        return self.table.document_settings(planned.stepped_option, self.standing)

    def _piece(self, planned: NextSheet) -> answers.PieceAdvice | None:
        if planned.piece is None:
            return None
        settings = self.table.document_settings(planned.best.settings, self.standing)
        return piece_advice(planned.piece, settings)

    def _stepped_unread(self) -> doc.Sheet | None:
        """A stepped sheet that waits to be read: another would teach the same."""
        sheets = self.sitting.sheets
        return next((s for s in sheets if s.settings.steps_pops and not is_read(s)), None)

    def _note(
        self,
        planned: NextSheet,
        forecast: answers.Forecast,
        waiting: doc.Sheet | None,
        piece: answers.PieceAdvice | None,
    ) -> str:
        if waiting is not None:
            mark = waiting.mark or f"sheet {waiting.number}"
            what = "stepped sheet" if waiting.piece is None else "test piece"
            return f"Read {mark} first, the {what}: until then this is a guess."
        if piece is not None and piece.first:
            return (
                f"Test piece first, at the {region_name(piece.region).lower()}: what it tells "
                "saves more than it costs."
            )
        if planned.stepped and planned.ahead is not None:
            return (
                "Stepped sheet first: its strips teach more than one plain sheet would. About "
                f"{planned.ahead.stepped.sheets:.1f} sheets to the first that lands, this one "
                f"counted in; {planned.ahead.plain.sheets:.1f} with a plain one first."
            )
        if forecast.p_keeper is not None and forecast.p_keeper < 0.3:
            return "More likely to miss than to land, and yet the best there is; it will teach."
        return "The settings likeliest to land."

    def _meter_first(self, planned: NextSheet) -> bool:
        """Whether one meter reading now would save paper: looked ahead as a sheet is."""
        meter = meter_at_hand(self.table.book.kit.meters)
        ahead = planned.ahead
        if self.sitting.meter_readings or self.sitting.sheets or meter is None or ahead is None:
            return False
        sd = math.hypot(max(meter.sd_stops, METER_LEAST_SD_STOPS), meter.bias_sd_stops)
        for role, flash in zip(self.layout.roles, self.layout.flash, strict=True):
            if flash:
                c, a = self.layout.incident_rows(self.stands, "key", [role])
                saved = ahead.now() - ahead.metered(c, a, sd).sheets
                return saved > WORTH_A_READING_SHEETS
        return False


def read_by(book: doc.Book, sitting: doc.Sitting) -> ReadBy:
    """How her sheets are read: as the last one was, else by a strip."""
    for other in reversed(in_order_of_time(book)):
        if (other.when, other.id) > (sitting.when, sitting.id):
            continue
        for sheet in sorted(other.sheets, key=lambda s: -s.number):
            for reading in reversed(sheet.readings):
                if reading.by != "early_look":
                    return reading.by
    return "strip"


def _spoilers(forecast: answers.Forecast) -> tuple[answers.Spoiler, ...]:
    found = []
    for region, f in forecast.regions.items():
        if f.p_lands is None or f.aim is None or 1 - f.p_lands < SPOILS_FROM:
            continue
        darker = f.placement_stops.mean < f.aim.placement_stops
        found.append(
            answers.Spoiler(
                region=region, p_misses=1 - f.p_lands, likelier="darker" if darker else "lighter"
            )
        )
    return tuple(sorted(found, key=lambda s: -s.p_misses))
