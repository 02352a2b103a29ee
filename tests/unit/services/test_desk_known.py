"""Hold, forget and learn again through the desk: written once, nothing overwritten."""

from __future__ import annotations

import pytest

from stillroom.errors import NotPossible, UnknownName
from stillroom.services import Desk
from stillroom.store import BookFile

HEAD = "head/A/output"


def test_what_is_held_is_what_was_shown(desk: Desk) -> None:
    shown = desk.known_term(HEAD)
    held = desk.hold(HEAD)
    (choice,) = desk.book().choices
    assert choice.figure == pytest.approx(shown.entered + shown.shift, abs=1e-6)
    assert (held.standing, held.sd) == ("held", 0.0)


def test_a_form_that_is_sent_twice_says_it_once(desk: Desk) -> None:
    for _ in range(2):
        assert desk.hold(HEAD, "form-of-one-hold").standing == "held"
    assert len(desk.book().choices) == 1
    with pytest.raises(NotPossible, match="used for something else"):
        desk.forget(HEAD, "form-of-one-hold")
    with pytest.raises(NotPossible, match="used for something else"):
        desk.hold("head/A/slope", "form-of-one-hold")


def test_every_word_stays_in_the_file(desk: Desk, store: BookFile) -> None:
    desk.hold(HEAD)
    desk.learn(HEAD)
    desk.forget(HEAD)
    assert [c.choice for c in store.load().choices] == ["hold", "learn", "forget"]
    assert [c.figure is None for c in store.load().choices] == [False, True, True]


def test_what_is_not_there_is_named_and_nothing_is_written(desk: Desk) -> None:
    for verb in (desk.hold, desk.forget, desk.learn):
        with pytest.raises(UnknownName, match="no term called 'geometry"):
            verb("geometry/pump house/key/key")
    assert desk.book().choices == ()
