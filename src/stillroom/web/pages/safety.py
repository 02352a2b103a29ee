"""Every caution by its place in the work, the hazards of chemicals, what must never meet."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.services.cautions import FIRST, PLACES
from stillroom.telling.safety_told import never_together, substances
from stillroom.web.page import render

router = APIRouter()


@router.get("/safety")
def safety(request: Request) -> Response:
    """Draw the page."""
    return render(
        request,
        "safety.html",
        heading="Cautions",
        first=FIRST,
        places=PLACES,
        substances=substances(),
        never=never_together(),
    )
