"""Steady light is advised with focus and stillness weighed in; flash is as before."""

from __future__ import annotations

import pytest

from stillroom.services.advising import policy_at
from stillroom.services.sharp import sharp_of
from stillroom.services.worktable import worktable
from tests.unit.book_cases import book_of, head_and_shoulders

LAMP = {"role": "key", "kind": "window", "metered_lx": 900, "metered_sd_stops": 0.3}


def by_the_window(**holding: object) -> dict[str, object]:
    data: dict[str, object] = head_and_shoulders(lights=[LAMP], aims={"key": {"density": 0.6}})
    data["sittings"][0]["holding"] = holding  # type: ignore[index]
    return data


def test_longer_is_less_still_and_smaller_is_deeper() -> None:
    book = book_of(by_the_window(support="head_rest"))
    sharp = sharp_of(book, book.sittings[0])
    assert sharp is not None
    assert sharp(8.0, 1.0, 1) > sharp(8.0, 4.0, 1) > sharp(8.0, 12.0, 1) > 0
    assert sharp(8.0, 4.0, 1) == sharp(8.0, 2.0, 2)
    assert sharp(16.0, 2.0, 1) > sharp(5.6, 2.0, 1)


def test_a_head_rest_holds_better_than_standing() -> None:
    held = {}
    for support in ("head_rest", "standing"):
        book = book_of(by_the_window(support=support, focus_on="eye"))
        sharp = sharp_of(book, book.sittings[0])
        assert sharp is not None
        held[support] = sharp(8.0, 2.0, 1)
    assert held["head_rest"] > 2 * held["standing"]


@pytest.mark.parametrize("window_too", [False, True])
def test_a_flash_weighs_nothing_of_it(*, window_too: bool) -> None:
    data = head_and_shoulders()
    if window_too:
        data["sittings"][0]["lights"].append({**LAMP, "role": "far"})
    book = book_of(data)
    assert sharp_of(book, book.sittings[0]) is None
    assert policy_at(worktable(book, book.sittings[0].id)).sharp is None
