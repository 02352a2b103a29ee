"""Other ways: what falls short when nothing reaches the aims, and what one could do instead."""

from __future__ import annotations

import numpy as np

from stillroom.advice import NextSheet, Policy, Search, Table, Trial
from stillroom.documents import answers
from stillroom.documents import book as doc
from stillroom.exposure import BareSettings
from stillroom.services.contrast import ALTERNATIVE_WITHIN, Fitting, apart_by
from stillroom.services.reasons import Reasons, size_and_way
from stillroom.services.worktable import Worktable
from stillroom.sitter import region_name

OUT_OF_REACH = 0.1
"""Odds below which it is asked whether the kit reaches the aims at all."""
MOST_ALTERNATIVES = 2
NEARER = (0.84, 0.71, 0.59)
"""Distances tried when nothing else reaches: a half, one and one and a half stops nearer."""


class OtherWays:
    """Ways beside the advised one.

    Parameters
    ----------
    table : Worktable
        The sitting.
    standing : Settings
        How things stand, as a document says it.
    reasons : Reasons
        What is believed, and how things stand in the engine's terms.
    policy : Policy
        How changes are weighed.
    fresh : bool
        Nothing has been set yet.
    """

    def __init__(
        self,
        table: Worktable,
        standing: doc.Settings,
        reasons: Reasons,
        policy: Policy,
        *,
        fresh: bool,
    ) -> None:
        self.table = table
        self.standing = standing
        self.reasons = reasons
        self.policy = policy
        self.fresh = fresh
        self.odds_table = reasons.table
        self.posterior = reasons.posterior
        self.layout = reasons.layout
        self.stands = reasons.stands

    def missing(self, best: Trial) -> str:
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
                short.append(f"{region_name(region).lower()} stays {size_and_way(middle)}")
        if not short:
            return ""
        return f"No dial reaches this: at the nearest, {' and '.join(short)} than wanted."

    def alternatives(self, planned: NextSheet, missing: str) -> tuple[answers.Alternative, ...]:
        """At most two ways beside the advised one, with their side effects."""
        found: list[answers.Alternative] = []
        if missing:
            nearer = self._nearer(planned.best)
            if nearer is not None:
                found.append(nearer)
        if not planned.stepped:
            found += self._together(planned.best)
            found += self._other_trials(planned)
        return tuple(found[:MOST_ALTERNATIVES])

    def _together(self, best: Trial) -> tuple[answers.Alternative, ...]:
        """A filter or a pre-flash, where two aims lie further apart than the paper holds."""
        apart = apart_by(self.odds_table, best.settings)
        if apart is None:
            return ()
        fitting = Fitting(
            self.table,
            self.standing,
            odds_table=self.odds_table,
            posterior=self.posterior,
            stands=self.stands,
            policy=self.policy,
            fresh=self.fresh,
        )
        return fitting.alternatives(apart, best, MOST_ALTERNATIVES)

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
        for trial in sorted(others, key=lambda t: (t.effort, -t.p_keeper))[:MOST_ALTERNATIVES]:
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
        flash = bool(self.layout.flash.any())
        mixed = flash and any(s.kind == "continuous" for s in self.layout.sitting.sources)
        open_s, longer = best.seconds * best.pops, other.seconds * other.pops
        parts = [f"f/{settings.f_number:g}" + (f", {_pops(settings.pops)}" if flash else "")]
        if other.f_number > best.f_number * 1.01:
            parts.append("more depth of field")
        if other.f_number < best.f_number * 0.99:
            parts.append("less depth of field")
        if other.pops > best.pops or (not flash and longer > open_s * 1.01):
            parts.append("the sitter holds still for longer")
        if not flash and longer < open_s * 0.99:
            parts.append("the sitter need not hold still as long")
        if mixed and longer > open_s * 1.01:
            parts.append("room light counts for more")
        if mixed and longer < open_s * 0.99:
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
            odds_table = Table(self.posterior.states(layout), layout)
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
        shares = self.reasons.shares()[int(medians.argmin())]
        lights = self.table.lights  # a pre-flash is none of them
        roles = [r for r in self.layout.roles if r in lights and lights[r].distance_m is not None]
        if not roles:
            return None
        return max(roles, key=lambda r: shares[self.layout.roles.index(r)])


def _pops(pops: int) -> str:
    return "1 pop" if pops == 1 else f"{pops} pops"
