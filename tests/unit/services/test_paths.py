"""Flag before environment before config file before default, each with its origin."""

from __future__ import annotations

from pathlib import Path

import pytest

from stillroom.errors import StillroomError
from stillroom.services import find_paths, paths_report


def config(folder: Path, text: str) -> Path:
    path = folder / "config.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_defaults_lie_in_the_users_own_folders() -> None:
    rows = paths_report(environment={})
    assert [(row.name, row.origin) for row in rows] == [
        ("config", "default"),
        ("data", "default"),
        ("book", "default"),
    ]
    assert all(row.path.is_absolute() and "stillroom" in row.path.parts for row in rows)
    assert rows[2].path == rows[1].path / "book.db"
    assert not rows[1].path.exists()  # nothing is made by asking


def test_the_order_of_precedence(tmp_path: Path) -> None:
    file = config(tmp_path, 'book = "in-config.db"\ndata = "/media/stick"\n')
    env = {"STILLROOM_CONFIG": str(file)}
    found = find_paths(environment=env)
    assert (found.config.path, found.config.origin) == (file, "STILLROOM_CONFIG")
    assert (found.book.path, found.book.origin) == (tmp_path / "in-config.db", str(file))
    assert (found.data.path, found.data.origin) == (Path("/media/stick"), str(file))
    env["STILLROOM_BOOK"] = "/elsewhere/b.db"
    found = find_paths(environment=env)
    assert (found.book.path, found.book.origin) == (Path("/elsewhere/b.db"), "STILLROOM_BOOK")
    found = find_paths(environment=env, book=Path("/flag.db"))
    assert (found.book.path, found.book.origin) == (Path("/flag.db"), "--book")


def test_the_book_lies_in_the_data_folder_unless_named() -> None:
    found = find_paths(environment={"STILLROOM_DATA": "/media/stick"})
    assert found.book.path == Path("/media/stick/book.db")
    assert found.book.origin == "in data (STILLROOM_DATA)"


def test_home_is_understood_and_empty_means_not_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", "/people/om")
    env = {"STILLROOM_BOOK": "~/portraits.db", "STILLROOM_DATA": ""}
    found = find_paths(environment=env)
    assert found.book.path == Path("/people/om/portraits.db")
    assert found.data.origin == "default"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("book = ", "is not TOML"),
        ("port = 8000", "no setting (in {file}) called 'port'; known here: data, book"),
        ("book = 7", "book in {file} is 7: write a path as text"),
        ('data = " "', "data in {file} is ' ': write a path as text"),
    ],
)
def test_a_config_file_that_cannot_be_used(tmp_path: Path, text: str, sentence: str) -> None:
    file = config(tmp_path, text)
    with pytest.raises(StillroomError) as caught:
        find_paths(config=file, environment={})
    assert sentence.format(file=file) in str(caught.value)


def test_a_config_file_that_was_named_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(StillroomError, match=r"no config file .*none\.toml \(named by --config\)"):
        find_paths(config=tmp_path / "none.toml", environment={})


def test_a_config_file_in_another_encoding(tmp_path: Path) -> None:
    file = tmp_path / "config.toml"
    file.write_bytes(b'book = "\xe9.db"')
    with pytest.raises(StillroomError, match="is not UTF-8 text"):
        find_paths(config=file, environment={})
