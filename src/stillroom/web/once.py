"""One form, one write: a form sent twice gets the first answer again.

The store remembers the ids of readings and sheets for good. This is the nearer guard, for every
form: it also holds back a second tap while the first is still being written, and it answers a
repeat with the redirect the first one got.
"""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable
from threading import Lock

from starlette.responses import Response

from stillroom.errors import NotPossible

REMEMBERED = 2000
_FORM_ID = re.compile(r"[A-Za-z0-9_-]{16,64}")


class Once:
    """Remembers the answers of the last forms; safe to use from several threads."""

    def __init__(self, remembered: int = REMEMBERED) -> None:
        self._remembered = remembered
        self._lock = Lock()
        self._entries: OrderedDict[str, tuple[Lock, list[Response]]] = OrderedDict()

    def answer(self, form_id: str, write: Callable[[], Response]) -> Response:
        """Call `write` for the first of all posts with this id; later ones get its redirect.

        A form that was sent back to be put right (status 400 and more, or an error) does not
        count: it may come again.
        """
        if not _FORM_ID.fullmatch(form_id):
            raise NotPossible("This form carries no number of its own. Open the page again.")
        with self._lock:
            lock, answers = self._entries.setdefault(form_id, (Lock(), []))
            self._entries.move_to_end(form_id)
            while len(self._entries) > self._remembered:
                self._entries.popitem(last=False)
        with lock:
            if answers:
                return _copy(answers[0])
            response = write()
            if response.status_code < 400:
                answers.append(_copy(response))
            return response


def _copy(response: Response) -> Response:
    again = Response(bytes(response.body), response.status_code)
    again.raw_headers = list(response.raw_headers)
    return again
