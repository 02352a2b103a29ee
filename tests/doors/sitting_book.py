"""The small example book further on, and the forms of a page as a browser sends them.

The book is the invented scenario of the allotments on Quarry Lane: nothing in it was measured.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Protocol

from fastapi.testclient import TestClient

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.services.desk import Desk
from stillroom.services.planner import engine

sys.path.insert(0, str(Path(__file__).parent))
from quarry_lane import open_desk  # type: ignore[import-not-found]

DATA = Path(__file__).parents[1] / "data"
STRIP = (1.75, 1.5, 1.2, 0.85, 0.55, 0.3)


def sitting_book() -> Book:
    """The example with two more sheets, one of them unread, and a strip of her own."""
    book: dict[str, Any] = json.loads((DATA / "quarry_lane_small.json").read_text())
    book["papers"][0]["comparison_strip"] = [
        {"step": n, "density": density} for n, density in enumerate(STRIP, 1)
    ]
    sitting = book["sittings"][0]
    del sitting["aims"]["brim"]
    plan = {"lights": {"key": {"dial": -0.6}, "rim": {"dial": 0.5}}, "f_number": 5.6}
    sitting["sheets"] += [
        {
            "number": 3,
            "mark": "OM 3",
            "when": "2026-11-14T11:50:00+00:00",
            "settings": plan,
            "kept": True,
            "readings": [
                {
                    "when": "2026-11-14T12:15:00+00:00",
                    "by": "strip",
                    "regions": {
                        "key": {"density": 0.62, "steps": [4, 5]},
                        "shadow": {"density": 1.5, "steps": [2]},
                        "rim": {"verdict": "bare_paper"},
                    },
                }
            ],
        },
        {"number": 4, "mark": "OM 4", "when": "2026-11-14T12:20:00+00:00", "settings": plan},
    ]
    return read_book(json.dumps(book))


class Remembering:
    """The real engine; what it said of one and the same book is not worked out again."""

    def __init__(self) -> None:
        self._said: dict[tuple[str, ...], Any] = {}

    def __getattr__(self, verb: str) -> Callable[..., Any]:
        answer = getattr(engine(), verb)

        def remembered(book: Book, *of: Any, memo: object = None) -> Any:
            del memo  # the real memory would be of another test's file
            key = (verb, book.model_dump_json(), *(str(one) for one in of))
            if key not in self._said:
                self._said[key] = answer(book, *of)
            return self._said[key]

        return remembered


REMEMBERING = Remembering()


@contextmanager
def sitting_desk(folder: Path, book: Book | None = None) -> Iterator[Desk]:
    """A desk on `sitting_book`, or another."""
    with open_desk(folder, sitting_book() if book is None else book) as desk:
        desk._planner = REMEMBERING
        yield desk


class Answer(Protocol):
    """What a page answered."""

    status_code: int

    @property
    def text(self) -> str: ...
    @property
    def headers(self) -> Mapping[str, str]: ...


def press(
    client: TestClient, page: str, button: tuple[str, str] = ("", ""), **more: str | list[str]
) -> Answer:
    """Fill in a form of a page and press a button of it.

    ``at`` is how the form's address ends, the page's own unless it is said; every other word is
    a field and what was put into it.
    """
    at = str(more.pop("at", page.partition("?")[0]))
    forms = Forms(client.get(page).text)
    action = next(one for one in forms.fields if one.endswith(at))
    fields: dict[str, str | list[str]] = {**forms.fields[action], **more}
    where = action
    if button != ("", ""):
        found = [one for one in forms.buttons[action] if one[:2] == button]
        assert found, f"no button {button} among {forms.buttons[action]}"
        where = found[0][2] or action
        fields[button[0]] = button[1]
    return client.post(where, data=fields)


class Forms(HTMLParser):
    """The forms of a page with what would be sent when nothing is touched."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.fields: dict[str, dict[str, list[str]]] = {}
        self.buttons: dict[str, list[tuple[str, str, str]]] = {}
        self._action = ""
        self._select: str | None = None
        self._options: list[tuple[str, bool]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._action = told["action"]
            self.fields[self._action] = {}
            self.buttons[self._action] = []
        elif self._action and tag == "select":
            self._select, self._options = told["name"], []
        elif self._action and tag == "option":
            self._options.append((told["value"], "selected" in told))
        elif self._action and tag == "button" and told.get("type", "submit") == "submit":
            button = (told.get("name", ""), told.get("value", ""), told.get("formaction", ""))
            self.buttons[self._action].append(button)
        elif self._action and tag == "input" and "name" in told:
            is_choice = told.get("type") in ("radio", "checkbox")
            if not is_choice or "checked" in told:
                self._add(told["name"], told.get("value", "on" if is_choice else ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._action = ""
        elif tag == "select" and self._select is not None:
            chosen = [value for value, is_chosen in self._options if is_chosen]
            self._add(self._select, chosen[0] if chosen else self._options[0][0])
            self._select = None

    def _add(self, name: str, value: str) -> None:
        self.fields[self._action].setdefault(name, []).append(value)
