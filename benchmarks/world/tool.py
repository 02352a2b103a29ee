"""The tool at the other end of a pipe: one long-lived process, one line out, one line back."""

from __future__ import annotations

import json
import os
import queue
import subprocess
import tempfile
import threading
import time
from collections import defaultdict
from types import TracebackType
from typing import IO, Any, Self

ONE_THREAD = {
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "NUMEXPR_NUM_THREADS": "1",
}
_STDERR_TAIL = 2000


class ToolError(RuntimeError):
    """The tool answered an error, something else than was asked for, or not at all."""


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is not a number.")


class Tool:
    """A process that speaks the bare ledger.

    Parameters
    ----------
    command : list of str
        How it is started; started at the first line and again after it has died.
    timeout_s : float
        Longest wait for one answer [s].
    """

    def __init__(self, command: list[str], timeout_s: float) -> None:
        self.command = command
        self.timeout_s = timeout_s
        self.waits_s: dict[str, list[float]] = defaultdict(list)
        self._process: subprocess.Popen[str] | None = None
        self._lines: queue.Queue[str | None] = queue.Queue()
        self._ear: threading.Thread | None = None
        self._stderr: IO[str] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _start(self) -> subprocess.Popen[str]:
        self._stderr = tempfile.TemporaryFile("w+", encoding="utf-8")  # noqa: SIM115  closed below
        try:
            process = subprocess.Popen(
                self.command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=self._stderr,
                encoding="utf-8",
                env={**os.environ, **ONE_THREAD},
            )
        except OSError as error:
            raise ToolError(f"The tool cannot be started: {error}") from error
        lines: queue.Queue[str | None] = queue.Queue()

        def listen(out: IO[str]) -> None:
            for line in out:
                lines.put(line)
            lines.put(None)

        if process.stdout is None:
            raise ToolError("The tool's output could not be opened.")
        self._ear = threading.Thread(target=listen, args=(process.stdout,), daemon=True)
        self._ear.start()
        self._process, self._lines = process, lines
        return process

    def ask(self, line: dict[str, Any]) -> dict[str, Any]:
        """Say one line and wait for its answer.

        Parameters
        ----------
        line : dict
            What is said; its ``op`` names the wait in ``waits_s``.

        Returns
        -------
        dict
            The answer.

        Raises
        ------
        ToolError
            The answer is an error, no JSON object, or does not come.
        """
        process = self._process or self._start()
        began = time.perf_counter()
        try:
            if process.stdin is None:
                raise ToolError("The tool's input could not be opened.")
            process.stdin.write(json.dumps(line, allow_nan=False) + "\n")
            process.stdin.flush()
            answer = self._lines.get(timeout=self.timeout_s)
        except BrokenPipeError:
            answer = None
        except queue.Empty:
            self.close()
            raise ToolError(f"No answer to {line['op']} within {self.timeout_s:g} s.") from None
        if answer is None:
            raise ToolError(f"The tool ended at {line['op']}: {self._last_words()}")
        self.waits_s[line["op"]].append(time.perf_counter() - began)
        try:
            said = json.loads(answer, parse_constant=_no_constant)
        except ValueError as error:
            raise ToolError(f"The answer to {line['op']} is no JSON: {error}") from error
        if not isinstance(said, dict):
            raise ToolError(f"The answer to {line['op']} is not an object: {answer.strip()[:200]}")
        if "error" in said:
            raise ToolError(f"Error at {line['op']}: {said['error']}")
        return said

    def _last_words(self) -> str:
        self.close(keep_stderr=True)
        if self._stderr is None:
            return "no trace."
        self._stderr.seek(0)
        words = self._stderr.read()[-_STDERR_TAIL:].strip()
        self._stderr.close()
        self._stderr = None
        return words or "it left no word."

    def close(self, *, keep_stderr: bool = False) -> None:
        """End the process; the next line starts another."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            if self._ear is not None:
                self._ear.join()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    _close_quietly(pipe)
        if self._stderr is not None and not keep_stderr:
            self._stderr.close()
            self._stderr = None


def _close_quietly(pipe: IO[str]) -> None:
    try:
        pipe.close()
    except BrokenPipeError:  # what was still unsent is lost with the process
        return
