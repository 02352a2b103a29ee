"""The ground the tests stand on."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import platformdirs
import pytest
from playwright.sync_api import Page

ROOT = Path(__file__).parents[1]


def without_chromium(tmp_path: Path, **environment: str) -> str:
    """Run the browser test below on a machine without a browser."""
    command = [sys.executable, "-m", "pytest", "-q", "-m", "browser", "-p", "no:cacheprovider"]
    done = subprocess.run(
        [*command, __file__],
        cwd=ROOT,
        env={**os.environ, "STILLROOM_CHROMIUM": str(tmp_path / "none"), **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout


@pytest.mark.browser
def test_a_page_opens(page: Page) -> None:
    page.set_content("<title>Sheet</title><script>document.title += ' OM 4'</script>")
    assert page.title() == "Sheet OM 4"


def test_no_browser_skips_with_a_sentence_at_a_desk(tmp_path: Path) -> None:
    output = without_chromium(tmp_path, STILLROOM_REQUIRE_BROWSER="")
    assert "1 skipped" in output
    assert "Chromium was not found" in output


def test_no_browser_fails_where_one_is_required(tmp_path: Path) -> None:
    output = without_chromium(tmp_path, STILLROOM_REQUIRE_BROWSER="1")
    assert "1 error" in output
    assert "Chromium was not found" in output


@pytest.mark.skipif(sys.platform != "linux", reason="folders follow XDG on Linux only")
def test_the_own_book_is_out_of_reach(own_folders: Path) -> None:
    assert platformdirs.user_data_path("stillroom").is_relative_to(own_folders)


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        ("kind='printed'", "published needs source"),
        ("source='a book', kind='heard'", "published needs source"),
        ("source='a book', kind='printed'", "1 passed"),
    ],
)
def test_a_published_check_names_source_and_kind(tmp_path: Path, mark: str, words: str) -> None:
    test = tmp_path / "test_it.py"
    test.write_text(
        f"import pytest\n@pytest.mark.published({mark})\ndef test_it() -> None: assert True\n"
    )
    (tmp_path / "conftest.py").write_text((ROOT / "tests" / "conftest.py").read_text())
    command = [sys.executable, "-m", "pytest", "-q", "-c", str(ROOT / "pyproject.toml")]
    done = subprocess.run(
        [*command, "--rootdir", str(tmp_path), "-p", "no:cacheprovider", str(test)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert words in done.stdout + done.stderr
