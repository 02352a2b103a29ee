"""Addresses that come from outside, taken apart without trust."""

from __future__ import annotations

from urllib.parse import SplitResult, urlsplit


def parts_of(address: str) -> SplitResult | None:
    """Parts of an address; None when it is none."""
    try:
        parts = urlsplit(address)
        _ = parts.port
    except ValueError:
        return None
    return parts


def local_path(path: str) -> str:
    """Return `path` if it is an address inside this app, else ``/``.

    >>> local_path("/kit?x=1"), local_path("//elsewhere.example"), local_path("https://a.example")
    ('/kit?x=1', '/', '/')
    """
    parts = parts_of(path)
    is_local = (
        parts is not None
        and path.startswith("/")
        and not path.startswith("//")
        and not parts.scheme
        and not parts.netloc
        and "\\" not in path
        and path.isprintable()
    )
    return path if is_local else "/"
