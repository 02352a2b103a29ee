"""Notes the mark of every published check in the report, where the page of evidence finds it."""

from __future__ import annotations

from collections.abc import Callable

import pytest


@pytest.fixture(autouse=True)
def note_of_the_mark(
    request: pytest.FixtureRequest, record_property: Callable[[str, object], None]
) -> None:
    for mark in request.node.iter_markers("published"):
        of = mark.kwargs.get("of", ())
        record_property("of", of if isinstance(of, str) else " ".join(of))
        for name in ("kind", "source", "status"):
            record_property(name, mark.kwargs.get(name, ""))
