"""Where things lie: flag before environment before config file before default."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import platformdirs

from stillroom.errors import BadDocument, BadValue, UnknownName

APP = "stillroom"
BOOK_NAME = "book.db"


@dataclass(frozen=True, slots=True)
class Place:
    """One value with where it came from.

    Parameters
    ----------
    name : str
        ``config``, ``data`` or ``book``.
    path : Path
        The file or folder, absolute.
    origin : str
        Such as ``default``, ``STILLROOM_BOOK``, ``--book`` or the path of the config file.
    """

    name: str
    path: Path
    origin: str


@dataclass(frozen=True, slots=True)
class Paths:
    """The places the tool uses."""

    config: Place
    data: Place
    book: Place


def find_paths(
    *,
    book: Path | None = None,
    data: Path | None = None,
    config: Path | None = None,
    environment: Mapping[str, str] | None = None,
) -> Paths:
    """Every place, found in the order flag, ``STILLROOM_*``, config file, default.

    Parameters
    ----------
    book, data, config : Path, optional
        Flags of the command line: the book's file, the folder for data, the config file.
    environment : mapping, optional
        Environment variables; the process's own when left out.

    Returns
    -------
    Paths
        Absolute; nothing is made.

    Raises
    ------
    BadDocument
        If the config file cannot be read.
    UnknownName, BadValue
        If it holds a name that is not known, or a value that is no path.

    Examples
    --------
    >>> paths = find_paths(environment={"STILLROOM_BOOK": "/media/stick/book.db"})
    >>> paths.book.origin
    'STILLROOM_BOOK'
    """
    env = os.environ if environment is None else environment
    usual = Path(platformdirs.user_config_dir(APP, appauthor=False), "config.toml")
    config_place = _first("config", _flag_or_variable("config", config, env), {}, usual, usual)
    settings = _settings(config_place)
    folder = Path(platformdirs.user_data_dir(APP, appauthor=False))
    data_place = _first(
        "data", _flag_or_variable("data", data, env), settings, folder, config_place.path
    )
    in_data = data_place.path / BOOK_NAME
    book_place = _first(
        "book", _flag_or_variable("book", book, env), settings, in_data, config_place.path
    )
    if book_place.origin == "default" and data_place.origin != "default":
        book_place = Place("book", in_data, f"in data ({data_place.origin})")
    return Paths(config_place, data_place, book_place)


def paths_report(
    *,
    book: Path | None = None,
    data: Path | None = None,
    config: Path | None = None,
    environment: Mapping[str, str] | None = None,
) -> tuple[Place, ...]:
    """Each value with its origin, in the order they depend on each other; see `find_paths`."""
    found = find_paths(book=book, data=data, config=config, environment=environment)
    return found.config, found.data, found.book


def _flag_or_variable(name: str, flag: Path | None, env: Mapping[str, str]) -> Place | None:
    variable = f"STILLROOM_{name.upper()}"
    if flag is not None:
        return Place(name, _absolute(flag), f"--{name}")
    if env.get(variable):
        return Place(name, _absolute(Path(env[variable])), variable)
    return None


def _first(
    name: str, said: Place | None, settings: Mapping[str, Any], default: Path, config_file: Path
) -> Place:
    if said is not None:
        return said
    if name in settings:
        # A path in the config file means the same wherever the tool is started.
        path = _absolute(config_file.parent / Path(settings[name]).expanduser())
        return Place(name, path, str(config_file))
    return Place(name, _absolute(default), "default")


def _absolute(path: Path) -> Path:
    return Path(os.path.abspath(path.expanduser()))  # noqa: PTH100 - links stay as they are


def _settings(config: Place) -> dict[str, Any]:
    if not config.path.is_file():
        if config.origin != "default":
            raise BadDocument(
                f"There is no config file {config.path} (named by {config.origin}): make it or "
                "leave it out."
            )
        return {}
    try:
        found = tomllib.loads(config.path.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadDocument(
            f"The config file {config.path} cannot be read: {error.strerror}."
        ) from None
    except UnicodeDecodeError:
        raise BadDocument(f"The config file {config.path} is not UTF-8 text.") from None
    except tomllib.TOMLDecodeError as error:
        raise BadDocument(f"The config file {config.path} is not TOML: {error}.") from None
    for name, value in found.items():
        if name not in ("data", "book"):
            raise UnknownName(f"setting (in {config.path})", name, ("data", "book"))
        if not isinstance(value, str) or not value.strip():
            raise BadValue(f"{name} in {config.path}", value, "write a path as text")
    return found
