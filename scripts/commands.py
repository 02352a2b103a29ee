#!/usr/bin/env python3
"""Fill docs/commands.md: what each example prints, and each command's own help.

python3 scripts/commands.py            runs every example and writes what it prints
python3 scripts/commands.py --check    tells whether the page is up to date
"""

from __future__ import annotations

import math
import os
import re
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "commands.md"
CONSOLE = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
HELP = re.compile(r"^(<!-- help: ([\w-]+) -->\n)```text\n.*?^```$", re.MULTILINE | re.DOTALL)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
PLACE = "~/quarry-lane"
AT_HOME = "/nowhere"
"""A home folder that is not there: whatever an example looks for in it, it finds nothing."""
PORT = "8765"
ANOTHER_MACHINE = 0.02
"""Figures may differ by this where a processor rounds otherwise; odds and thirds may not."""


def filled(text: str) -> str:
    """The page with what its commands print now."""
    with tempfile.TemporaryDirectory(prefix="stillroom-page-") as folder:
        shell = _Shell(Path(folder))
        text = CONSOLE.sub(lambda found: f"```console\n{shell.session(found[1])}```", text)
        return HELP.sub(
            lambda found: f"{found[1]}```text\n{shell.run(f'stillroom {found[2]} --help')}```",
            text,
        )


def agrees(page: str, now: str) -> bool:
    """Whether two pages say the same, figures within what another machine may round."""
    if NUMBER.split(page) != NUMBER.split(now):
        return False
    pairs = zip(NUMBER.findall(page), NUMBER.findall(now), strict=True)
    return all(
        a == b or ("." in a and math.isclose(float(a), float(b), abs_tol=ANOTHER_MACHINE))
        for a, b in pairs
    )


def alike(page: str, now: str) -> bool:
    """Whether two pages tell of the same commands, as another processor may answer them.

    It rounds otherwise, the cloud then takes another way, and a dial, a third or the odds may come
    out one further. So of an answer only this is compared: that there is one or none, that it is
    no refusal where the page shows none, and what stands before its first figure. Everything
    outside the examples must be the same.
    """
    if HELP.findall(page) != HELP.findall(now) or CONSOLE.sub("", page) != CONSOLE.sub("", now):
        return False
    said, says = _answers(page), _answers(now)
    return len(said) == len(says) and all(map(_same_kind, said, says))


def _answers(text: str) -> list[tuple[str, str]]:
    """Each command with what it printed."""
    blocks = "".join(found[1] for found in CONSOLE.finditer(text))
    parts = re.split(r"^\$ (.*)\n", blocks, flags=re.MULTILINE)
    return list(zip(parts[1::2], parts[2::2], strict=True))


def _same_kind(a: tuple[str, str], b: tuple[str, str]) -> bool:
    refused = [answer.startswith("stillroom: ") for _, answer in (a, b)]
    starts = [re.split(r"[\d+−¼½¾⅓⅔]", answer, maxsplit=1)[0] for _, answer in (a, b)]
    return a[0] == b[0] and refused[0] == refused[1] and starts[0] == starts[1]


def helped(text: str) -> set[str]:
    """Commands whose help stands on the page."""
    return {found[2] for found in HELP.finditer(text)}


def exemplified(text: str) -> set[str]:
    """Commands that a worked example uses."""
    typed = "\n".join(
        line
        for found in CONSOLE.finditer(text)
        for line in found[1].splitlines()
        if line[:2] == "$ "
    )
    return set(re.findall(r"stillroom ([a-z][\w-]*)", typed))


class _Shell:
    """One folder in which the examples of the page follow each other."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder / "quarry-lane"
        self._folder.mkdir()
        tools = folder / "bin"
        tools.mkdir()
        tool = tools / "stillroom"
        tool.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m stillroom "$@"\n')
        tool.chmod(0o755)
        kept = {k: v for k, v in os.environ.items() if not k.startswith(("STILLROOM_", "XDG_"))}
        self._environment = {
            **kept,
            "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}",
            "PYTHONPATH": str(ROOT / "src"),
            "HOME": AT_HOME,
            "STILLROOM_DATA": str(self._folder / "data"),
        }

    def session(self, text: str) -> str:
        commands = [line[2:] for line in text.splitlines() if line.startswith("$ ")]
        return "".join(f"$ {command}\n{self.run(command)}" for command in commands)

    def run(self, command: str) -> str:
        serves = re.match(r"stillroom (demo|serve)(?!.*(--document|--help))", command)
        said = self._served(command) if serves else self._ran(command)
        return said.replace(str(self._folder), PLACE).replace(f"{AT_HOME}/", "~/")

    def _ran(self, command: str) -> str:
        done = subprocess.run(  # noqa: S602 - the page's own examples
            command,
            shell=True,
            cwd=self._folder,
            env=self._environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            check=False,
            timeout=120,
        )
        return done.stdout

    def _served(self, command: str) -> str:
        """Start it, wait until it answers, press Ctrl-C."""
        with subprocess.Popen(  # noqa: S602 - the page's own examples
            f"exec {command}",
            shell=True,
            cwd=self._folder,
            env=self._environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
        ) as started:
            assert started.stdout is not None  # noqa: S101 - it is a pipe
            lines = []
            for line in started.stdout:
                lines.append(line)
                if line.startswith("Open "):
                    started.send_signal(signal.SIGINT)
        said = "".join(line for line in lines if not line.startswith("Port "))
        return re.sub(r"(127\.0\.0\.1:)\d+", rf"\g<1>{PORT}", said).replace("\n\n", "\n^C\n")


def main() -> int:
    """Write the page, or check it; 1 when a check finds it out of date."""
    page = PAGE.read_text(encoding="utf-8")
    now = filled(page)
    if "--check" in sys.argv[1:]:
        same = agrees(page, now)
        sys.stdout.write("The page is up to date.\n" if same else "The page is out of date.\n")
        return 0 if same else 1
    PAGE.write_text(now, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
