"""The ledger of stops, opened from any number of a sheet."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.answers import Forecast
from stillroom.documents.book import Sitting
from stillroom.documents.making import as_made
from stillroom.errors import NotPossible
from stillroom.telling.known_view import term_view
from stillroom.telling.ledger_view import Opens, ledger_view
from stillroom.telling.names import slug, thing, unslug
from stillroom.telling.sitting_view import sitting_of
from stillroom.telling.strip import region_row, tone_strip
from stillroom.telling.turned import turned
from stillroom.web.beliefs import paper_known
from stillroom.web.page import desk_of, new_form_id, render

router = APIRouter()


@router.get("/sitting/{segment}/{number}/ledger")
def ledger(
    request: Request, segment: str, number: int, region: str = "", term: str = ""
) -> Response:
    """Draw the ledger of one region of one sheet."""
    book = desk_of(request).book()
    sitting = sitting_of(book, unslug(segment))
    forecast = _forecast(request, sitting, number)
    wanted = region or next(iter(forecast.regions), "")
    view = ledger_view(book, sitting, forecast, wanted)
    paper = thing(book.papers, sitting.paper)
    curve = paper_known(request, sitting.paper).points
    page = f"/sitting/{slug(sitting.id)}/{number}/ledger"
    apart = ("region", "term", "light")
    knobs = [(k, v) for k, v in request.query_params.items() if k not in apart]
    names = frozenset(found.term for found in desk_of(request).known().terms)
    opens = Opens(
        names,
        page,
        (*knobs, ("region", wanted)),
        term_view(desk_of(request).known_term(term)) if term in names else None,
        request.query_params.get("light", ""),
        new_form_id(),
    )
    rows = [region_row(forecast.regions[wanted], curve)]
    return render(
        request,
        "ledger.html",
        view=view,
        mark=forecast.mark if number == forecast.sheet_number else _mark(sitting, number),
        is_past=number != forecast.sheet_number,
        address=f"/sitting/{slug(sitting.id)}",
        number=number,
        turned=knobs,
        opens=opens,
        strip=tone_strip(curve, paper.comparison_strip if paper else (), rows),
    )


def _forecast(request: Request, sitting: Sitting, number: int) -> Forecast:
    """What is believed now of this sheet: the next one as planned, an old one as it was made."""
    desk = desk_of(request)
    past = {sheet.number: sheet for sheet in sitting.sheets}
    if number in past:
        if desk.first_development(sitting.id, number) is not None:
            return desk.made_forecast(sitting.id, number)
        return desk.forecast(sitting.id, as_made(past[number].settings, past[number].made))
    advice = desk.advice(sitting.id)
    if number != advice.sheet_number:
        raise NotPossible(
            f"There is no sheet {number} yet: the next one is {advice.sheet_number}."
        )
    stands = turned(sitting, advice.settings, request.query_params)
    return advice.forecast if stands == advice.settings else desk.forecast(sitting.id, stands)


def _mark(sitting: Sitting, number: int) -> str:
    found = next(sheet for sheet in sitting.sheets if sheet.number == number)
    return found.mark or f"Sheet {number}"
