"""Somebody who forgot nothing: the floor that the tool is measured against.

*Past-perfect* knows on the first sheet exactly what earlier sittings could have taught:

- the true speed and curve of a paper they used, with its drift up to the last of them;
- outputs and dial slopes of the heads, losses of the modifiers and transmission of the lenses
  they used, and the actinic shift of the kinds of light they used;
- the loss of pops, when a sheet got more than one, and of long openings, when one was open for
  more than a second;
- the geometry, when the set is the same; the skin, when the sitter has come back;
- the bath, when it is still that of the same day.

For whatever is new it takes the mean of what is said openly: a new modifier or lens, a new
geometry, the level of the room light, the drift since, a fresh bath, the skin of a new sitter.
Without any past its first sheet is the best plain one by the arithmetic as believed. From the
second sheet on it knows everything but the scatter, as the oracle does.

It is not a strict bound. On the first sheet it plugs in means instead of asking which settings
land likeliest when the rest is uncertain, so a tool that does ask can do better there; on the
second it knows more than any tool could have read from one sheet.
"""

from __future__ import annotations

from benchmarks.world.oracle import best_settings
from benchmarks.world.physics import KitFacts, Ledger, SittingFacts, as_believed, ledger
from benchmarks.world.public import Kit, Past, Reading, Settings, Sitting
from benchmarks.world.scenario import Scenario

_LONG_S = 1.0  # reciprocity costs nothing up to here


def known_kit(kit: Kit, sitting: Sitting, past: list[Past], truth: KitFacts) -> KitFacts:
    """Give the kit as the past could have taught it, at believed means where it could not.

    Parameters
    ----------
    kit, sitting : Kit, Sitting
        Open side.
    past : list
        Earlier sittings.
    truth : KitFacts
        As it is.

    Returns
    -------
    KitFacts
        Part truth, part belief.
    """
    believed = as_believed(kit, sitting)
    sittings = [earlier["sitting"] for earlier in past]
    sources = [source for earlier in sittings for source in earlier["sources"]]
    made = [
        Settings.from_json(sheet["settings"]) for earlier in past for sheet in earlier["sheets"]
    ]
    heads = {source["head"] for source in sources}
    modifiers = {name for source in sources for name in source["modifiers"]}
    lenses = {earlier["lens"] for earlier in sittings}
    kinds = {source["kind"] for source in sources}
    pops = [one.pops * max(one.steps_pops or (1,)) for one in made]
    open_s = [count * one.seconds for one, count in zip(made, pops, strict=True)]
    paper = truth if any(one["paper"] == sitting["paper"] for one in sittings) else believed

    def taught(
        true: dict[str, float], said: dict[str, float], used: set[str | None] | set[str]
    ) -> dict[str, float]:
        return {name: true[name] if name in used else value for name, value in said.items()}

    return KitFacts(
        speed_log2=paper.speed_log2,
        curve=paper.curve,
        full_log2_lxs_1m=taught(truth.full_log2_lxs_1m, believed.full_log2_lxs_1m, heads),
        dial_slope=taught(truth.dial_slope, believed.dial_slope, heads),
        loss_stops=taught(truth.loss_stops, believed.loss_stops, modifiers),
        transmission_stops=taught(truth.transmission_stops, believed.transmission_stops, lenses),
        actinic_shift_stops={
            kind: shift for kind, shift in truth.actinic_shift_stops.items() if kind in kinds
        },
        pop_loss=(truth if max(pops, default=1) > 1 else believed).pop_loss,
        reciprocity_loss=(
            truth if max(open_s, default=0.0) > _LONG_S else believed
        ).reciprocity_loss,
    )


def known_sitting(sitting: Sitting, past: list[Past], facts: list[SittingFacts]) -> SittingFacts:
    """Give what the past could have taught of today's sitting; zero where it could not.

    Parameters
    ----------
    sitting : Sitting
        Today's, open side.
    past : list
        Earlier sittings.
    facts : list of SittingFacts
        As it is, of every sitting, today's last.

    Returns
    -------
    SittingFacts
        Part truth, part belief.
    """
    if not past:
        return SittingFacts()
    *earlier, today = facts
    last = past[-1]["sitting"]
    sets = {one["sitting"].get("set") for one in past} - {None}
    met = {shared["name"] for one in past for shared in one["sitting"].get("shared", [])}
    return SittingFacts(
        geometry_stops=today.geometry_stops if sitting.get("set") in sets else {},
        shared_stops={name: stops for name, stops in today.shared_stops.items() if name in met},
        paper_stops=earlier[-1].paper_stops if last["paper"] == sitting["paper"] else 0.0,
        bath_stops=today.bath_stops if int(last["day"]) == int(sitting["day"]) else 0.0,
    )


def known_ledger(scenario: Scenario) -> Ledger:
    """Give the ledger of today's sitting as the past could have taught it.

    Parameters
    ----------
    scenario : Scenario
        With its hidden side.

    Returns
    -------
    Ledger
        For the first sheet.
    """
    kit, sitting, past = scenario.studio.kit, scenario.studio.sitting, scenario.past
    return ledger(
        kit,
        sitting,
        known_kit(kit, sitting, past, scenario.kit_facts),
        known_sitting(sitting, past, scenario.facts),
    )


class PastPerfect:
    """The photographer who knows the past exactly, and everything from the second sheet on.

    Parameters
    ----------
    scenario : Scenario
        With its hidden side.
    best : Settings
        The oracle's.
    """

    def __init__(self, scenario: Scenario, best: Settings) -> None:
        self.best = best
        self.next = self.first(scenario)

    @staticmethod
    def first(scenario: Scenario) -> Settings:
        """Give the first sheet of whoever knows the past exactly."""
        studio = scenario.studio
        known = known_ledger(scenario)
        aims_stops = {
            region: known.curve.stops(aim["density"])
            for region, aim in studio.sitting["aims"].items()
            if aim["tol_stops"] is not None
        }
        return best_settings(studio.kit, studio.sitting, known, aims_stops, easy=True).settings

    def plan(self) -> Settings:
        """Give the settings of the next sheet."""
        return self.next

    def look(self, settings: Settings, reading: Reading) -> None:  # noqa: ARG002  all is known
        """Learn everything, whatever the sheet shows."""
        self.next = self.best
