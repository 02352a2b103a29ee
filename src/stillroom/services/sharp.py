"""The odds that a picture by steady light is sharp: the eye in focus and the sitter still.

A flash freezes; where one is on, stillness is a matter of ghosts and weighs nothing here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from stillroom.documents import book as doc
from stillroom.services.focusing import focus_asked, p_eye_sharp
from stillroom.services.stillness import STEADY_KINDS, held_as, held_odds


def sharp_of(book: doc.Book, sitting: doc.Sitting) -> Callable[[float, float], float] | None:
    """Odds by exact f-number and whole open time [s]; None where steady light decides nothing.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting
        Which sitting.

    Returns
    -------
    callable or None
        Each answer is worked out once.

    Raises
    ------
    UnknownName
        If camera or lens are not in the book.
    """
    kinds = {light.kind for light in sitting.lights}
    if not kinds & STEADY_KINDS or "head" in kinds:
        return None
    held = held_odds(held_as(book, sitting))
    asked = focus_asked(book, sitting.id)

    @lru_cache(maxsize=256)
    def eye(f_exact: float) -> float:
        return p_eye_sharp(replace(asked, exact=f_exact))

    @lru_cache(maxsize=1024)
    def still(open_s: float) -> float:
        return float(held(open_s))

    return lambda f_exact, open_s: eye(f_exact) * still(open_s)
