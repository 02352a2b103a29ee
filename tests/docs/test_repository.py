"""What the files of the project must not say, and links that must lead somewhere."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
# Written apart, so that this file does not find itself.
FORBIDDEN = re.compile(
    "|".join(
        [
            r"(?<![\w.])/" + r"(?:tmp|root|work|home)/",  # a machine's folders
            "py" + r"pi\.(?:org|python)",  # addresses of package indexes
            "python" + r"hosted\.org",
            r"registry\." + "npm",
            r"index-" + "url +",
            "file" + "://",
        ]
    )
)
PAGES = [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").rglob("*.md"))]
# Pages and pictures others are writing now; a name leaves this list when its file is there.
PROMISED = {"sitting.png"}


def texts() -> Iterator[tuple[Path, str]]:
    """Every text file of the project, caches and environments left out."""
    for folder, folders, names in os.walk(ROOT):
        folders[:] = [
            name
            for name in folders
            if (not name.startswith(".") or name == ".ci")
            and name not in {"__pycache__", "dist", "build", "shots"}
        ]
        for name in names:
            path = Path(folder, name)
            if not ignored(path):
                try:
                    yield path, path.read_text(encoding="utf-8")
                except UnicodeDecodeError:
                    continue  # a picture or a table of numbers


def ignored(path: Path) -> bool:
    return path.suffix in {".pyc", ".log"} or path.name.startswith(".coverage")


def found(text: str) -> list[str]:
    return [match.group() for match in FORBIDDEN.finditer(text)]


def test_no_file_tells_of_a_machine_or_an_index() -> None:
    read = 0
    for path, text in texts():
        read += 1
        assert found(text) == [], path
    assert read > 20


@pytest.mark.parametrize(
    "line",
    [
        "see /" + "tmp/book.json",
        "--index-" + "url somewhere",
        "numpy @ file" + "://x",
        "from https://py" + "pi.org/simple",
    ],
)
def test_a_forbidden_line_would_be_found(line: str) -> None:
    assert found(line)


@pytest.mark.parametrize(
    "line", ["src/work/flow", "./work/x", "https://doi.org/10.1/x", "a/tmp/b"]
)
def test_an_innocent_line_is_left_alone(line: str) -> None:
    assert not found(line)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8")):
        if "://" not in target and Path(target).name not in PROMISED:
            assert (page.parent / target).exists(), target


def test_pins_are_hashed_for_every_platform() -> None:
    for name in ("run", "test", "proof"):
        text = (ROOT / "requirements" / f"{name}.txt").read_text()
        pinned = re.split(r"\n(?=\S)", text.strip())
        assert all(re.match(r"[a-z0-9-]+==\S+", pin) for pin in pinned)
        assert all("--hash=sha256:" in pin for pin in pinned)
        for compiled in ("numpy", "scipy", "pydantic-core"):
            hashes = sum(pin.count("--hash") for pin in pinned if pin.startswith(f"{compiled}=="))
            assert hashes > 40, compiled


def test_pins_of_tests_and_of_the_proof_contain_the_pins_of_the_tool() -> None:
    run, test, proof = (
        {
            line.rstrip(" \\")
            for line in (ROOT / "requirements" / f"{name}.txt").read_text().splitlines()
            if re.match(r"[a-z]", line)
        }
        for name in ("run", "test", "proof")
    )
    assert run <= test
    assert run <= proof


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps no executable bit")
@pytest.mark.parametrize("name", ["run", ".ci/run"])
def test_the_commands_can_be_started(name: str) -> None:
    assert os.access(ROOT / name, os.X_OK)


def test_the_ci_script_can_be_read_by_its_shell() -> None:
    subprocess.run(["bash", "-n", str(ROOT / ".ci" / "run")], check=True)  # noqa: S607
