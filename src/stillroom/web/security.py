"""The guard in front of every page: who may ask, from where, how much, and what goes out.

In this order, before any page runs:

1. **Host** must be on the allow-list, so that a foreign name pointed at this machine gets nothing.
2. **Token**, when the book is open to a studio network: once in the address, then in a cookie.
3. **Origin** on every write: the browser's own word for where a form came from.
4. **Body** no longer than its kind may be.
5. Headers on every answer, and a sentence instead of a traceback when something breaks.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from urllib.parse import SplitResult, parse_qsl, urlencode

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from stillroom.web.addresses import local_path, parts_of
from stillroom.web.error_pages import error_page, unexpected_page, written_down

READ_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
FORM_LIMIT_BYTES = 64 * 1024
JSON_LIMIT_BYTES = 8 * 1024 * 1024
TOKEN_COOKIE = "stillroom_key"  # noqa: S105 - a cookie's name
STATIC = "/static/"


@dataclass(frozen=True, slots=True)
class Refused(Exception):
    """A request that goes no further: status and the sentence to show."""

    status: int
    sentence: str


def content_policy(nonce: str) -> str:
    """Everything is our own; scripts and style elements need to be files of ours or the nonce.

    Style *attributes* are allowed on purpose: spindles, brackets and patches stand at measured
    places, and a place is a number of its own for each. An attribute cannot run anything, every
    template escapes, and ``img-src`` keeps one from fetching. Style elements stay under the nonce.
    """
    return "; ".join((
        "default-src 'none'",
        f"script-src 'self' 'nonce-{nonce}'",
        f"style-src 'self' 'nonce-{nonce}'",
        "style-src-attr 'unsafe-inline'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    ))  # fmt: skip


class Guard:
    """ASGI middleware that keeps the promises listed at the top of this module."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        allowed_hosts: Iterable[str],
        port: int | None = None,
        token: str | None = None,
    ) -> None:
        self.app = app
        self.allowed_hosts = frozenset(host.lower() for host in allowed_hosts)
        self.port = port
        self.key = sha256(token.encode()).hexdigest() if token else None
        self.token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or hand it on."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # nothing here speaks anything else
        nonce = secrets.token_urlsafe(16)
        scope.setdefault("state", {})["nonce"] = nonce
        outgoing = _Outgoing(send, nonce, is_static=scope["path"].startswith(STATIC))
        request = Request(scope)
        try:
            await self._answer(request, receive, outgoing)
        except Refused as refused:
            page = error_page(request, refused.status, refused.sentence)
            await page(scope, receive, outgoing)
        except Exception as error:
            error_id = secrets.token_hex(4)
            told = (error_id, request.method, request.url.path)
            is_there = written_down(error, "unexpected error %s at %s %s", *told)
            if outgoing.started:
                raise
            page = unexpected_page(request, error_id if is_there else "")
            await page(scope, receive, outgoing)

    async def _answer(self, request: Request, receive: Receive, send: Send) -> None:
        host = self._host(request.headers)
        if self.key is not None and not request.url.path.startswith(STATIC):
            entrance = self._entrance(request)
            if entrance is not None:
                await entrance(request.scope, receive, send)
                return
        if request.method not in READ_METHODS:
            _check_origin(request.headers, host)
        body = await _bounded_body(request.headers, receive)
        await self.app(request.scope, _replayed(body, receive), send)

    def _host(self, headers: Headers) -> str:
        given = headers.getlist("host")
        parts = parts_of(f"//{given[0]}") if len(given) == 1 else None
        is_ours = (
            parts is not None
            and parts.hostname in self.allowed_hosts
            and not parts.path
            and "@" not in parts.netloc
        )
        if parts is None or not is_ours or self.port not in (None, _port(parts)):
            raise Refused(
                400,
                "This address is not one the book answers to. "
                "Open it by the address printed when it was started.",
            )
        return parts.netloc.lower()

    def _entrance(self, request: Request) -> Response | None:
        """None when the key is there; a redirect that leaves it behind when the token is given."""
        assert self.token is not None  # noqa: S101 - narrows the type; set together with the key
        assert self.key is not None  # noqa: S101 - the same
        if hmac.compare_digest(request.cookies.get(TOKEN_COOKIE, "").encode(), self.key.encode()):
            return None
        given = request.query_params.get("token", "")
        if request.method in READ_METHODS and hmac.compare_digest(
            given.encode(), self.token.encode()
        ):
            rest = [(k, v) for k, v in parse_qsl(request.url.query) if k != "token"]
            where = request.url.path + (f"?{urlencode(rest)}" if rest else "")
            answer = RedirectResponse(local_path(where), status_code=303)
            answer.set_cookie(TOKEN_COOKIE, self.key, httponly=True, samesite="lax")
            return answer
        raise Refused(
            403,
            "This book is open to the studio network only with its token. "
            "Open the whole address that was printed when it was started.",
        )


class _Outgoing:
    """Adds the headers every answer carries, and knows whether the answer has begun."""

    def __init__(self, send: Send, nonce: str, *, is_static: bool) -> None:
        self.send = send
        self.nonce = nonce
        self.is_static = is_static
        self.started = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.started = True
            headers = MutableHeaders(scope=message)
            headers["Content-Security-Policy"] = content_policy(self.nonce)
            headers["X-Content-Type-Options"] = "nosniff"
            headers["Referrer-Policy"] = "same-origin"
            headers["Cross-Origin-Opener-Policy"] = "same-origin"
            headers["Cross-Origin-Resource-Policy"] = "same-origin"
            headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()"
            # A page the browser kept could come back bright in a dark room: pages are not kept.
            headers.setdefault("Cache-Control", "no-cache" if self.is_static else "no-store")
        await self.send(message)


def _port(parts: SplitResult) -> int:
    return parts.port or {"https": 443}.get(parts.scheme, 80)


def _same_place(address: str, host: str) -> bool:
    parts, here = parts_of(address), parts_of(f"//{host}")
    return (
        parts is not None
        and here is not None
        and parts.scheme in ("http", "https")
        and parts.hostname == here.hostname
        and _port(parts) == (here.port or _port(parts._replace(netloc="")))
    )


def _check_origin(headers: Headers, host: str) -> None:
    """Refuse a write that did not come from a page of this app."""
    origin = headers.get("origin")
    site = headers.get("sec-fetch-site")
    if origin is not None:
        is_own = _same_place(origin, host)
    elif site is not None:
        is_own = site == "same-origin"
    else:
        is_own = _same_place(headers.get("referer", ""), host)
    if not is_own:
        raise Refused(
            403,
            "This form did not come from a page of this book, so nothing was written. "
            "Open the page here and send it again.",
        )


async def _bounded_body(headers: Headers, receive: Receive) -> bytes:
    """Whole body, read before any page runs; refused as soon as it is too long."""
    is_json = headers.get("content-type", "").split(";")[0].strip().endswith("json")
    limit = JSON_LIMIT_BYTES if is_json else FORM_LIMIT_BYTES
    declared = headers.get("content-length", "0")
    if not declared.isdecimal():
        raise Refused(400, "The length of what was sent cannot be read. Send it again.")
    if int(declared) > limit:
        raise _too_long(limit)
    parts: list[bytes] = []
    size = 0
    more = True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            break
        part: bytes = message.get("body", b"")
        size += len(part)
        if size > limit:
            raise _too_long(limit)
        parts.append(part)
        more = message.get("more_body", False)
    return b"".join(parts)


def _too_long(limit: int) -> Refused:
    most = f"{limit // 1024**2} MB" if limit >= 1024**2 else f"{limit // 1024} kB"
    return Refused(
        413, f"More was sent than this page takes, which is {most}. Nothing was written."
    )


def _replayed(body: bytes, receive: Receive) -> Receive:
    given = False

    async def once_more() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return once_more
