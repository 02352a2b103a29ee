"""The app: one desk, the guard in front, every page of ``pages/`` behind it."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable
from importlib import import_module

from fastapi import APIRouter, FastAPI
from starlette.staticfiles import StaticFiles

from stillroom.services.desk import Desk
from stillroom.web import error_pages, pages
from stillroom.web.once import Once
from stillroom.web.security import Guard

LOOPBACK = ("127.0.0.1", "localhost")


def create_app(
    desk: Desk,
    *,
    allowed_hosts: Iterable[str] = LOOPBACK,
    port: int | None = None,
    token: str | None = None,
    is_demo: bool = False,
) -> FastAPI:
    """Make the web app of one book.

    Parameters
    ----------
    desk : Desk
        The verbs; the app asks it everything and keeps nothing itself.
    allowed_hosts : iterable of str
        Host names and addresses it answers to.
    port : int, optional
        When given, a Host header must name this port too.
    token : str, optional
        Asked of every visitor when the book is open to a network.
    is_demo : bool
        Whether the book is the invented example, which pages say.
    """
    # No schema and no documentation page: theirs would load scripts from elsewhere.
    app = FastAPI(title="Stillroom", openapi_url=None, docs_url=None, redoc_url=None)
    app.state.desk = desk
    app.state.once = Once()
    app.state.is_demo = is_demo
    for module in sorted(found.name for found in pkgutil.iter_modules(pages.__path__)):
        router: APIRouter = import_module(f"{pages.__name__}.{module}").router
        app.include_router(router)
    app.mount("/static", StaticFiles(packages=[("stillroom.web", "static")]), name="static")
    error_pages.install(app)
    app.add_middleware(Guard, allowed_hosts=tuple(allowed_hosts), port=port, token=token)
    return app
