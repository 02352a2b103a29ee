"""The app as a browser without script sees it."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.services.desk import Desk
from stillroom.web.app import create_app

sys.path.insert(0, str(Path(__file__).parent))
from quarry_lane import open_desk  # type: ignore[import-not-found]

ORIGIN = {"origin": "http://127.0.0.1"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with open_desk(tmp_path) as opened:
        yield opened


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    """A browser on this machine that sends its forms from our own pages."""
    app = create_app(desk)
    with TestClient(
        app, base_url="http://127.0.0.1", headers=ORIGIN, follow_redirects=False
    ) as made:
        yield made


@pytest.fixture
def form_id(client: TestClient) -> Callable[[str], str]:
    """Return the one-time id of the first form on a page."""

    def of(path: str) -> str:
        found = re.search(r'name="form_id" value="([^"]+)"', client.get(path).text)
        assert found
        return found[1]

    return of


@pytest.fixture
def writes(desk: Desk) -> Callable[[], int]:
    """Count what was written into the book since the test began."""
    before = desk._store.revision()
    return lambda: desk._store.revision() - before
