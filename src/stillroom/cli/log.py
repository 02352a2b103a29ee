"""Where details go that no one-line sentence holds: one small file in the data folder."""

from __future__ import annotations

import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

from stillroom.services.paths import find_paths

NAME = "stillroom.log"
LARGEST_BYTES = 500_000


def log_file() -> Path:
    """The file; nothing is made."""
    return find_paths().data.path / NAME


def logger(door: str) -> logging.Logger:
    """The logger of a door, ``cli`` or ``web``, which writes into the file and nowhere else.

    The file and its folder are made when the first line is written.
    """
    found = logging.getLogger("stillroom")
    if not found.handlers:
        found.addHandler(_Late(log_file()))
        found.propagate = False
    return found.getChild(door)


class _Late(logging.Handler):
    """Makes the folder only when there is something to write."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self._path = path
        self._file: RotatingFileHandler | None = None

    def emit(self, record: logging.LogRecord) -> None:
        if self._file is None:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._file = RotatingFileHandler(
                self._path, maxBytes=LARGEST_BYTES, backupCount=1, encoding="utf-8"
            )
            self._file.setFormatter(logging.Formatter("%(asctime)s %(name)s %(message)s"))
        self._file.emit(record)

    def close(self) -> None:
        if self._file is not None:
            self._file.close()
        super().close()
