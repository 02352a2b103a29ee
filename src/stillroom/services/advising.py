"""Advice in what the hand turns: what to change, why, and how sure it is."""

from __future__ import annotations

import math

import numpy as np

from stillroom.advice import NextSheet, Policy, Table, Trial, how_it_stands, next_sheet
from stillroom.belief import Posterior
from stillroom.documents import answers
from stillroom.documents import book as doc
from stillroom.exposure import BareSettings
from stillroom.quantity import Constants, range_text, stops_text
from stillroom.services.forecasts import forecast_of
from stillroom.services.worktable import BeliefMemo, Worktable, worktable
from stillroom.sitter import region_name

MOST_CHANGES = 2
SPOILS_FROM = 0.02
"""Chances of missing under 1 in 50 are left out."""
OUT_OF_REACH = 0.1
ALTERNATIVE_WITHIN = 0.15
LIGHT_UNSURE_STOPS = 0.35
LOCKED_CAMERA = frozenset({"stop", "pops", "seconds"})
NEARER = (0.84, 0.71, 0.59)
"""Distances tried when nothing else reaches: a half, one and one and a half stops nearer."""


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


class _Adviser:
    def __init__(self, table: Worktable) -> None:
        self.table = table
        self.sitting = table.sitting
        self.standing = table.standing()
        self.posterior = table.posterior()
        self.layout = self.posterior.layout
        self.policy = policy_of(self.sitting)
        self.last = (
            table.bare_settings(self.standing)
            if self.sitting.sheets or self.sitting.stands is not None
            else None
        )
        self.fresh = not self.sitting.sheets
        self.stands = how_it_stands(self.layout, self.last)
        self.odds_table = Table(self.posterior.states(), self.layout)

    def advice(self) -> answers.Advice:
        waiting = self._stepped_unread()
        planned = next_sheet(
            self.posterior, last=self.last, policy=self.policy, stepped_allowed=waiting is None
        )
        settings = self.table.document_settings(planned.settings, self.standing)
        forecast = forecast_of(self.table, self.posterior, settings)
        missing = self._missing(planned.best)
        return answers.Advice(
            sitting=self.sitting.id,
            sheet_number=forecast.sheet_number,
            mark=forecast.mark,
            settings=settings,
            forecast=forecast,
            changes=() if self.fresh else self._changes(planned.settings, settings),
            left_alone=() if self.fresh else self._left_alone(planned.settings),
            note=self._note(planned, forecast, waiting),
            spoilers=() if planned.stepped else _spoilers(forecast),
            alternatives=self._alternatives(planned, missing),
            stepped_sheet=settings if planned.stepped else None,
            not_yet_read=tuple(
                s.number for s in self.sitting.sheets if not s.readings and s.kept is None
            ),
            reachable=not missing,
            missing=missing,
            meter_first=self._meter_first(),
        )

    # ---- what changes ---------------------------------------------------------------------

    def _changes(self, bare: BareSettings, settings: doc.Settings) -> tuple[answers.Change, ...]:
        changes = []
        for role, dial in bare.dial_stops.items():
            stood = self.stands.dial_stops.get(role, 0.0)
            if abs(dial - stood) > 1e-6:
                changes.append(self._dial_change(role, dial - stood, settings))
        camera = (
            (
                "f-number",
                "stop",
                self.standing.f_number,
                settings.f_number,
                -2 * math.log2(bare.f_number / self.stands.f_number),
            ),
            (
                "pops",
                "pops",
                self.standing.pops,
                settings.pops,
                math.log2(bare.pops / self.stands.pops),
            ),
            (
                "open time",
                "seconds",
                self.standing.open_s,
                settings.open_s,
                math.log2(bare.seconds / self.stands.seconds),
            ),
        )
        for knob, kind, before, now, stops in camera:
            if abs(before - now) > 1e-9:
                changes.append(
                    answers.Change(
                        knob=knob,
                        role=None,
                        from_value=before,
                        to_value=now,
                        stops=stops,
                        why=self._why_camera(kind, stops),
                        effort=self.policy.effort(kind),
                    )
                )
        changes.sort(key=lambda c: -abs(c.stops))
        return tuple(changes)

    def _dial_change(self, role: str, stops: float, settings: doc.Settings) -> answers.Change:
        before = self.standing.lights.get(role, doc.LightSetting()).dial
        head = self.table.heads[self.table.lights[role].kit_id or ""]
        now = settings.lights[role].dial
        return answers.Change(
            knob=f"{role} dial",
            role=role,
            from_value=head.dial.max if before is None else before,
            to_value=head.dial.max if now is None else now,
            stops=stops,
            why=self._why_dial(role),
            effort=self.policy.effort("dial"),
        )

    def _why_dial(self, role: str) -> str:
        """Which region the light is turned for: the aimed one it lights most."""
        shares = self._shares()
        aimed = self.odds_table.aimed
        j = self.layout.roles.index(role)
        region = aimed[int(shares[:, j].argmax())] if aimed else None
        if region is None or shares[:, j].max(initial=0.0) < 0.05:
            return "It lights a part that is not aimed, and that part would miss its tone."
        return self._where_it_would_fall(region)

    def _where_it_would_fall(self, region: str) -> str:
        deviation = self._deviation_as_it_stands()[region]
        name = region_name(region)
        if abs(deviation) < 1 / 6:
            return f"{name} would fall where it is wanted; this goes with the other change."
        way = "lighter" if deviation > 0 else "darker"
        return f"As it stood, {name.lower()} would fall {_size(deviation)} {way} than wanted."

    def _why_camera(self, kind: str, stops: float) -> str:
        short = [r for r, d in self._deviation_as_it_stands().items() if d < -1 / 3]
        if stops > 0 and short:
            names = " and ".join(region_name(r).lower() for r in short)
            return f"The dials alone would leave {names} darker than wanted."
        if kind == "stop":
            return "It moves every light alike; the dials do the rest."
        if kind == "pops":
            return "Pops move all flash alike and leave depth of field as it is."
        return "It moves the steady light and leaves the flash as it is."

    def _left_alone(self, bare: BareSettings) -> tuple[str, ...]:
        sentences = []
        scatter = self.odds_table.sheet_sd
        last = self._last_read()
        for region, deviation in self._deviation_as_it_stands().items():
            seen = last.get(region)
            if seen is None or abs(seen) < 1 / 6 or abs(deviation) > scatter:
                continue
            way = "lighter" if seen > 0 else "darker"
            sentences.append(
                f"{region_name(region)} came out {_size(seen)} {way} than wanted, but one sheet "
                f"alone scatters by {range_text(1.645 * scatter)}. Leave it."
            )
        if not sentences and bare == self.stands:
            sentences.append("Leave it. The next sheet will scatter by more than any change.")
        return tuple(sentences)

    def _last_read(self) -> dict[str, float]:
        """What the last sheet showed, in stops from the aim under the curve now believed."""
        read = [s for s in self.sitting.sheets if s.readings and s.settings.steps_pops is None]
        if not read:
            return {}
        regions: dict[str, float] = {}
        last = max(read, key=lambda s: s.number)
        targets = self.odds_table.target.mean(axis=0)
        for reading in last.readings:
            for region, value in reading.regions.items():
                if value.density is not None and region in self.odds_table.aimed:
                    i = self.odds_table.aimed.index(region)
                    placed = placement_of_density(self.posterior, value.density)
                    if placed is not None:
                        regions[region] = placed - float(targets[i])
        return regions

    def _deviation_as_it_stands(self) -> dict[str, float]:
        table = self.odds_table
        deviation = table.deviations(table.light(self.stands), table.gains(self.stands))
        means = deviation[0].mean(axis=0)
        return {r: float(d) for r, d in zip(table.aimed, means, strict=True)}

    def _shares(self) -> np.ndarray:
        table = self.odds_table
        light = table.light(self.stands)[:, table.rows] * np.exp2(table.gains(self.stands)[0])
        share = light / light.sum(axis=2, keepdims=True)
        return np.asarray(share.mean(axis=0))

    # ---- what else ------------------------------------------------------------------------

    def _stepped_unread(self) -> doc.Sheet | None:
        """A stepped sheet that waits to be read: another would teach the same."""
        sheets = self.sitting.sheets
        return next((s for s in sheets if s.settings.steps_pops and not s.readings), None)

    def _note(
        self, planned: NextSheet, forecast: answers.Forecast, waiting: doc.Sheet | None
    ) -> str:
        if waiting is not None:
            mark = waiting.mark or f"sheet {waiting.number}"
            return f"Read {mark} first, the stepped sheet: until then this is a guess."
        if planned.stepped:
            return (
                "Stepped sheet first: nothing is known of this paper yet, and its strips find "
                "the right exposure in one sheet more often than guessing does."
            )
        if forecast.p_keeper is not None and forecast.p_keeper < 0.3:
            return "More likely to miss than to land, and yet the best there is; it will teach."
        return "The settings likeliest to land."

    def _meter_first(self) -> bool:
        """Whether one meter reading now would tell more than paper: the light is the doubt."""
        if self.sitting.meter_readings or self.sitting.sheets or not self.table.book.kit.meters:
            return False
        belief = self.posterior.belief
        at = belief.positions(t.name for t in self.layout.terms)
        covariance = belief.covariance[np.ix_(at, at)]
        for role, flash in zip(self.layout.roles, self.layout.flash, strict=True):
            if flash:
                _, a = self.layout.incident_rows(self.stands, "key", [role])
                return math.sqrt(float(a[0] @ covariance @ a[0])) > LIGHT_UNSURE_STOPS
        return False

    def _missing(self, best: Trial) -> str:
        """What falls short when no setting reaches the aims; empty when one does."""
        if best.p_keeper >= OUT_OF_REACH:
            return ""
        table = self.odds_table
        settings = best.settings
        deviation = table.deviations(table.light(settings), table.gains(settings))[0]
        short = []
        for i, region in enumerate(table.aimed):
            middle = float(np.median(deviation[:, i]))
            if abs(middle) > table.aims.tol[i]:
                way = "lighter" if middle > 0 else "darker"
                short.append(f"{region_name(region).lower()} stays {_size(middle)} {way}")
        if not short:
            return ""
        return f"No dial reaches this: at the nearest, {' and '.join(short)} than wanted."

    def _alternatives(self, planned: NextSheet, missing: str) -> tuple[answers.Alternative, ...]:
        found: list[answers.Alternative] = []
        if missing:
            nearer = self._nearer(planned.best)
            if nearer is not None:
                found.append(nearer)
        if not planned.stepped:
            found += self._other_trials(planned)
        return tuple(found[:2])

    def _other_trials(self, planned: NextSheet) -> list[answers.Alternative]:
        best, found = planned.best, []
        by_camera: dict[tuple[float, int, float], Trial] = {}
        for trial in planned.trials:
            s = trial.settings
            key = (s.f_number, s.pops, s.seconds)
            if key not in by_camera or trial.p_keeper > by_camera[key].p_keeper:
                by_camera[key] = trial
        b = best.settings
        mine = (b.f_number, b.pops, b.seconds)
        others = [t for k, t in by_camera.items() if k != mine]
        others = [t for t in others if t.p_keeper > best.p_keeper - ALTERNATIVE_WITHIN]
        for trial in sorted(others, key=lambda t: (t.effort, -t.p_keeper))[:2]:
            settings = self.table.document_settings(trial.settings, self.standing)
            found.append(
                answers.Alternative(
                    settings=settings,
                    p_keeper=trial.p_keeper,
                    text=self._side_effects(b, trial.settings, settings),
                )
            )
        return found

    def _side_effects(
        self, best: BareSettings, other: BareSettings, settings: doc.Settings
    ) -> str:
        parts = [f"f/{settings.f_number:g}, {_pops(settings.pops)}"]
        steady = any(s.kind == "continuous" for s in self.layout.sitting.sources)
        if other.f_number > best.f_number * 1.01:
            parts.append("more depth of field")
        if other.f_number < best.f_number * 0.99:
            parts.append("less depth of field")
        if other.pops > best.pops:
            parts.append("the sitter holds still for longer")
        if steady and other.seconds * other.pops > best.seconds * best.pops * 1.01:
            parts.append("room light counts for more")
        if steady and other.seconds * other.pops < best.seconds * best.pops * 0.99:
            parts.append("room light counts for less")
        if abs(other.seconds - best.seconds) > 1e-9:
            parts[0] += f", {settings.open_s:g} s"
        return f"{parts[0]}: {', '.join(parts[1:]) or 'the dials make up for it'}."

    def _nearer(self, best: Trial) -> answers.Alternative | None:
        """The light that falls short, moved nearer: a new layout from the same builder."""
        role = self._short_of_light(best)
        if role is None:
            return None
        light = self.table.lights[role]
        setting = self.standing.lights.get(role, doc.LightSetting())
        stood = setting.distance_m or light.distance_m
        if stood is None:
            return None
        for share in NEARER:
            distance = round(stood * share, 2)
            moved = setting.model_copy(update={"distance_m": distance})
            like = self.standing.model_copy(
                update={"lights": {**self.standing.lights, role: moved}}
            )
            layout = self.table.layout(like)
            posterior = (
                Posterior(self.posterior.evidence.belief, layout)
                if not self.posterior.knows(layout)
                else self.posterior
            )
            odds_table = Table(posterior.states(layout), layout)
            from stillroom.advice import Search  # noqa: PLC0415

            trial = Search(odds_table, self.stands, self.policy, fresh=self.fresh).best()
            if trial.p_keeper > best.p_keeper + 0.1:
                settings = self.table.document_settings(trial.settings, like)
                return answers.Alternative(
                    settings=settings,
                    p_keeper=trial.p_keeper,
                    text=f"Move the {role} light from {stood:g} m to {distance:g} m: its light "
                    "falls off faster across the sitter, and the face looks nearer to it.",
                )
        return None

    def _short_of_light(self, best: Trial) -> str | None:
        table = self.odds_table
        deviation = table.deviations(table.light(best.settings), table.gains(best.settings))[0]
        medians = np.median(deviation, axis=0) / table.aims.tol
        if not len(medians) or medians.min() > -1:
            return None
        shares = self._shares()[int(medians.argmin())]
        roles = [r for r in self.layout.roles if self.table.lights[r].distance_m is not None]
        if not roles:
            return None
        return max(roles, key=lambda r: shares[self.layout.roles.index(r)])


def placement_of_density(posterior: Posterior, density: float) -> float | None:
    """A density as stops from the mid-tone under the curve now believed; None past its ends."""
    c = posterior.states().curves
    low, high = float(c.dmin.mean()), float(c.dmax.mean())
    if not low + 0.02 < density < high - 0.02:
        return None
    from stillroom.paper import placement  # noqa: PLC0415

    curve = (float(c.contrast.mean()), float(c.asymmetry.mean()), low, high)
    return float(placement(density, *curve))


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


def _size(stops: float) -> str:
    """The size of a difference in words of thirds, without its sign."""
    return stops_text(abs(stops)).lstrip("+")


def _pops(pops: int) -> str:
    return "1 pop" if pops == 1 else f"{pops} pops"
