"""What the book believes of kit and papers, as the pages ask for it."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.requests import Request

from stillroom.web.page import desk_of
from stillroom.web.views.kit_list import TermBelief


def kit_beliefs(request: Request) -> Mapping[str, TermBelief]:
    """Belief of each thing that sheets have taught about, by ``head/A`` and the like."""
    return desk_of(request).kit_belief()
