"""What the book believes of kit and papers, as the pages ask for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from starlette.requests import Request

from stillroom.telling.known_view import Section, chain_view, chains_with, term_view, terms_of
from stillroom.web.page import desk_of
from stillroom.web.views.papers_view import BandPoint, Known

if TYPE_CHECKING:
    from stillroom.services.beliefs import TermBelief  # the engine is imported when it is asked


def kit_beliefs(request: Request) -> Mapping[str, TermBelief]:
    """Belief of each thing that sheets have taught about, by ``head/A`` and the like."""
    return desk_of(request).kit_belief()


def paper_known(request: Request, paper_id: str) -> Known:
    """Belief of one batch."""
    belief = desk_of(request).paper_belief(paper_id)
    return Known(
        ei=belief.ei,
        ei_low=belief.ei_low,
        ei_high=belief.ei_high,
        dmin=belief.dmin,
        dmax=belief.dmax,
        curve=tuple(BandPoint(p.placement_stops, p.density, p.low, p.high) for p in belief.curve),
        sentence=belief.sentence,
    )


FIRST = ("speed", "output", "loss", "transmission", "bias", "light")
"""The term of a thing that is shown first, with what moved it."""
CHAINS_SHOWN = 6


def known_of(request: Request, beginning: str, back: str) -> Section | None:
    """What is known of one thing's terms and chains; None for what has no terms."""
    if not beginning:
        return None
    desk = desk_of(request)
    found = terms_of(desk.known(), beginning)
    first = [t for t in found if t.term.removeprefix(beginning).rpartition("/")[2] in FIRST]
    return Section(
        terms=tuple(term_view(desk.known_term(t.term)) for t in first),
        others=tuple(term_view(t) for t in found if t not in first),
        chains=chains_with(desk.known(), beginning, CHAINS_SHOWN),
        back=back,
    )


THINGS = ("head/", "lamp/", "modifier/", "lens/", "meter/", "paper/", "seat/")
"""Terms that a page of Kit or Papers shows."""


def shared_of(request: Request) -> Section:
    """What is known of terms that belong to no thing, and every chain."""
    found = desk_of(request).known()
    return Section(
        terms=(),
        others=tuple(term_view(t) for t in found.terms if not t.term.startswith(THINGS)),
        chains=tuple(chain_view(c) for c in found.chains),
        back="/known",
    )
