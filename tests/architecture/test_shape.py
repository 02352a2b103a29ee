"""House rules on the shape of the source that no linter knows."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "stillroom"
FILES = sorted(SOURCE.rglob("*.py"))
NAMES = [str(path.relative_to(SOURCE)) for path in FILES]


def unseeded(tree: ast.AST) -> list[int]:
    """Lines that ask for random numbers nobody can repeat."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and ast.unparse(node.func).endswith(("default_rng", "SeedSequence", "PCG64"))
        and not node.args
        and not node.keywords
    ]


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_random_numbers_can_be_repeated(path: Path) -> None:
    assert unseeded(ast.parse(path.read_text())) == []


def test_unseeded_numbers_would_be_found() -> None:
    assert unseeded(ast.parse("x = 1\nrng = np.random.default_rng()")) == [2]
    assert unseeded(ast.parse("rng = np.random.default_rng(7)")) == []


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_files_stay_readable(path: Path) -> None:
    assert path.stem not in {"utils", "helpers", "common", "misc"}
    assert len(path.read_text().splitlines()) <= 480  # "about 400"


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_every_module_says_what_it_is_for(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text()))
