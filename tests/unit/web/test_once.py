"""One form, one write."""

from __future__ import annotations

import threading
import time

import pytest
from starlette.responses import RedirectResponse, Response

from stillroom.errors import NotPossible
from stillroom.web.once import Once

FORM = "a" * 22


class Counter:
    def __init__(self) -> None:
        self.count = 0

    def __call__(self) -> Response:
        self.count += 1
        return RedirectResponse(f"/sheet/{self.count}", status_code=303)


def test_two_taps_at_once_write_once() -> None:
    once, write = Once(), Counter()

    def slow() -> Response:
        time.sleep(0.05)
        return write()

    answers: list[str] = []
    taps = [
        threading.Thread(
            target=lambda: answers.append(once.answer(FORM, slow).headers["location"])
        )
        for _ in range(8)
    ]
    for tap in taps:
        tap.start()
    for tap in taps:
        tap.join()
    assert write.count == 1
    assert answers == ["/sheet/1"] * 8


def test_other_forms_do_not_wait_for_it() -> None:
    once = Once()
    held, go = threading.Event(), threading.Event()

    def slow() -> Response:
        held.set()
        go.wait(5)
        return Response()

    first = threading.Thread(target=once.answer, args=(FORM, slow))
    first.start()
    held.wait(5)
    assert once.answer("b" * 22, Counter()).status_code == 303
    go.set()
    first.join()


def test_a_form_that_failed_may_come_again() -> None:
    once, write = Once(), Counter()

    def fails() -> Response:
        raise NotPossible("Not now.")

    with pytest.raises(NotPossible):
        once.answer(FORM, fails)
    assert once.answer(FORM, lambda: Response(status_code=422)).status_code == 422
    assert once.answer(FORM, write).status_code == 303
    assert once.answer(FORM, write).status_code == 303
    assert write.count == 1


def test_only_so_many_are_remembered() -> None:
    once, write = Once(remembered=2), Counter()
    for letter in "abc":
        once.answer(letter * 22, write)
    once.answer("c" * 22, write)
    assert write.count == 3
    once.answer("a" * 22, write)  # forgotten: the store's own memory is the longer one
    assert write.count == 4
