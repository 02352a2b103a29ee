"""The command line inside the test's own process."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from typing import Any

import pytest

from stillroom.cli.failures import quietly
from stillroom.cli.main import app


@dataclass(frozen=True)
class Said:
    """What a command wrote and how it ended."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


class _Input:
    def __init__(self, text: str) -> None:
        self.buffer = io.BytesIO(text.encode())


@dataclass
class Cli:
    """Runs a command as it would be typed."""

    capture: pytest.CaptureFixture[bytes]
    patch: pytest.MonkeyPatch

    def __call__(self, *arguments: object, given: str = "") -> Said:
        self.patch.setattr("sys.stdin", _Input(given))
        self.capture.readouterr()
        code = quietly(app, [str(a) for a in arguments])
        seen = self.capture.readouterr()
        return Said(code, seen.out.decode(), seen.err.decode())

    def refused(self, *arguments: object, given: str = "") -> str:
        """The one line of a command that cannot be done; it has printed nothing else."""
        said = self(*arguments, given=given)
        assert said.code == 2, said
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert said.err.startswith("stillroom: ")
        assert "Traceback" not in said.err
        return said.err.removeprefix("stillroom: ").strip()
