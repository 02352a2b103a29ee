"""What every test may lean on: a book of its own, a browser, checks of the marks."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest
from playwright.sync_api import Browser, Page, sync_playwright

KINDS = {"printed", "certified", "independent", "closed form"}
NO_BROWSER = (
    "Chromium was not found, so the pages were not looked at: "
    "install it or name its file in STILLROOM_CHROMIUM."
)

# The same examples every time; shared machines are slow at times, so no deadline.
hypothesis.settings.register_profile(
    "stillroom", derandomize=True, deadline=None, print_blob=False
)
hypothesis.settings.load_profile("stillroom")


def chromium() -> str | None:
    """Return the browser's file: the one named in the environment, or one on the path."""
    named = os.environ.get("STILLROOM_CHROMIUM")
    if named is not None:
        return named if Path(named).is_file() else None
    return shutil.which("chromium") or shutil.which("chromium-browser")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        for mark in item.iter_markers("published"):
            if mark.kwargs.get("kind") not in KINDS or not mark.kwargs.get("source"):
                raise pytest.UsageError(
                    f"{item.nodeid}: published needs source=... and kind=, one of {sorted(KINDS)}."
                )
    # Files with slow tests first, so that no worker is left alone with one at the end.
    long = {item.path for item in items if item.get_closest_marker("slow")}
    items.sort(key=lambda item: item.path not in long)


def pytest_runtest_setup(item: pytest.Item) -> None:
    if item.get_closest_marker("browser") and chromium() is None:
        if os.environ.get("STILLROOM_REQUIRE_BROWSER") == "1":
            pytest.fail(NO_BROWSER, pytrace=False)
        pytest.skip(NO_BROWSER)


@pytest.fixture(scope="session", autouse=True)
def own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Keep every test away from the developer's own book and settings."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        for name in [name for name in os.environ if name.startswith("STILLROOM_")]:
            if name not in {"STILLROOM_CHROMIUM", "STILLROOM_REQUIRE_BROWSER"}:
                patch.delenv(name)
        for kind in ("DATA", "CONFIG", "CACHE", "STATE"):
            patch.setenv(f"XDG_{kind}_HOME", str(home / kind.lower()))
        yield home


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One headless Chromium for the session; the test carries the mark ``browser``."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=chromium(), args=["--no-sandbox", "--disable-dev-shm-usage"]
        )
        yield started
        started.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page with nothing remembered; the test fails when a script on it does."""
    context = browser.new_context(locale="en-GB", reduced_motion="reduce")
    context.set_default_timeout(10_000)
    opened = context.new_page()
    errors: list[str] = []
    opened.on("pageerror", lambda error: errors.append(str(error)))
    yield opened
    context.close()
    assert not errors
