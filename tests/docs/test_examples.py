"""Examples in pages and docstrings run, and a wrong value fails."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]


def run_in(folder: Path) -> tuple[int, str]:
    """Run a small project under this one's settings; return exit code and output."""
    for name in ("pyproject.toml", "conftest.py"):
        shutil.copy(ROOT / name, folder)
    for name in ("tests", "src", "docs"):
        (folder / name).mkdir(exist_ok=True)
    (folder / "README.md").touch()
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (">>> 2 + 1\n3\n", 0),
        (">>> 2 + 1\n4\n", 1),
        ("stops = 1.5\nassert 2 * stops == 3\n", 0),
        ("stops = 1.5\nassert 2 * stops == 4\n", 1),
    ],
)
@pytest.mark.parametrize("page", ["README.md", "docs/page.md", "docs/decisions/page.md"])
def test_a_page_fails_when_its_value_is_wrong(
    tmp_path: Path, page: str, text: str, code: int
) -> None:
    (tmp_path / "docs" / "decisions").mkdir(parents=True)
    (tmp_path / page).write_text(f"# Page\n\n```python\n{text}```\n")
    got, output = run_in(tmp_path)
    assert got == code, output
    assert ("1 passed" if code == 0 else "1 failed") in output


@pytest.mark.parametrize(("value", "code"), [("3", 0), ("4", 1)])
def test_a_docstring_fails_when_its_value_is_wrong(tmp_path: Path, value: str, code: int) -> None:
    (tmp_path / "src" / "stillroom").mkdir(parents=True)
    (tmp_path / "src" / "stillroom" / "__init__.py").write_text(
        f'"""A room.\n\n>>> 2 + 1\n{value}\n"""\n'
    )
    got, output = run_in(tmp_path)
    assert got == code, output


@pytest.mark.parametrize("page", PAGES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_example_escapes(page: Path) -> None:
    """Fences of Python under another name would not run."""
    opened = re.findall(r"^[ >]*(?:```+|~~~+)[ \t]*([^\s`]+.*)$", page.read_text(), re.MULTILINE)
    escaped = [name for name in opened if re.match(r"py", name) and name != "python"]
    assert escaped == []
    assert "skip:" not in page.read_text()
