"""A real server on a free port, and pages opened on it by room light, size and script."""

from __future__ import annotations

import base64
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal, NamedTuple, Protocol

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from playwright.sync_api import Browser, BrowserContext, Page, expect

from stillroom.services.desk import Desk
from stillroom.web.app import create_app

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
from quarry_lane import open_desk  # type: ignore[import-not-found]

Mode = Literal["studio", "safelight"]
WAIT_MS = 15_000
"""How long a page may take on a machine that is busy with other tests; no promise of the tool."""
expect.set_options(timeout=WAIT_MS)
SIZES = {"phone": (390, 844), "laptop": (1440, 900)}
MODES: tuple[Mode, ...] = ("studio", "safelight")


@contextmanager
def running(app: FastAPI) -> Iterator[str]:
    """Serve `app` on a free port in a thread; the address while it runs."""
    listener = socket.create_server(("127.0.0.1", 0))
    port = listener.getsockname()[1]
    config = uvicorn.Config(app, log_level="warning", lifespan="off", ws="none")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    deadline = time.monotonic() + 10
    while not server.started:
        assert time.monotonic() < deadline, "the server did not start"
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(timeout=10)
        listener.close()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with open_desk(tmp_path) as opened:
        yield opened


@pytest.fixture
def site(desk: Desk) -> Iterator[str]:
    """Address of the app on `desk`."""
    with running(create_app(desk)) as address:
        yield address


class Opener(Protocol):
    """Opens an address of the site in a room and a size."""

    def __call__(
        self, path: str, *, mode: Mode = "studio", size: str = "laptop", script: bool = True
    ) -> Page: ...


@pytest.fixture
def open_page(browser: Browser, site: str) -> Iterator[Opener]:
    """Open pages; a script error or a refused load on any of them fails the test."""
    contexts: list[BrowserContext] = []
    complaints: list[str] = []

    def open_it(
        path: str, *, mode: Mode = "studio", size: str = "laptop", script: bool = True
    ) -> Page:
        width, height = SIZES[size]
        context = browser.new_context(
            base_url=site,
            viewport={"width": width, "height": height},
            java_script_enabled=script,
            locale="en-GB",
            reduced_motion="reduce",
        )
        contexts.append(context)
        context.set_default_timeout(WAIT_MS)
        context.add_cookies([{"name": "mode", "value": mode, "url": site}])
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda said: complaints.append(said.text) if "Content Security" in said.text else None,
        )
        page.goto(path)
        return page

    yield open_it
    for context in contexts:
        context.close()
    assert not complaints


# Controls smaller than they may be. A link inside a sentence is exempt; what lies under a label
# is as large as its label; what is clipped away for screen readers is not touched.
_SMALL = """least => [...document.querySelectorAll('a, button, input, select, textarea, summary')]
  .filter(e => e.checkVisibility({visibilityProperty: true}) && !e.matches('[type=hidden], .skip'))
  .filter(e => !(e.matches('a') && e.closest('p, .small, li p')))
  .map(e => ({e, r: (e.closest('label') || e).getBoundingClientRect()}))
  .filter(({r}) => r.width > 1 && r.height > 1 && (r.height < least - .5 || r.width < least - .5))
  .map(({e, r}) => `${e.tagName} ${e.name || e.textContent.trim()} ${r.width}x${r.height}`)"""


@pytest.fixture
def too_small() -> Callable[[Page, int], list[str]]:
    """List controls smaller than so many pixels."""

    def of(page: Page, least: int) -> list[str]:
        found: list[str] = page.evaluate(_SMALL, least)
        return found

    return of


@pytest.fixture
def sideways() -> Callable[[Page], int]:
    """How many pixels a page can be scrolled sideways."""

    def of(page: Page) -> int:
        pixels: int = page.evaluate(
            "() => document.scrollingElement.scrollWidth - document.documentElement.clientWidth"
        )
        return pixels

    return of


class Light(NamedTuple):
    """What a picture of a screen would throw into the room."""

    most_green: int
    most_blue: int
    mean_red: float
    """Linear, 0 to 1."""


# IEC 61966-2-1 (sRGB) from code value to linear light. The browser decodes its own picture.
_MEASURE = """async data => {
  const png = await (await fetch('data:image/png;base64,' + data)).blob();
  const image = await createImageBitmap(png);
  const canvas = new OffscreenCanvas(image.width, image.height), pen = canvas.getContext('2d');
  pen.drawImage(image, 0, 0);
  const d = pen.getImageData(0, 0, image.width, image.height).data;
  const linear = Float64Array.from({length: 256}, (_, v) => {
    const s = v / 255; return s <= .04045 ? s / 12.92 : ((s + .055) / 1.055) ** 2.4; });
  let g = 0, b = 0, r = 0;
  for (let i = 0; i < d.length; i += 4) {
    if (d[i + 1] > g) g = d[i + 1]; if (d[i + 2] > b) b = d[i + 2]; r += linear[d[i]]; }
  return [g, b, r / (d.length / 4)];
}"""


@pytest.fixture
def light_of(browser: Browser) -> Iterator[Callable[..., Light]]:
    """Measure a page: all of it, or its first screen."""
    context = browser.new_context()
    bench = context.new_page()

    def of(page: Page, *, full: bool = True) -> Light:
        picture = base64.b64encode(page.screenshot(full_page=full)).decode()
        return Light(*bench.evaluate(_MEASURE, picture))

    yield of
    context.close()


@pytest.fixture
def flaws(
    sideways: Callable[[Page], int], too_small: Callable[[Page, int], list[str]]
) -> Callable[[Page, int], list[str]]:
    """What is wrong with a page: it runs over, is hard to hit, or fails WCAG 2.1 A or AA."""

    def of(page: Page, least_px: int) -> list[str]:
        over = sideways(page)
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
        return [
            *([f"{over} px wider than the screen"] if over else []),
            *too_small(page, least_px),
            *(
                f"{rule['id']}: {node['html'][:160]} {node['failureSummary'][:200]}"
                for rule in found.response["violations"]
                for node in rule["nodes"]
            ),
        ]

    return of
