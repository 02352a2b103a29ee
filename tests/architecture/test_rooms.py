"""The import contracts hold, and break when they should."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "stillroom"
CORE = {
    *("quantity", "light", "camera", "sitter", "paper", "wetline", "scene"),
    *("exposure", "belief", "reading", "preview", "advice"),
}
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())
LAYERS, FORBIDDEN, TOLD = PROJECT["tool"]["importlinter"]["contracts"]
ROOMS = re.findall(r"\w+", " ".join(LAYERS["layers"]))


def lint(folder: Path) -> tuple[bool, str]:
    """Check the contracts of a tree; return whether they hold, and what was said."""
    check = "from importlinter.cli import lint_imports_command as check; check(['--no-cache'])"
    done = subprocess.run(
        [sys.executable, "-S", "-c", f"import sys; sys.path[:] = {['src', *sys.path]!r}; {check}"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode == 0, done.stdout + done.stderr


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """Return a tree of all rooms, each empty, under the project's own contracts."""
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    package = tmp_path / "src" / "stillroom"
    for room in ROOMS:
        (package / room).mkdir(parents=True)
        (package / room / "__init__.py").touch()
    (package / "__init__.py").touch()
    (package / "__main__.py").write_text("import stillroom.cli\n")
    (package / "web" / "app.py").touch()
    (package / "cli" / "serving.py").write_text("import stillroom.web.app\n")
    return tmp_path


def test_the_present_tree_keeps_the_contracts(tmp_path: Path) -> None:
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    shutil.copytree(SOURCE, tmp_path / "src" / "stillroom")
    holds, said = lint(tmp_path)
    assert holds, said


def test_empty_rooms_keep_the_contracts(bare: Path) -> None:
    holds, said = lint(bare)
    assert holds, said


@pytest.mark.parametrize(
    ("room", "line", "contract"),
    [
        ("errors", "import stillroom.quantity", LAYERS["name"]),
        ("exposure", "from stillroom.belief import x", LAYERS["name"]),
        ("belief", "import stillroom.reading", LAYERS["name"]),
        ("light", "import stillroom.camera", LAYERS["name"]),
        ("store", "import stillroom.services", LAYERS["name"]),
        ("services", "import stillroom.telling", LAYERS["name"]),
        ("telling", "import stillroom.web", LAYERS["name"]),
        ("web", "import stillroom.cli", LAYERS["name"]),
        ("cli", "import stillroom.web", LAYERS["name"]),
        ("cli", "import stillroom.web.app", LAYERS["name"]),
        ("telling", "from markupsafe import Markup", TOLD["name"]),
        ("telling", "import rich", TOLD["name"]),
        ("errors", "import sqlite3", FORBIDDEN["name"]),
        ("errors", "from fastapi import FastAPI", FORBIDDEN["name"]),
        ("errors", "import urllib.request", FORBIDDEN["name"]),
    ],
)
def test_a_wrong_import_breaks_its_contract(
    bare: Path, room: str, line: str, contract: str
) -> None:
    (bare / "src" / "stillroom" / room / "inner.py").write_text(line + "\n")
    holds, said = lint(bare)
    assert not holds
    assert f"{contract} BROKEN" in said


def test_an_import_in_the_right_direction_holds(bare: Path) -> None:
    (bare / "src" / "stillroom" / "web" / "inner.py").write_text(
        "import sqlite3\nimport stillroom.services\nimport stillroom.light\n"
    )
    holds, said = lint(bare)
    assert holds, said


def test_an_unlisted_room_breaks_the_contract(bare: Path) -> None:
    (bare / "src" / "stillroom" / "attic.py").touch()
    holds, said = lint(bare)
    assert not holds
    assert "attic" in said


def test_every_core_room_that_stands_is_kept_from_input_and_output() -> None:
    standing = {room for room in CORE if (SOURCE / room / "__init__.py").exists()}
    listed = {name.removeprefix("stillroom.") for name in FORBIDDEN["source_modules"]}
    assert listed == standing | {"errors"}
