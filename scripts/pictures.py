"""Make the pictures of the documentation from the example book, in a real browser."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

from playwright.sync_api import sync_playwright

PICTURES = Path(__file__).parents[1] / "docs" / "pictures"
ADDRESS = "http://127.0.0.1:8943"
FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
)


def main() -> None:
    """Start the example, look at it, and end it."""
    chromium = shutil.which("chromium") or sys.exit("There is no chromium on the path.")
    PICTURES.mkdir(exist_ok=True)
    port = ADDRESS.rpartition(":")[2]
    command = [sys.executable, "-m", "stillroom", "demo", "--no-open", "--port", port]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as server:
        try:
            _wait()
            _look(chromium)
        finally:
            server.terminate()


def _wait() -> None:
    for _ in range(300):
        try:
            with urllib.request.urlopen(ADDRESS) as page:
                page.read()
                return
        except OSError:
            time.sleep(0.1)
    sys.exit("The example did not start.")


def _look(chromium: str) -> None:
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=chromium, args=FLAGS.split())
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(f"{ADDRESS}/")
        page.screenshot(path=PICTURES / "sitting.png")
        browser.close()


if __name__ == "__main__":
    main()
