"""The closed loop: one JSON object a line in, one a line out.

An outside simulator, or anybody's own script, speaks the bare ledger with the same engine that
the pages and the other commands use.
"""

from __future__ import annotations

import json
import traceback
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from stillroom.advice import NextSheet, Odds, PieceCost, Policy, Table, next_sheet, several_sheets
from stillroom.belief import (
    ODD_FROM,
    Belief,
    LaidMeterReading,
    LaidSheet,
    Posterior,
    compare,
    fold,
    numbered,
    opened,
)
from stillroom.documents.bare_ledger import (
    OPS,
    Begin,
    Chains,
    ForecastOp,
    Plan,
    Record,
)
from stillroom.documents.read import error_for, read_json
from stillroom.errors import (
    BadDocument,
    BadValue,
    NotPossible,
    OutOfRange,
    StillroomError,
    UnknownName,
)
from stillroom.exposure import (
    BareMeterReading,
    BarePast,
    BareReading,
    BareRegionReading,
    BareSettings,
    BareSheet,
    Layout,
    ReadBy,
)
from stillroom.quantity import FloatArray
from stillroom.services.odd_words import likeliest_slip_sentence

READ_BY: dict[str, ReadBy] = {"scan": "scan", "eye": "strip", "patch": "strip"}
"""By which method a density was read, in each mode; a verdict is always by words."""
SHOWN_QUANTILES = (0, 1, 3, 4)
"""Of the engine's five quantiles, those a forecast in the loop carries: 5, 25, 75, 95."""


class LoopSession:
    """One dialogue; `begin` starts afresh.

    Parameters
    ----------
    piece : PieceCost, optional
        What a test piece would cost. Without it, as whoever speaks the protocol has it, none is
        thought of; with it a plan says under ``piece`` where one saves more than it costs, to
        be recorded with that region alone.
    """

    def __init__(self, piece: PieceCost | None = None) -> None:
        self._piece = piece
        self._before = Belief.empty()
        self._sheets: list[BareSheet] = []
        self._meters: list[BareMeterReading] = []
        self._posterior: Posterior | None = None
        self._planned: NextSheet | None = None
        self._by: ReadBy = ""
        self._by_next: ReadBy = "scan"

    def answer(self, line: str | bytes) -> dict[str, Any]:
        """Answer one line; an error is an answer too, and the dialogue goes on."""
        try:
            return self._dispatch(read_json(line, "The line"))
        except StillroomError as error:
            return {"error": str(error)}

    def _dispatch(self, data: object) -> dict[str, Any]:
        if not isinstance(data, dict):
            raise BadDocument("The line is not a JSON object: send one object a line.")
        op = data.get("op")
        if not isinstance(op, str) or op not in OPS:
            raise BadValue("op", op, f"give one of {', '.join(OPS)}")
        try:
            message = OPS[op].model_validate_json(json.dumps(data), strict=True)
        except ValidationError as error:
            raise error_for(error, data) from None
        match message:
            case Begin():
                return self._begin(message)
            case Plan():
                return self._plan(message)
            case Record():
                return self._record(message)
            case ForecastOp():
                return {"forecast": self._forecast(self._legal(message.settings.bare()))}
            case Chains():
                return {"chains": self._chains()}
        raise AssertionError(op)  # pragma: no cover - every op above is matched

    # ---- the ops --------------------------------------------------------------------------

    def _begin(self, message: Begin) -> dict[str, Any]:
        kit = message.kit.bare()
        self._by = READ_BY[message.mode]
        self._by_next = "words" if message.mode == "eye" else self._by
        past = [_read_by(p.bare(), self._by) for p in message.past]
        layout = Layout(kit, numbered(message.sitting.bare(), past))
        for earlier in past:
            laid = Layout(kit, earlier.sitting)
            made = [s.settings for s in earlier.sheets]
            for settings in made + [m.settings for m in earlier.meter_readings]:
                _check_settings(laid, settings)
        meters = [m.bare() for m in message.meter_readings]
        for metered in meters:
            _check_settings(layout, metered.settings)
        before = opened(fold(kit, past), layout)
        posterior = _posterior(before, layout, [], meters)
        self._before, self._sheets, self._meters = before, [], meters
        self._posterior, self._planned = posterior, None
        return {"ok": True}

    def _plan(self, message: Plan) -> dict[str, Any]:
        planned = self._next()
        if message.count > 1:
            pair = several_sheets(self._now(), planned, message.count)
            return {
                "settings": [_settings(s) for s in pair.settings],
                "forecast": {
                    "p_any": round(pair.p_any, 6),
                    "sheets": [self._forecast(s) for s in pair.settings],
                },
                "note": f"{message.count} sheets before any is seen",
            }
        note = "the settings likeliest to land"
        if planned.stepped:
            note = "stepped sheet first: it teaches more than it costs"
        elif planned.odds.p_keeper < LOW_ODDS:
            note = "the likeliest to land, though it is more likely to miss"
        return {
            "settings": _settings(planned.settings),
            "forecast": None if planned.stepped else _forecast(planned.odds),
            "note": note,
            **_piece(planned),
        }

    def _record(self, message: Record) -> dict[str, Any]:
        sheet = _sheet_read_by(message.bare(), self._by)
        self._legal(sheet.settings)
        layout = self._open()
        trial = [*self._sheets, sheet]
        posterior = _posterior(self._before, layout, trial, self._meters)
        odd: str | bool = False
        if posterior.p_spoiled(len(trial) - 1) > ODD_FROM:
            odd = _odd(self._now(), posterior, LaidSheet(layout, sheet), len(trial))
        self._sheets = trial
        self._posterior, self._planned = posterior, None
        return {"ok": True, "odd": odd}

    def _forecast(self, settings: BareSettings) -> dict[str, Any] | None:
        if settings.steps_pops is not None:
            return None
        posterior = self._now()
        return _forecast(Table(posterior.states(), posterior.layout).odds(settings))

    def _chains(self) -> list[dict[str, Any]]:
        """The paper's speed, and each source at each region at full and the defaults [stops]."""
        layout = self._open()
        belief = self._now().belief
        sitting = layout.sitting
        at = belief.positions([f"paper/{sitting.paper}/speed"])[0]
        found = [_chain("paper", belief.mean[at], belief.covariance[at, at])]
        settings = BareSettings({}, sitting.f_default, 1, sitting.seconds_default)
        rows = layout.rows(settings)
        names = belief.positions(t.name for t in layout.terms)
        mean, covariance = belief.mean[names], belief.covariance[names][:, names]
        for i, region in enumerate(layout.regions):
            for j, role in enumerate(layout.roles):
                a: FloatArray = rows.a[0, i, j]
                value = float(rows.c[0, i, j] + a @ mean)
                found.append(_chain(f"{role}@{region}", value, float(a @ covariance @ a)))
        return found

    # ---- state ----------------------------------------------------------------------------

    def _open(self) -> Layout:
        return self._now().layout

    def _now(self) -> Posterior:
        if self._posterior is None:
            raise NotPossible("No sitting has begun: send a line with op begin first.")
        return self._posterior

    def _next(self) -> NextSheet:
        if self._planned is None:
            posterior = self._now()
            last = self._sheets[-1].settings if self._sheets else None
            self._planned = next_sheet(
                posterior,
                last=last,
                policy=Policy(),
                read_by=self._by_next,
                piece=self._piece,
            )
        return self._planned

    def _legal(self, settings: BareSettings) -> BareSettings:
        _check_settings(self._open(), settings)
        return settings


def _odd(before: Posterior, after: Posterior, laid: LaidSheet, number: int) -> str:
    """What is odd about a sheet, with the slips that would explain it best."""
    compared = compare(before, laid)
    if compared is not None and compared.likeliest():
        return likeliest_slip_sentence(compared, number)
    shift = after.shift(number - 1)
    way = "lighter" if shift > 0 else "darker"
    return (
        f"Sheet {number} came out {abs(shift):.1f} stops {way} than everything else "
        "says; it is held apart as spoiled or mis-set."
    )


def _posterior(
    before: Belief, layout: Layout, sheets: list[BareSheet], meters: list[BareMeterReading]
) -> Posterior:
    """What is believed with these sheets and meter readings, each checked against the layout."""
    laid = [LaidSheet(layout, s) for s in sheets]
    return Posterior(before, layout, laid, [LaidMeterReading(layout, m) for m in meters])


LOW_ODDS = 0.3
SLACK = 1e-3
"""What writing a third of a stop or an f-number with few places leaves behind."""


def _check_settings(layout: Layout, settings: BareSettings) -> None:
    """Refuse settings that this kit cannot be set to."""
    for role, stops in settings.dial_stops.items():
        dial = layout.dials.get(role)
        if dial is None:
            raise UnknownName("light with a dial", role, layout.dials)
        if not dial.min_stops - SLACK <= stops <= dial.max_stops + SLACK:
            name = f"dial_stops of {role}"
            raise OutOfRange(name, stops, dial.min_stops, dial.max_stops, "stops")
    marks = layout.f_numbers
    if not any(abs(n / settings.f_number - 1) < SLACK for n in marks):
        choices = ", ".join(f"{n:g}" for n in marks)
        raise BadValue("f_number", settings.f_number, f"the lens has {choices}; give one of them")


def converse(lines: Iterable[str | bytes]) -> Iterator[str]:
    """Answer lines until they end, whatever they are."""
    session = LoopSession()
    for line in lines:
        if not line.strip():
            continue
        try:
            answer = json.dumps(session.answer(line), allow_nan=False)
        except Exception as error:  # noqa: BLE001  (one sitting's fault must not end thousands)
            traceback.print_exc()
            what = type(error).__name__
            answer = json.dumps(
                {"error": f"This line met a fault of ours ({what}); it is told on standard error."}
            )
        yield answer


def _read_by(past: BarePast, by: ReadBy) -> BarePast:
    return replace(past, sheets=tuple(_sheet_read_by(s, by) for s in past.sheets))


def _sheet_read_by(sheet: BareSheet, by: ReadBy) -> BareSheet:
    """The sheet with its densities said to be read by a method, where nothing was said."""

    def told(regions: Mapping[str, BareRegionReading]) -> dict[str, BareRegionReading]:
        return {
            r: replace(v, by=by) if v.density is not None and not v.by else v
            for r, v in regions.items()
        }

    if sheet.reading is None:
        return sheet
    strips = tuple((step, told(regions)) for step, regions in sheet.reading.strips)
    return replace(sheet, reading=BareReading(told(sheet.reading.regions), strips))


def _settings(settings: BareSettings) -> dict[str, Any]:
    steps = settings.steps_pops
    return {
        "dial_stops": dict(settings.dial_stops),
        "f_number": settings.f_number,
        "pops": settings.pops,
        "seconds": settings.seconds,
        "steps_pops": None if steps is None else list(steps),
    }


def _piece(planned: NextSheet) -> dict[str, Any]:
    """A test piece that saves more than it costs; nothing where none is thought of."""
    piece = planned.piece
    if piece is None:
        return {}
    return {
        "piece": {
            "region": piece.seen.region,
            "settings": _settings(planned.best.settings),
            "first": piece.is_first,
        }
    }


def _forecast(odds: Odds) -> dict[str, Any]:
    found: dict[str, Any] = {"p_keeper": round(odds.p_keeper, 6) if odds.regions else None}
    for region, d in odds.regions.items():
        found[region] = {
            "dev_mean": round(d.mean, 6),
            "dev_sd": round(d.sd, 6),
            "q": [round(d.quantiles[i], 6) for i in SHOWN_QUANTILES],
        }
    return found


def _chain(name: str, mean: float, variance: float) -> dict[str, Any]:
    return {"name": name, "mean": round(float(mean), 6), "sd": round(float(variance) ** 0.5, 6)}
