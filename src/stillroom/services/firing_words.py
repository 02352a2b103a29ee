"""How it fires, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.documents.firing import HeadFiring, Mains
from stillroom.services.stillness_words import open_text

COUNTS = {
    "": "All charged? Lights out, open, pop, close. All fired?",
    "sync_shutter": "All charged? Slide out, press: the shutter fires. All fired?",
    "cap_in_dark": "All charged? Lights out, cap off, pop, cap on, lights. All fired?",
    "cap_in_light": "All charged? Cap off, count, pop, count, cap on. All fired?",
    "remote": "All charged? Cap off, sit, look, press, rise, cap on. All fired?",
    "second_person": "All charged? “Off”, cap off; “now”, pop; “on”, cap on. All fired?",
}
"""What is said aloud, by the way it fires."""


def firing_sentence(pops: int, gap_s: float, burst_s: float, ready_s: float) -> str:
    """Pops, the time between them, and when the next sheet can be.

    Examples
    --------
    >>> firing_sentence(1, 3.0, 0.0, 3.0)
    'One pop; ready again after 3 s.'
    >>> firing_sentence(4, 3.0, 9.0, 15.0)
    '4 pops, one every 3 s, so 9 s from first to last; ready again after 15 s.'
    """
    ready = f"ready again after {open_text(ready_s)}" if ready_s >= 0.05 else "ready at once"
    if pops == 1:
        return f"One pop; {ready}."
    gap, whole = open_text(max(gap_s, 0.01)), open_text(max(burst_s, 0.01))
    return f"{pops} pops, one every {gap}, so {whole} from first to last; {ready}."


def hand_note(planned_s: float, open_s: float, sd_s: float) -> str:
    """How a hand keeps a time.

    Examples
    --------
    >>> hand_note(0.25, 1.0, 0.2)
    'By hand it is open 1 s rather than 1⁄4 s, ±0.2 s: that counts for steady light.'
    """
    miss = f"±{sd_s:.1f} s"
    if open_s > planned_s * 1.001:
        return (
            f"By hand it is open {open_text(open_s)} rather than {open_text(planned_s)}, {miss}: "
            "that counts for steady light."
        )
    return f"A hand misses {open_text(open_s)} by {miss}: that counts for steady light."


def head_note(head: HeadFiring) -> str:
    """A tube that is asked too much.

    Examples
    --------
    >>> from stillroom.documents.firing import HeadFiring
    >>> hot = HeadFiring(
    ...     role="key",
    ...     head="A",
    ...     name="head A",
    ...     energy_ws=1200,
    ...     recycle_s=2,
    ...     recycle_is_known=True,
    ...     charging_w=600,
    ...     full_pops=16,
    ...     pops_per_minute=30,
    ...     is_within=False,
    ...     rest_s=66,
    ...     mains_a=None,
    ...     battery_pops=None,
    ...     battery_left=None,
    ... )
    >>> head_note(hot)
    'Too much for the tube of head A: 16 pops at full in a row; let it cool between them, or use \
fewer at more power of another head.'
    """
    return (
        f"Too much for the tube of {head.name}: {head.full_pops:.3g} pops at full in a row; let "
        "it cool between them, or use fewer at more power of another head."
    )


def rest_note(head: HeadFiring) -> str:
    """How long a tube rests before the same again."""
    return f"Let {head.name} rest {open_text(head.rest_s)} before the next sheet like this."


def battery_note(head: HeadFiring, pops: int) -> str:
    """How far a battery goes."""
    left = head.battery_left or 0
    if left < pops:
        return (
            f"The battery of {head.name} has {left} pops left, this sheet takes {pops}: charge it."
        )
    sheets = left // pops
    return (
        f"The battery of {head.name}, full at the start, has {left} pops left: "
        f"{sheets} {'sheet' if sheets == 1 else 'sheets'} like this."
    )


def recycle_note(names: Sequence[str], usual_s: float) -> str:
    """Heads whose handbook is not at hand."""
    return (
        f"How long {' and '.join(names)} {'charge' if len(names) > 1 else 'charges'} is not "
        f"written down: {usual_s:g} s at full is taken."
    )


def circuit_note(mains: Mains) -> str:
    """What the plugs bear; empty where there is nothing to mind.

    Examples
    --------
    >>> two = {"circuits": 1, "circuits_needed": 2, "at_once": 1, "in_turns": 2}
    >>> circuit_note(Mains(all_a=20, circuit_a=16, **two))
    'All at once draw 20 A and one circuit carries 16 A: charge in 2 turns, 1 at a time, or \
take a second circuit.'
    """
    if mains.circuit_a is None:
        return (
            f"All at once draw {mains.all_a:.0f} A: see what the fuse of that circuit carries."
            if mains.all_a > 10
            else ""
        )
    limit = f"one circuit carries {mains.circuit_a:g} A"
    if mains.circuits_needed is None:
        return f"One of them alone draws more than a circuit carries ({mains.circuit_a:g} A)."
    if mains.circuits_needed > mains.circuits and not mains.at_once:
        return (
            f"Even one head charging beside the lamps that are lit is more than "
            f"{_circuits(mains.circuits)} of {mains.circuit_a:g} A can carry: put lamps out, or "
            f"take a {_one_more(mains.circuits)} circuit."
        )
    if mains.circuits_needed > mains.circuits:
        return (
            f"All at once draw {mains.all_a:.0f} A and {limit}: charge in {mains.in_turns} turns, "
            f"{mains.at_once} at a time, or take a {_one_more(mains.circuits)} circuit."
        )
    if mains.circuits_needed > 1:
        return (
            f"All at once draw {mains.all_a:.0f} A and {limit}: spread them over "
            f"{mains.circuits_needed} circuits."
        )
    return ""


def uncounted_note(names: Sequence[str]) -> str:
    """Heads that are left out of what the plugs bear.

    Examples
    --------
    >>> uncounted_note(["head B"])
    'What head B draws is not written down, so it is not counted among the plugs.'
    """
    draw, are = ("draw", "they are") if len(names) > 1 else ("draws", "it is")
    return (
        f"What {' and '.join(names)} {draw} is not written down, so {are} not counted among the "
        "plugs."
    )


def _circuits(count: int) -> str:
    return "one circuit" if count == 1 else f"{count} circuits"


def _one_more(circuits: int) -> str:
    return "second" if circuits == 1 else "further"
