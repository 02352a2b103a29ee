"""What every page needs: its frame, the mode of the room, form ids, a word after a write."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable, Iterator
from functools import cache
from importlib.resources import files
from typing import Literal
from urllib.parse import quote, unquote

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response, StreamingResponse

from stillroom.services.desk import Desk
from stillroom.web.addresses import local_path, parts_of
from stillroom.web.coin import lamp_note, screen_of
from stillroom.web.filters import FILTERS

Mode = Literal["studio", "safelight"]
Lengths = Literal["metric", "imperial"]

MODE_COOKIE = "mode"
DIM_COOKIE = "dim"
SAID_COOKIE = "said"
LENGTHS = "lengths"
LETTERS = "letter keys"
DIMS = ("0", "1", "2")
YEAR_S = 365 * 24 * 3600
SAID_MOST = 400
MORE = "<!-- more -->"
"""Stands in a template where what is drawn so far is sent."""

NAV = (
    ("Sitting", "/sitting", "n"),
    ("Bench", "/bench", "b"),
    ("Daylight", "/daylight", "d"),
    ("Papers", "/papers", "p"),
    ("Other camera", "/other", "o"),
    ("Kit", "/kit", ""),
)
"""Name, address and letter key of what the running head leads to."""
SAFELIGHT_NAV = ("Sitting", "Bench")


def desk_of(request: Request) -> Desk:
    """The desk this app was made for."""
    desk: Desk = request.app.state.desk
    return desk


def mode_of(request: Request) -> Mode:
    """Studio unless the room was made dark."""
    return "safelight" if request.cookies.get(MODE_COOKIE) == "safelight" else "studio"


def dim_of(request: Request) -> int:
    """Step of the dimmer of this browser, 0 the brightest."""
    dim = request.cookies.get(DIM_COOKIE, DIMS[0])
    return DIMS.index(dim) if dim in DIMS else 0


def lengths_of(request: Request) -> Lengths:
    """How this reader wants lengths printed."""
    wanted = desk_of(request).preference(LENGTHS, "metric")
    return "imperial" if wanted == "imperial" else "metric"


def render(
    request: Request,
    template: str,
    *,
    status: int = 200,
    safelight_ok: bool = False,
    **context: object,
) -> Response:
    """Draw a page in the mode of the room.

    Parameters
    ----------
    request : Request
        The request being answered.
    template : str
        Name of a template under ``templates/``.
    status : int
        HTTP status.
    safelight_ok : bool
        Whether this page may be drawn in the dark. A page that does not say so is replaced by
        "This needs the lights on." there, so a new page is dark until it was made for it.
    **context
        What the template shows. Set already: ``mode, dim, lamp, nonce, nav, here, back, lengths,
        letters, said, form_id(), asset(), saved, safelight_ok``.
    """
    drawn, framed = _framed(request, template, context, safelight_ok=safelight_ok)
    answer = HTMLResponse(drawn.render(framed), status_code=status)
    if framed["said"]:
        answer.delete_cookie(SAID_COOKIE)
    return answer


def render_in_parts(request: Request, template: str, **context: object) -> Response:
    """Draw a page like `render`, and send what stands above each `MORE` before working on.

    What a template asks for below it is worked out when its turn comes, so that a page whose first
    part is quick is seen at once, without script. What can go wrong must be tried before.
    """
    drawn, framed = _framed(request, template, context, safelight_ok=False)
    answer = StreamingResponse(_parts(drawn.generate(framed)), media_type="text/html")
    if framed["said"]:
        answer.delete_cookie(SAID_COOKIE)
    return answer


def _parts(pieces: Iterable[str]) -> Iterator[str]:
    held: list[str] = []
    for piece in pieces:
        held.append(piece)
        if MORE in piece:
            yield "".join(held)
            held.clear()
    yield "".join(held)


def _framed(
    request: Request, template: str, context: dict[str, object], *, safelight_ok: bool
) -> tuple[Template, dict[str, object]]:
    """The template for the mode of the room, and all that it shows."""
    mode = mode_of(request)
    if mode == "safelight" and not safelight_ok:
        template, context = "needs_light.html", {"wanted": context.get("heading", "")}
    here = _here(request)
    dim, screen = dim_of(request), screen_of(request.cookies)
    framed = {
        "request": request,
        "here": here,
        "back": here if safelight_ok else "/",
        "mode": mode,
        "dim": DIMS[dim],
        "lamp": lamp_note(desk_of(request), screen, dim) if mode == "safelight" else "",
        "nonce": request.state.nonce,
        "nav": _nav(request, mode),
        "safelight_ok": safelight_ok,
        "lengths": lengths_of(request),
        "letters": desk_of(request).preference(LETTERS, "on") != "off",
        "said": unquote(request.cookies.get(SAID_COOKIE, ""))[:SAID_MOST],
        "form_id": new_form_id,
        "saved": desk_of(request).saved(),
        **context,
    }
    return environment().get_template(template), framed


def to(where: str, *, said: str = "") -> RedirectResponse:
    """Answer a form: 303 to `where`, where `said` is shown once on top."""
    answer = RedirectResponse(where, status_code=303)
    if said:
        answer.set_cookie(
            SAID_COOKIE, quote(said[:SAID_MOST]), max_age=60, httponly=True, samesite="lax"
        )
    return answer


def new_form_id() -> str:
    """Fresh one-time id for a form."""
    return secrets.token_urlsafe(16)


@cache
def environment() -> Environment:
    """Templates of the package, escaped everywhere, with the filters of `web.filters`."""
    made = Environment(
        loader=PackageLoader("stillroom.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters.update(FILTERS)
    made.globals["asset"] = asset
    return made


@cache
def asset(name: str) -> str:
    """Address of a static file; its print in the address makes a changed file a new one."""
    content = files("stillroom.web").joinpath("static", *name.split("/")).read_bytes()
    return f"/static/{name}?v={hashlib.sha256(content).hexdigest()[:12]}"


def _here(request: Request) -> str:
    """Where to come back to: this page, or the page whose form is being answered."""
    if request.method == "GET":
        path, query = quote(request.scope["path"]), request.scope["query_string"].decode("latin-1")
    else:
        parts = parts_of(request.headers.get("referer", ""))
        path, query = (parts.path, parts.query) if parts else ("/", "")
    return local_path(f"{path}?{query}" if query else path)


def _nav(request: Request, mode: Mode) -> list[tuple[str, str, bool, str]]:
    """Name, address, whether we are there, and letter; only what this mode may show."""
    path = request.scope["path"]
    entries = list(NAV)
    if not desk_of(request).book().sittings:
        entries[0] = ("Start", "/start", entries[0][2])
    shown = SAFELIGHT_NAV if mode == "safelight" else tuple(name for name, _, _ in entries)
    return [
        (name, where, path == where or path.startswith(f"{where}/"), letter)
        for name, where, letter in entries
        if name in shown
    ]
