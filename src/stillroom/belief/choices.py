"""What the photographer says of single terms, over what sheets say: hold, forget, learn again.

How a fold over sittings uses it, right after `opened` (a drift would widen what is held)::

    terms = [*layout.terms, *(t for laid in sheets for t in laid.layout.terms)]
    said = in_force(book.choices, since, sitting.when)
    before = apply(opened(belief, layout), said, terms)

where `since` is the moment of the sitting folded before this one, None for the first. The sitting
that is being worked on takes what was said since it began at once: there `until` is the moment
of the next sitting in the book, or None. Remembered beliefs hang on what was said too: `said` of
each sitting belongs in its key. Nothing is needed after a sitting, for what is held has no
spread that evidence could move.

A choice carries the figure that was held, so it can be put before the evidence of its own
sitting: conditioning on a term and conditioning on sheets may change places.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Literal, Protocol

import numpy as np

from stillroom.belief.named import Belief
from stillroom.exposure import Term
from stillroom.quantity import FloatArray

Said = Literal["hold", "forget", "learn"]

NO_SPREAD = 1e-10
"""Variance below which a term is exact: it has nothing more to say of others."""


class Choice(Protocol):
    """What was said of one term at a moment."""

    @property
    def term(self) -> str:
        """Name of the term."""
        ...

    @property
    def choice(self) -> Said:
        """What was said of it."""
        ...

    @property
    def when(self) -> datetime:
        """The moment from which it holds."""
        ...

    @property
    def figure(self) -> float | None:
        """What it is held at, in the term's own unit; None: as is believed then."""
        ...


def in_force(
    choices: Iterable[Choice], since: datetime | None, until: datetime | None
) -> tuple[Choice, ...]:
    """What is to be applied before a sitting: what was said since the last, and what is held.

    Parameters
    ----------
    choices : iterable of Choice
        Everything that was ever said.
    since : datetime or None
        Moment of the sitting folded before; what was said up to it has been applied. None: there
        was none.
    until : datetime or None
        Moment up to which choices count; None: all.

    Returns
    -------
    tuple of Choice
        In order of time: holds that stand, and everything said in between. A hold or a forgetting
        that was taken back in between is left out: it is as if it had never been said.
    """
    by_term: dict[str, list[Choice]] = {}
    for said in sorted(choices, key=lambda c: c.when):
        if until is None or said.when <= until:
            by_term.setdefault(said.term, []).append(said)
    found = [x for said in by_term.values() for x in _of_one_term(said, since)]
    return tuple(sorted(found, key=lambda c: c.when))


def _of_one_term(said: Sequence[Choice], since: datetime | None) -> list[Choice]:
    before = [c for c in said if since is not None and c.when <= since]
    # A hold or a release is said again each time: its term may not have been there before.
    found = [c for c in before[-1:] if c.choice != "forget"]
    for choice in said[len(before) :]:
        if choice.choice == "learn" and found and found[-1] not in before:
            found.pop()
            if not (found and found[-1].choice == "hold"):
                continue
        found.append(choice)
    return found


def apply(belief: Belief, choices: Iterable[Choice], terms: Iterable[Term] = ()) -> Belief:
    """Belief with what the photographer said of single terms.

    ``hold``: the joint Gaussian on condition that the term is exactly its figure (its mean, where
    none was said): no spread is left to it, and what it shared with others is taken out of
    theirs. ``forget``: the term is at its prior again, apart from all others, which keep their
    own joint law; a hold of it ends. ``learn``: a term without spread has its prior's spread
    again, about the figure it was held at, apart from all others.

    Parameters
    ----------
    belief : Belief
        What is believed.
    choices : iterable of Choice
        In order of time, as `in_force` gives them.
    terms : iterable of Term
        Terms that may come in, with their priors.

    Returns
    -------
    Belief
        A term that is neither believed in nor among `terms` is passed over. One that is forgotten
        without a prior among `terms` is left out: it comes in again at its prior.

    Examples
    --------
    >>> from stillroom.exposure import Life
    >>> from types import SimpleNamespace
    >>> a, b = (Term(n, n, 0.0, 1.0, Life.KIT, "entered") for n in "ab")
    >>> chain = Belief(
    ...     ("a", "b"), np.zeros(2), np.array([[1.0, -0.8], [-0.8, 1.0]]), (Life.KIT,) * 2
    ... )
    >>> hold = SimpleNamespace(term="a", choice="hold", when=None, figure=0.5)
    >>> held = apply(chain, [hold], [a, b])
    >>> held.mean.round(3).tolist(), np.diag(held.covariance).round(3).tolist()
    ([0.5, -0.4], [0.0, 0.36])

    References
    ----------
    Conditional and marginal laws of a joint normal: any text on multivariate statistics.
    """
    priors = {t.name: t for t in terms}
    for said in choices:
        if said.term not in belief.names and said.term in priors:
            belief = belief.extended([priors[said.term]])
        if said.term not in belief.names:
            continue
        at = belief.names.index(said.term)
        if said.choice == "hold":
            belief = _held(belief, at, said.figure)
        elif said.choice == "forget":
            belief = _forgotten(belief, at, priors.get(said.term))
        elif said.term in priors:
            belief = _released(belief, at, priors[said.term].sd)
    return belief


def _held(belief: Belief, at: int, figure: float | None) -> Belief:
    mean, covariance = belief.mean.copy(), belief.covariance.copy()
    value = float(mean[at]) if figure is None else figure
    variance = float(covariance[at, at])
    if variance > NO_SPREAD:
        shared = covariance[at] / variance
        mean += shared * (value - mean[at])
        covariance -= variance * np.outer(shared, shared)
        covariance = (covariance + covariance.T) / 2
    mean[at] = value
    return _apart(belief, at, mean, covariance, 0.0)


def _forgotten(belief: Belief, at: int, prior: Term | None) -> Belief:
    if prior is None:
        name = belief.names[at]
        return belief.keeping(lambda n, _: n != name)
    mean = belief.mean.copy()
    mean[at] = prior.mean
    return _apart(belief, at, mean, belief.covariance.copy(), prior.sd**2)


def _released(belief: Belief, at: int, sd: float) -> Belief:
    if belief.covariance[at, at] > NO_SPREAD:
        return belief
    return _apart(belief, at, belief.mean, belief.covariance.copy(), sd**2)


def _apart(
    belief: Belief, at: int, mean: FloatArray, covariance: FloatArray, variance: float
) -> Belief:
    covariance[at, :] = covariance[:, at] = 0.0
    covariance[at, at] = variance
    return Belief(belief.names, mean, covariance, belief.lives, belief.day)
