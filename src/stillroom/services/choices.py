"""Terms by their names: their priors, what they belong to, and what was said of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

import numpy as np

from stillroom.belief import Belief, apply, in_force
from stillroom.belief.evidence import READER_BIAS_DENSITY, reader_term
from stillroom.documents import book as doc
from stillroom.documents.making import as_made
from stillroom.documents.thing import Thing
from stillroom.errors import UnknownName
from stillroom.exposure import Life, Term
from stillroom.exposure.chain import without_slash
from stillroom.services.sittings import in_order_of_time, tells
from stillroom.services.worktable import Worktable

LASTING = frozenset({Life.KIT, Life.PAPER, Life.SITTER})
"""Lives of terms that outlast a set and a day, and so can be held or forgotten."""


@dataclass(frozen=True, slots=True)
class Glossary:
    """Every term that the sittings of a book have to do with.

    Attributes
    ----------
    terms : mapping of str to Term
        Prior of each by its name, as kit and papers stand now.
    signs : mapping of str to float
        Whether more of a term is more light (1) or less (-1).
    """

    terms: Mapping[str, Term]
    signs: Mapping[str, float]


def glossary(book: doc.Book) -> Glossary:
    """The terms of every sitting, the latest first; alike sittings are laid out once."""
    terms: dict[str, Term] = {}
    signs: dict[str, float] = {}
    seen: set[object] = set()
    for sitting in reversed(in_order_of_time(book)):
        lights = tuple((x.role, x.kind, x.kit_id, x.modifiers) for x in sitting.lights)
        aims = tuple(sorted(sitting.aims))
        used = frozenset(x for x in map(_on_sheet, _made(sitting)) if any(x))
        what = (sitting.paper, sitting.lens, lights, sitting.sitters, sitting.set, aims, used)
        if what in seen:
            continue
        seen.add(what)
        table = Worktable(book, sitting.id)
        for settings in _as_it_stood(table, sitting):
            layout = table.layout(settings)
            weights = layout.rows(table.bare_settings(settings)).a.sum(axis=(0, 1, 2))
            for term, weight in zip(layout.terms, weights, strict=True):
                if term.name not in terms:
                    terms[term.name] = term
                    signs[term.name] = float(np.sign(weight)) or 1.0
    for meter in book.kit.meters:
        name = f"meter/{meter.id}/bias"
        label = f"bias of {meter.name or meter.id}"
        terms[name] = Term(name, label, 0.0, meter.bias_sd_stops, Life.KIT, "meter")
    for by in READER_BIAS_DENSITY:
        if (bias := reader_term(by, 1.0)) is not None:
            terms[bias.name] = bias
    return Glossary(terms, signs)


def _as_it_stood(table: Worktable, sitting: doc.Sitting) -> list[doc.Settings]:
    """How things stand, and every sheet on which something else hung before a light or lens."""
    other = [
        m
        for m in _made(sitting)
        if any(x.modifiers is not None for x in m.lights.values()) or any(_on_sheet(m))
    ]
    return [table.standing(), *(m.model_copy(update={"steps_pops": None}) for m in other)]


def _made(sitting: doc.Sitting) -> list[doc.Settings]:
    return [as_made(s.settings, s.made) for s in sitting.sheets]


def _on_sheet(made: doc.Settings) -> tuple[str | None, bool]:
    """The filter a sheet was made with, and whether it had a pre-flash."""
    return made.filter, made.pre_flash_stops is not None


def with_choices(belief: Belief, book: doc.Book, terms: Iterable[Term]) -> Belief:
    """Belief after every sitting, with what was said since the last of them began."""
    return apply(belief, in_force(book.choices, _last_told(book), None), terms)


def _last_told(book: doc.Book) -> datetime | None:
    """When the last sitting began in which something was read."""
    return max((s.when for s in book.sittings if tells(s)), default=None)


def last_said(book: doc.Book, term: str) -> doc.Choice | None:
    """What was said of a term last."""
    said = sorted((c for c in book.choices if c.term == term), key=lambda c: c.when)
    return said[-1] if said else None


def is_held(book: doc.Book, term: str) -> bool:
    """Whether sheets do not move a term now."""
    last = last_said(book, term)
    return last is not None and last.choice == "hold"


def forgotten_at(book: doc.Book, term: str) -> datetime | None:
    """When a term was last forgotten, and not taken back before another sitting was read."""
    at: list[datetime] = []
    said = sorted((c for c in book.choices if c.term == term), key=lambda c: c.when)
    for before, choice in pairwise([None, *said]):
        if choice is None:
            continue
        if choice.choice == "forget":
            at.append(choice.when)
        is_after_forgetting = before is not None and before.choice == "forget"
        if choice.choice == "learn" and is_after_forgetting:
            read = (s.when for s in book.sittings if tells(s))
            if not any(at[-1] <= when < choice.when for when in read):
                at.pop()
    return at[-1] if at else None


def is_forgotten(book: doc.Book, term: str) -> bool:
    """Whether a term was forgotten, and nothing was read of a later sitting."""
    at, began = forgotten_at(book, term), _last_told(book)
    return at is not None and (began is None or at > began)


def lasting_term(terms: Mapping[str, Term], name: str) -> Term:
    """A term that can be held or forgotten.

    Raises
    ------
    UnknownName
        If nothing in the book has that name, or it does not outlast a set or a day.
    """
    lasting = {n: t for n, t in terms.items() if t.life in LASTING}
    if name not in lasting:
        raise UnknownName("term", name, sorted(lasting))
    return lasting[name]


def unit_of(name: str) -> str:
    """In what a term is counted: ``stops``, ``density``, or ``log`` of a factor."""
    kind, _, rest = name.partition("/")
    if kind == "eye" or name.endswith(("/dmin", "/dmax")):
        return "density"
    is_log = kind in ("paper", "filter") and rest.endswith(("/contrast", "/asymmetry"))
    return "log" if is_log or name == "kit/scatter" else "stops"


def what_would_tell(book: doc.Book, term: str, partner: str) -> tuple[str, str]:
    """What a term is in a chain with, and what would tell the two apart."""
    of, other = thing_of(book, term), thing_of(book, partner)
    if term.startswith("eye/"):
        return other, "a sheet read in two ways would tell"
    if term.startswith("kit/"):
        return other, f"a sheet that changes only {of} would tell"
    if of == other:
        return "the rest of its curve", "a stepped sheet would tell"
    return other, "a sheet that changes only that would tell"


def thing_of(book: doc.Book, term: str) -> str:
    """What a term belongs to, as it is said in *a sheet that changes only ...*."""
    kind, _, rest = term.partition("/")
    owner = rest.rsplit("/", 1)[0]
    kit = book.kit
    lists: dict[str, tuple[Thing, ...]] = {
        "head": kit.heads,
        "lamp": kit.lamps,
        "modifier": kit.modifiers,
        "lens": kit.lenses,
        "meter": kit.meters,
        "filter": kit.filters,
    }
    if kind == "seat":  # what follows its name is the state of its room
        owner = owner.partition("/")[0]
        names = {without_slash(t.id): t.name or t.id for t in kit.seats}
        return f"the light at {names.get(owner, owner)}"
    if kind in lists:
        names = {t.id: t.name or t.id for t in lists[kind]}
        name = names.get(owner, owner)
        is_short = kind in ("head", "lamp", "filter") and len(name) <= 2
        return f"{kind} {name}" if is_short else f"the {name}"
    if kind == "shared":
        return "the sitter" if rest.startswith("skin of") else "what is worn"
    return _THINGS.get(kind) or _THINGS.get(term, "one thing")


_THINGS = {
    "paper": "the paper",
    "preflash": "the pre-flash",
    "veil": "the lens",
    "actinic": "the kind of light",
    "geometry": "where the light stands",
    "level": "the light of the place",
    "sky": "the sky",
    "bath": "the baths",
    "bath_reference": "the baths",
    "eye": "the way of reading",
    "kit/scatter": "nothing",
    "kit/pop_loss": "the number of pops",
    "kit/reciprocity": "the open time",
}
