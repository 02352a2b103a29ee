"""The two commands for a stranger: what ``run`` makes, and what it says when it cannot."""

from __future__ import annotations

import ast
import os
import shutil
import signal
import subprocess
import sys
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[1]
FAKE_TOOL = """
import os, sys
def main():
    print(sys.argv[1:], os.getcwd(), sys.stdin.read())
    sys.exit(7)
"""


@pytest.fixture(scope="module")
def run() -> ModuleType:
    loader = SourceFileLoader("run", str(ROOT / "run"))
    spec = spec_from_loader("run", loader)
    assert spec is not None
    module = module_from_spec(spec)
    written, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    loader.exec_module(module)
    sys.dont_write_bytecode = written
    return module


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A checkout whose tool needs no packages and only tells how it was called."""
    shutil.copy(ROOT / "run", tmp_path)
    package = tmp_path / "src" / "stillroom"
    (package / "cli").mkdir(parents=True)
    (package / "__init__.py").touch()
    shutil.copy(ROOT / "src" / "stillroom" / "__main__.py", package)
    (package / "cli" / "__init__.py").write_text(FAKE_TOOL)
    (tmp_path / "requirements").mkdir()
    (tmp_path / "requirements" / "run.txt").write_text("# nothing\n")
    return tmp_path


def start(
    checkout: Path,
    *arguments: str,
    at: Path | None = None,
    environment: dict[str, str] | None = None,
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(checkout / "run"), *arguments],
        cwd=at or checkout,
        env={**os.environ, **(environment or {})},
        input="said",
        capture_output=True,
        text=True,
        check=False,
    )


def stamps(checkout: Path) -> list[Path]:
    return list((checkout / ".venv").glob("*/complete"))


@pytest.mark.parametrize("version", [(3, 6, 15), (3, 10, 13), (3, 15, 0), (2, 7, 18)])
def test_a_python_too_old_or_too_new_is_told_in_one_sentence(
    run: ModuleType, version: tuple[int, int, int]
) -> None:
    found = ".".join(map(str, version[:2]))
    assert run.wrong_python(version) == (
        f"Stillroom needs Python 3.11 to 3.14 and this is {found}: install one, then try again."
    )


@pytest.mark.parametrize("version", [(3, 11, 2), (3, 14, 0)])
def test_a_usable_python_is_left_alone(run: ModuleType, version: tuple[int, int, int]) -> None:
    assert run.wrong_python(version) is None


def test_an_old_python_can_read_the_file() -> None:
    """No syntax younger than Python 3.4; imports that came later stand inside functions."""
    tree = ast.parse((ROOT / "run").read_text(), feature_version=(3, 4))
    for node in ast.walk(tree):
        assert not isinstance(node, ast.JoinedStr | ast.AnnAssign | ast.NamedExpr | ast.Match)
        if isinstance(node, ast.FunctionDef):
            assert node.returns is None
            assert all(argument.annotation is None for argument in node.args.args)
    imported = {
        name.name for node in tree.body if isinstance(node, ast.Import) for name in node.names
    }
    assert imported == {"os", "sys"}


@pytest.mark.skipif(os.name == "nt", reason="the stub is a shell script")
def test_a_stub_that_does_not_start_is_passed_over(
    run: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for folder, script in (("a", "exit 127"), ("b", f'exec {sys.executable} "$@"')):
        (tmp_path / folder).mkdir()
        stub = tmp_path / folder / f"python3.{sys.version_info[1]}"
        stub.write_text(f"#!/bin/sh\n{script}\n")
        stub.chmod(0o755)
    monkeypatch.setenv("PATH", os.pathsep.join([str(tmp_path / "a"), str(tmp_path / "b")]))
    assert run.other_python() == str(tmp_path / "b" / f"python3.{sys.version_info[1]}")
    monkeypatch.setenv("PATH", str(tmp_path / "a"))
    assert run.other_python() is None


def test_another_list_or_another_python_makes_another_environment(
    run: ModuleType, tmp_path: Path
) -> None:
    pins = tmp_path / "run.txt"
    pins.write_text("one==1\n")
    first = run.key(str(pins), (3, 11, 2))
    assert run.key(str(pins), (3, 11, 2)) == first
    assert run.key(str(pins), (3, 11, 7)) != first
    pins.write_text("one==2\n")
    assert run.key(str(pins), (3, 11, 2)) != first


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE FILE", "A package is not the"),
        ("urllib3.connection.HTTPSConnection: Failed to establish: getaddrinfo", "connect to"),
        ("[Errno -3] Temporary failure in name resolution", "connect to the network"),
        ("ERROR: No matching distribution found for numpy", "could not be installed"),
    ],
)
def test_the_installers_words_become_a_reason(run: ModuleType, words: str, sentence: str) -> None:
    assert sentence in run.why_not(words)


def test_an_unknown_task_shows_the_tasks(checkout: Path) -> None:
    for arguments in ((), ("serve",)):
        done = start(checkout, *arguments)
        assert done.returncode == 2
        assert "python3 run demo" in done.stderr
        assert "Traceback" not in done.stderr


@pytest.mark.parametrize("missing", ["src/stillroom/cli/__init__.py", "requirements/run.txt"])
def test_a_copy_that_is_not_whole_is_told_plainly(checkout: Path, missing: str) -> None:
    (checkout / missing).unlink()
    done = start(checkout, "stillroom", "--version")
    assert done.returncode == 2
    assert done.stdout == ""
    assert "is missing: this copy of Stillroom is not whole; fetch it again." in done.stderr


def test_a_folder_that_cannot_be_written_is_told_plainly(checkout: Path) -> None:
    (checkout / ".venv").touch()  # a file where the folder should be
    done = start(checkout, "stillroom")
    assert done.returncode == 2
    assert done.stderr.startswith("The private environment could not be written: ")
    assert "Traceback" not in done.stderr


def listens_to_interrupts() -> None:
    """A shell that runs the tests in the background has told them to ignore interrupts."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.skipif(os.name == "nt", reason="signals differ")
@pytest.mark.slow
def test_an_interrupted_start_leaves_no_stamp_and_no_traceback(checkout: Path) -> None:
    begun = subprocess.Popen(
        [sys.executable, str(checkout / "run"), "stillroom"],
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=listens_to_interrupts,  # noqa: PLW1509 (no thread is running)
    )
    assert begun.stderr is not None
    assert begun.stderr.readline().startswith("Making a private environment")
    os.killpg(begun.pid, signal.SIGINT)
    assert begun.communicate(timeout=20)[1] == ""
    assert begun.returncode == 130
    assert stamps(checkout) == []


@pytest.mark.slow
def test_the_tool_keeps_arguments_folder_input_and_exit_code(
    checkout: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "stillroom.py").write_text("raise SystemExit('the wrong stillroom')")
    first = start(checkout, "stillroom", "read", "--json", "a b", at=elsewhere)
    assert first.stdout == f"['read', '--json', 'a b'] {elsewhere} said\n"
    assert first.returncode == 7
    warm = start(checkout, "demo", "--port", "0", at=elsewhere)
    assert warm.stdout == f"['demo', '--port', '0'] {elsewhere} said\n"
    assert warm.returncode == 7
    assert warm.stderr == ""
    assert len(stamps(checkout)) == 1

    moved = checkout.rename(tmp_path_factory.mktemp("moved") / "checkout")
    assert start(moved, "stillroom").returncode == 7


@pytest.mark.slow
def test_without_network_one_sentence_and_no_stamp(checkout: Path) -> None:
    pins = checkout / "requirements" / "run.txt"
    pins.write_text(f"tzdata==2025.2 \\\n    --hash=sha256:{'0' * 64}\n")
    offline = {
        "PIP_CONFIG_FILE": os.devnull,
        "PIP_INDEX_URL": "http://127.0.0.1:9/",  # nothing listens there
        "PIP_EXTRA_INDEX_URL": "",
        "PIP_FIND_LINKS": "",
        "PIP_NO_CACHE_DIR": "1",
        "PIP_RETRIES": "1",
    }
    done = start(checkout, "stillroom", "--version", environment=offline)
    assert done.returncode == 2
    assert done.stdout == ""
    first, second = done.stderr.splitlines()
    assert first == "Making a private environment, once; give it a minute or two."
    assert second.startswith("The packages could not be fetched: connect to the network")
    assert stamps(checkout) == []
    # what broke is made anew, not taken for good
    pins.write_text("# nothing\n")
    assert start(checkout, "stillroom", environment=offline).returncode == 7
    assert len(stamps(checkout)) == 1
