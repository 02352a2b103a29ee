"""Which sheets and readings moved a term, and by how much."""

from __future__ import annotations

import contextlib
import hashlib
import json
import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from stillroom.belief import Belief, apply, in_force, opened
from stillroom.belief.laplace import find_mode
from stillroom.documents import book as doc
from stillroom.documents.known import KnownTerm, MovedBy
from stillroom.services.choices import forgotten_at, glossary, lasting_term, with_choices
from stillroom.services.histories import PassingMemo, Step, key_of, known, law, steps, term_known
from stillroom.services.remembered import BeliefMemo
from stillroom.services.worktable import Worktable

SITTINGS_OPENED = 3
"""In how many sittings it is looked for which sheets moved a term."""
SHOWN = 6
"""How many sheets and readings are named."""
LEAST = 0.03
"""What moved a term by less than this share of its spread is not named."""

Law = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Stage:
    """Belief after one more sheet of a sitting, or after its meter readings."""

    mark: str
    sheet: int | None
    readings: int
    laws: dict[str, Law]


def known_term(book: doc.Book, name: str, *, memo: BeliefMemo | None = None) -> KnownTerm:
    """One term alone, with the few sheets and readings that moved it most.

    Raises
    ------
    UnknownName
        If no sitting of the book has to do with a lasting term of that name.
    """
    memo = memo or PassingMemo()
    key = f"{key_of(book)}:{hashlib.sha256(name.encode()).hexdigest()}"
    if (kept := memo.get(key)) is not None:
        with contextlib.suppress(ValueError):
            return KnownTerm.model_validate_json(kept)
    found = next((t for t in known(book, memo=memo).terms if t.term == name), None)
    if found is None:
        words = glossary(book)
        term = lasting_term(words.terms, name)
        now = with_choices(Belief.empty(), book, words.terms.values())
        found = term_known(book, term, words, (), now)
    found = found.model_copy(update={"moved_by": moved_by(book, found, memo)})
    memo.put(key, found.model_dump_json().encode())
    return found


def moved_by(book: doc.Book, term: KnownTerm, memo: BeliefMemo) -> tuple[MovedBy, ...]:
    """The few sheets and readings that moved a term most, in order of time.

    Only the sittings that moved it most are opened. Within a sitting the Gaussian at the mode
    stands for belief after each sheet; it is what the sheets are weighed by, not what is believed.
    """
    gone = forgotten_at(book, term.term)
    taken = steps(book, memo)
    prior = glossary(book).terms.get(term.term)
    if prior is None:
        return ()
    before: Law = (0.0, term.entered_sd)
    moved: list[tuple[float, int]] = []
    for n, step in enumerate(taken):
        after = law(step.belief, prior)
        if after is not None and (gone is None or step.sitting.when >= gone):
            moved.append((_distance(before, after), n))
            before = after
    found: list[MovedBy] = []
    for _, n in sorted(moved, reverse=True)[:SITTINGS_OPENED]:
        found += _in_one(book, taken[n], taken[n - 1] if n else None, term, memo)
    found = [m for m in found if _moved(m) > LEAST]
    most = sorted(found, key=_moved, reverse=True)[:SHOWN]
    return tuple(sorted(most, key=lambda m: (m.when, m.sheet or 0)))


def _moved(by: MovedBy) -> float:
    return _distance((by.shift_before, by.sd_before), (by.shift_after, by.sd_after))


def _distance(before: Law, after: Law) -> float:
    """How far one normal law is from another, in spreads: mean and width together."""
    sd = max(before[1], 1e-9)
    return math.hypot((after[0] - before[0]) / sd, math.log(max(after[1], 1e-9) / sd))


def _in_one(
    book: doc.Book, step: Step, before_it: Step | None, term: KnownTerm, memo: BeliefMemo
) -> list[MovedBy]:
    before: Law = (term.entered, term.entered_sd)
    found = []
    for stage in _stages(book, step, before_it, memo):
        after = stage.laws.get(term.term, before)
        if stage.mark:
            found.append(
                MovedBy(
                    sitting=step.sitting.id,
                    when=step.sitting.when,
                    mark=stage.mark,
                    sheet=stage.sheet,
                    readings=stage.readings,
                    shift_before=before[0] - term.entered,
                    sd_before=before[1],
                    shift_after=after[0] - term.entered,
                    sd_after=after[1],
                )
            )
        before = after
    return found


def _stages(
    book: doc.Book, step: Step, before_it: Step | None, memo: BeliefMemo
) -> tuple[_Stage, ...]:
    key = f"stages:{hashlib.sha256(step.key.encode()).hexdigest()}"
    kept = memo.get(key)
    if kept is not None:
        try:
            return tuple(
                _Stage(m, s, r, {k: (v[0], v[1]) for k, v in laws.items()})
                for m, s, r, laws in json.loads(kept)
            )
        except (ValueError, TypeError, KeyError):
            pass
    earlier = Belief.empty() if before_it is None else before_it.belief
    since = None if before_it is None else before_it.sitting.when
    stages = tuple(_worked_out(book, step.sitting, earlier, since))
    rows = [[s.mark, s.sheet, s.readings, s.laws] for s in stages]
    memo.put(key, json.dumps(rows).encode())
    return stages


def _worked_out(
    book: doc.Book, sitting: doc.Sitting, earlier: Belief, since: datetime | None
) -> list[_Stage]:
    table = Worktable(book, sitting.id)
    sheets = sorted(sitting.sheets, key=lambda s: s.number)
    first = sheets[0].number if sheets else 1
    layout = table.layout(table.standing(), number=first)
    said = in_force(book.choices, since, sitting.when)
    start = apply(opened(earlier, layout).extended(layout.terms), said, layout.terms)
    stages = [_Stage("", None, 0, _laws(start))]
    metered = len(sitting.meter_readings) + len(sitting.control_strips)
    if metered:
        stages.append(_Stage("meter", None, metered, _until(table, earlier, since, first)))
    for sheet in sheets:
        if sheet.readings or sheet.kept is not None:
            laws = _until(table, earlier, since, sheet.number + 1)
            mark = sheet.mark or f"Sheet {sheet.number}"
            stages.append(_Stage(mark, sheet.number, len(sheet.readings), laws))
    return stages


def _until(
    table: Worktable, earlier: Belief, since: datetime | None, number: int
) -> dict[str, Law]:
    """Laws of all terms, with the sheets before a number and all meter readings."""
    posterior = table.formed(earlier, since, table.sitting.when, number)
    before, likelihood = posterior.evidence.belief, posterior.likelihood
    d = likelihood.size
    if d == 0:
        return _laws(before)
    mode = find_mode(likelihood)
    root, v = likelihood.root, likelihood.directions
    inner = np.eye(len(before.names)) + v @ (mode.covariance[:d, :d] - np.eye(d)) @ v.T
    mean = before.mean + root @ (v @ mode.mean[:d])
    spread = np.sqrt(np.clip(np.einsum("ij,jk,ik->i", root, inner, root), 0.0, None))
    return {n: (float(m), float(s)) for n, m, s in zip(before.names, mean, spread, strict=True)}


def _laws(belief: Belief) -> dict[str, Law]:
    spread = np.sqrt(np.clip(np.diag(belief.covariance), 0.0, None))
    pairs = zip(belief.names, belief.mean, spread, strict=True)
    return {n: (float(m), float(s)) for n, m, s in pairs}
