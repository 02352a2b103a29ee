"""What went wrong, in one line: never a traceback."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable
from typing import Any, TextIO

import typer

from stillroom.errors import StillroomError

WRONG = 2
"""Exit code: something given cannot be used."""
UNEXPECTED = 1
"""Exit code: the tool itself failed, or nobody reads on."""
INTERRUPTED = 130
"""Exit code after Ctrl-C."""

# The framework brings its own copy of its base, whose classes have no public name.
_USAGE = typer.BadParameter.__mro__[1]
_FRAMEWORK = typer.BadParameter.__mro__[2]
_NOT_WHOLE = re.compile("Input should be a valid integer.*|'.*' is not a valid int.*")
_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f]")


def quietly(app: Callable[..., Any], arguments: list[str] | None = None) -> int:
    """Run the command line; whatever happens ends in an exit code and at most one line.

    Parameters
    ----------
    app : typer.Typer
        The commands.
    arguments : list of str, optional
        What was typed; the process's own arguments when left out.

    Returns
    -------
    int
        0; 2 when something given cannot be used; 1 when the tool failed; 130 after Ctrl-C.
    """
    _forgiving(sys.stdout)
    _forgiving(sys.stderr)
    try:
        code = app(arguments, prog_name="stillroom", standalone_mode=False)
        sys.stdout.flush()
    except SystemExit as end:  # the framework's answer to a pipe that was closed
        code = end.code
    except BaseException as error:  # noqa: BLE001 - the last door: nobody sees a traceback
        return _ended_by(error)
    return code if isinstance(code, int) else 0


def _ended_by(error: BaseException) -> int:
    if isinstance(error, BrokenPipeError):
        _close_quietly()
        return UNEXPECTED
    if isinstance(error, (KeyboardInterrupt, typer.Abort)):
        return INTERRUPTED
    if isinstance(error, StillroomError):
        return _say(str(error), WRONG)
    if isinstance(error, _FRAMEWORK):
        return _say(_usage_sentence(error), WRONG)
    return _say(_logged(error), UNEXPECTED)


def plain(text: str) -> str:
    r"""A text without control characters: a name from a document cannot steer the terminal.

    Examples
    --------
    >>> plain("O. M.\x1b[2J")
    'O. M.?[2J'
    """
    return _CONTROL.sub("?", text)


def _say(sentence: str, code: int) -> int:
    try:
        sys.stderr.write(f"stillroom: {plain(' '.join(sentence.split()))}\n")
        sys.stderr.flush()
    except OSError:
        pass  # nobody listens; the exit code still tells
    return code


def _usage_sentence(error: BaseException) -> str:
    said = str(getattr(error, "message", "") or error).strip()
    format_message = getattr(error, "format_message", None)
    if format_message is not None:
        said = str(format_message()).strip()
    context = getattr(error, "ctx", None)
    command = context.command_path if isinstance(error, _USAGE) and context else "stillroom"
    said = _NOT_WHOLE.sub("write a whole number", said)
    said = said if said.endswith((".", "?", "!")) else f"{said}."
    return f"{said} {command} --help tells what can be given."


def _logged(error: BaseException) -> str:
    import secrets  # noqa: PLC0415

    from stillroom.cli.log import log_file, logger  # noqa: PLC0415

    error_id = secrets.token_hex(4)
    try:
        logger("cli").error("unexpected error %s", error_id, exc_info=error)
        where = f"the details are in {log_file()}"
    except (OSError, StillroomError):
        where = "the details could not be written down"
    return f"Something unexpected went wrong (error {error_id}); {where}."


def _forgiving(stream: TextIO | None) -> None:
    """A terminal that lacks a sign gets a question mark in its place, not an error."""
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")


def _close_quietly() -> None:
    """Nobody reads on: let the interpreter's own last flush go nowhere."""
    with open(os.devnull, "w", encoding="utf-8") as nowhere:  # noqa: PTH123 - a device
        os.dup2(nowhere.fileno(), sys.stdout.fileno())
