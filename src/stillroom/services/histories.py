"""What is known of each term and each chain, sitting after sitting."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from stillroom.belief import Belief
from stillroom.documents import book as doc
from stillroom.documents.known import Known, KnownChain, KnownPoint, KnownTerm
from stillroom.exposure import Layout, Life, Term
from stillroom.quantity import Constants, FloatArray
from stillroom.services import remembered
from stillroom.services.choices import (
    LASTING,
    Glossary,
    glossary,
    is_forgotten,
    is_held,
    unit_of,
    what_would_tell,
    with_choices,
)
from stillroom.services.folding import fold_book
from stillroom.services.known_words import chain_sentence, chain_title, standing_of, term_sentence
from stillroom.services.remembered import ENGINE, BeliefMemo
from stillroom.services.sittings import in_order_of_time, tells
from stillroom.services.worktable import Worktable

MOVED_SPREAD = 0.97
"""A spread that sheets brought below this share of the entered one has been moved by them."""
TIED_UP = 0.15
"""Correlation from which two terms are called tied up with each other."""


class PassingMemo:
    """Beliefs remembered for one answer, where there is no book to keep them in."""

    def __init__(self) -> None:
        self._kept: dict[str, bytes] = {}

    def get(self, key: str) -> bytes | None:
        """What was put under a key."""
        return self._kept.get(key)

    def put(self, key: str, value: bytes) -> None:
        """Keep something under a key."""
        self._kept[key] = value


@dataclass(frozen=True, slots=True)
class Step:
    """Belief after one sitting."""

    sitting: doc.Sitting
    key: str
    belief: Belief


def steps(book: doc.Book, memo: BeliefMemo) -> tuple[Step, ...]:
    """Belief after each sitting in which something was read, in order of time."""
    sittings = in_order_of_time(book)
    keys = remembered.keys(book, sittings, Constants())
    found = []
    for n, (sitting, key) in enumerate(zip(sittings, keys, strict=True), 1):
        if not tells(sitting):
            continue
        belief = remembered.unpacked(memo.get(key))
        if belief is None:
            belief = fold_book(book, sittings[:n], memo)
        found.append(Step(sitting, key, belief))
    return tuple(found)


def known(book: doc.Book, *, memo: BeliefMemo | None = None) -> Known:
    """What sheets and readings made of every lasting term, and of every chain.

    Parameters
    ----------
    book : Book
        The whole book.
    memo : BeliefMemo, optional
        Where beliefs after earlier sittings are remembered; with a warm one this costs little.

    Returns
    -------
    Known
        Lasting terms that took part in what was read, or that something was said of; chains that
        sheets narrowed, as the latest sitting with each lays them out, the surest first.
    """
    key = key_of(book)
    if memo is not None and (kept := _unpacked(memo.get(key))) is not None:
        return kept
    found = _worked_out(book, memo or PassingMemo())
    if memo is not None:
        memo.put(key, found.model_dump_json().encode())
    return found


def key_of(book: doc.Book) -> str:
    """Under which answers about this very book are remembered."""
    whole = hashlib.sha256(f"{ENGINE}\n{book.model_dump_json()}".encode())
    return f"known:{whole.hexdigest()}"


def _unpacked(value: bytes | None) -> Known | None:
    if value is None:
        return None
    try:
        return Known.model_validate_json(value)
    except ValueError:
        return None


def _worked_out(book: doc.Book, memo: BeliefMemo) -> Known:
    taken = steps(book, memo)
    words = glossary(book)
    last = taken[-1].belief if taken else Belief.empty()
    now = with_choices(last, book, words.terms.values())
    said = {c.term for c in book.choices}
    took_part = said.union(last.names)
    terms = [
        term_known(book, term, words, taken, now)
        for term in words.terms.values()
        if term.life in LASTING and term.name in took_part
    ]
    return Known(
        terms=tuple(sorted(terms, key=lambda t: t.term)),
        chains=tuple(_chains(book, taken, now)),
    )


def term_known(
    book: doc.Book, term: Term, words: Glossary, taken: Sequence[Step], now: Belief
) -> KnownTerm:
    """One term as it stands, with what was believed of it after each sitting."""
    laws = [(step, law(step.belief, term)) for step in taken]
    history = [_point(step, *found) for step, found in laws if found is not None]
    shift, sd = law(now, term) or (0.0, term.sd)
    standing = standing_of(
        sd,
        term.sd,
        held=is_held(book, term.name),
        forgotten=is_forgotten(book, term.name),
    )
    partner = tied_to(now, term.name, words.signs) if standing == "in_a_chain" else None
    tells = None if partner is None else what_would_tell(book, term.name, partner)
    unit = unit_of(term.name)
    return KnownTerm.model_validate(
        {
            "term": term.name,
            "label": term.label,
            "unit": unit,
            "entered": term.mean,
            "entered_sd": term.sd,
            "shift": shift,
            "sd": sd,
            "standing": standing,
            "told_by": partner,
            "sentence": term_sentence(standing, shift, sd, unit, tells),
            "history": tuple(history),
        }
    )


def _point(step: Step, shift: float, sd: float) -> KnownPoint:
    return KnownPoint(sitting=step.sitting.id, when=step.sitting.when, shift=shift, sd=sd)


def law(belief: Belief, term: Term) -> tuple[float, float] | None:
    """Shift from the prior and spread of a term; None where nothing is believed of it."""
    if term.name not in belief.names:
        return None
    at = belief.names.index(term.name)
    sd = math.sqrt(max(0.0, float(belief.covariance[at, at])))
    return float(belief.mean[at]) - term.mean, sd


def tied_to(belief: Belief, name: str, signs: Mapping[str, float]) -> str | None:
    """The term that most makes up for another one: if one gives more light, the other less.

    Terms of a day or of a sitting are gone by the time a sheet could tell them, so they are
    left out.
    """
    if name not in belief.names:
        return None
    at = belief.names.index(name)
    spread = np.sqrt(np.clip(np.diag(belief.covariance), 1e-24, None))
    shared = belief.covariance[at] / spread / spread[at]
    best: tuple[float, str] | None = None
    for i, (other, life) in enumerate(zip(belief.names, belief.lives, strict=True)):
        if i == at or life in (Life.DAY, Life.SITTING) or other not in signs:
            continue
        together = float(shared[i]) * signs[other] * signs.get(name, 1.0)
        if together < -TIED_UP and (best is None or together < best[0]):
            best = (together, other)
    return None if best is None else best[1]


# ---- chains ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Link:
    """A chain as the latest sitting that has it lays it out."""

    sitting: doc.Sitting
    role: str
    region: str
    terms: tuple[Term, ...]
    weights: FloatArray

    def law(self, belief: Belief) -> tuple[float, float]:
        """Shift from what was entered, and spread [stops]."""
        full = belief.extended(self.terms)
        at = full.positions(t.name for t in self.terms)
        prior = np.array([t.mean for t in self.terms])
        variance = self.weights @ full.covariance[np.ix_(at, at)] @ self.weights
        shift = float(self.weights @ (full.mean[at] - prior))
        return shift, math.sqrt(max(0.0, float(variance)))

    def touches(self, belief: Belief) -> bool:
        """Whether anything is believed yet of what it is made of."""
        return any(t.name in belief.names for t in self.terms)


def _chains(book: doc.Book, taken: Sequence[Step], now: Belief) -> list[KnownChain]:
    papers = {p.id: p for p in book.papers}
    found = []
    for link in _links(book, taken):
        entered = math.sqrt(sum((w * t.sd) ** 2 for w, t in _weighed(link)))
        shift, sd = link.law(now)
        if sd >= MOVED_SPREAD * entered:
            continue
        history = [_point(s, *link.law(s.belief)) for s in taken if link.touches(s.belief)]
        found.append(
            KnownChain(
                source=link.role,
                region=link.region,
                paper=link.sitting.paper,
                title=chain_title(link.role, link.region, papers[link.sitting.paper]),
                entered_sd=entered,
                shift=shift,
                sd=sd,
                sentence=chain_sentence(shift, sd, entered),
                parts=tuple(t.name for t in link.terms),
                history=tuple(history),
            )
        )
    return sorted(found, key=lambda c: c.sd / c.entered_sd)


def _weighed(link: _Link) -> Iterator[tuple[float, Term]]:
    yield from zip(link.weights, link.terms, strict=True)


def _links(book: doc.Book, taken: Sequence[Step]) -> Iterator[_Link]:
    seen: set[str] = set()
    for step in reversed(taken):
        sitting = step.sitting
        lights = {x.role: x for x in sitting.lights}
        regions = {
            *sitting.aims,
            *(r for s in sitting.sheets for x in s.readings for r in x.regions),
        }
        wanted = {}
        for role, light in lights.items():
            for region in sorted(regions):
                made_of = [light.kind, light.kit_id, light.modifiers, region, sitting.paper]
                wanted[role, region] = json.dumps(made_of)
        if seen.issuperset(wanted.values()):
            continue
        table = Worktable(book, sitting.id)
        settings = table.standing()
        layout = table.layout(settings)
        weights = layout.rows(table.bare_settings(settings)).a[0]
        for (role, region), chain in wanted.items():
            if chain in seen or role not in layout.roles or region not in layout.regions:
                continue
            seen.add(chain)
            row = weights[layout.regions.index(region), layout.roles.index(role)]
            yield _link(sitting, layout, role, region, row)


def _link(sitting: doc.Sitting, layout: Layout, role: str, region: str, row: FloatArray) -> _Link:
    passing = (Life.DAY, Life.SITTING)
    kept = [i for i, t in enumerate(layout.terms) if row[i] != 0 and t.life not in passing]
    return _Link(sitting, role, region, tuple(layout.terms[i] for i in kept), row[kept])
