"""Error pages: one sentence, in the page's own style and mode, never a traceback."""

from __future__ import annotations

import logging

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from stillroom.errors import BookError, NotPossible, StillroomError, UnknownName
from stillroom.web.page import render

log = logging.getLogger("stillroom.web")

_HEADINGS = {
    400: "Not understood",
    403: "Not let in",
    404: "Nothing here",
    405: "Not that way",
    409: "Not just now",
    413: "Too much at once",
    422: "One thing to put right",
    500: "Something broke",
}


def error_page(request: Request, status: int, sentence: str, error_id: str = "") -> Response:
    """Draw one error; if even that fails, say the sentence as plain text."""
    heading = _HEADINGS.get(status, _HEADINGS[500 if status >= 500 else 400])
    try:
        return render(
            request,
            "error.html",
            status=status,
            safelight_ok=True,
            heading=heading,
            sentence=sentence,
            error_id=error_id,
        )
    except Exception as error:  # noqa: BLE001 - it is in the log, and the reader gets a sentence
        written_down(error, "the error page itself could not be drawn")
        told = f"{heading}. {sentence} {error_id}".strip()
        return PlainTextResponse(told, status_code=status)


def unexpected_page(request: Request, error_id: str) -> Response:
    """Page for an error nobody expected; `error_id` finds it in the log, if it stands there."""
    again = (
        "if it happens again, the number below finds it in the log"
        if error_id
        else "the details could not be written down"
    )
    return error_page(
        request,
        500,
        "Stillroom met something it did not expect. What you wrote down before is kept. "
        f"Go back and try again; {again}.",
        error_id,
    )


def written_down(error: Exception, message: str, *figures: object) -> bool:
    """Put an error into the log; a log that takes nothing is no second accident."""
    try:
        log.error(message, *figures, exc_info=error)
    except OSError:
        return False
    return True


def status_of(error: StillroomError) -> int:
    """HTTP status that says what kind of error this is."""
    if isinstance(error, UnknownName):
        return 404
    if isinstance(error, NotPossible):
        return 409
    if isinstance(error, BookError):
        return 500
    return 422


def install(app: FastAPI) -> None:
    """Give `app` a page for every error raised on purpose."""

    @app.exception_handler(StillroomError)
    async def on_purpose(request: Request, error: Exception) -> Response:
        assert isinstance(error, StillroomError)  # noqa: S101 - registered for it
        return error_page(request, status_of(error), str(error))

    @app.exception_handler(HTTPException)
    async def by_the_router(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)  # noqa: S101 - registered for it
        sentences = {
            404: "There is no page at this address.",
            405: "This address does not take what was sent to it.",
        }
        answer = error_page(
            request, error.status_code, sentences.get(error.status_code, str(error.detail))
        )
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(RequestValidationError)
    async def by_the_form(request: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)  # noqa: S101 - registered for it
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"][1:]) or "address"
        return error_page(request, 422, f"{where}: {first['msg']}.")
