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
EXAMPLES = {
    "prompt": ">>> 2 + 1\n{value}\n",
    "assertion": "stops = 1.5\nassert 2 * stops == {value}\n",
    "doctest": '"""A room.\n\n>>> 2 + 1\n{value}\n"""\n',
}
PLACES = {
    "README.md": "prompt",
    "docs/prompt.md": "prompt",
    "docs/assertion.md": "assertion",
    "docs/decisions/prompt.md": "prompt",
    "src/stillroom/__init__.py": "doctest",
}


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], str]:
    """Run two small projects under this one's settings: one with right values, one with wrong."""
    seen = {}
    for value in ("3", "4"):
        project = tmp_path_factory.mktemp("project")
        for name in ("pyproject.toml", "conftest.py"):
            shutil.copy(ROOT / name, project)
        (project / "tests").mkdir()
        for place, example in PLACES.items():
            text = EXAMPLES[example].format(value=value)
            path = project / place
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(f"# Page\n\n```python\n{text}```\n" if place.endswith("md") else text)
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-rA", "-p", "no:cacheprovider"],
            cwd=project,
            capture_output=True,
            text=True,
            check=False,
        )
        for outcome, place in re.findall(r"^(PASSED|FAILED) (\S+?)::", done.stdout, re.MULTILINE):
            seen[place, value] = outcome
    return seen


@pytest.mark.parametrize("place", PLACES)
def test_a_right_value_passes_and_a_wrong_one_fails(
    outcomes: dict[tuple[str, str], str], place: str
) -> None:
    assert outcomes[place, "3"] == "PASSED"
    assert outcomes[place, "4"] == "FAILED"


@pytest.mark.parametrize("page", PAGES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_example_escapes(page: Path) -> None:
    """Fences of Python under another name would not run."""
    text = page.read_text(encoding="utf-8")
    opened = re.findall(r"^[ >]*(?:```+|~~~+)[ \t]*([^\s`]+.*)$", text, re.MULTILINE)
    assert [name for name in opened if name.startswith("py") and name != "python"] == []
