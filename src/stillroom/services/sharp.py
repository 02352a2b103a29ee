"""The odds that a picture by steady light is sharp: the eye in focus and the sitter still.

A flash freezes. What several pops draw is told beside the odds, and weighs nothing here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from stillroom.documents import book as doc
from stillroom.services.focus_asked import focus_asked
from stillroom.services.focusing import p_eye_sharp
from stillroom.services.stillness import STEADY_KINDS, held_as, held_odds


def sharp_of(book: doc.Book, sitting: doc.Sitting) -> Callable[[float, float, int], float] | None:
    """Odds by exact f-number, seconds of one opening and openings.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting
        Which sitting.

    Returns
    -------
    callable or None
        Each answer is worked out once. None where a flash makes some of the picture.

    Raises
    ------
    UnknownName
        If camera or lens are not in the book.
    """
    kinds = {light.kind for light in sitting.lights}
    if not kinds & STEADY_KINDS or "head" in kinds:
        return None
    odds, asked = held_odds(held_as(book, sitting)), focus_asked(book, sitting.id)
    still = lru_cache(maxsize=1024)(lambda open_s: float(odds(open_s)))

    @lru_cache(maxsize=256)
    def eye(f_exact: float) -> float:
        return p_eye_sharp(replace(asked, exact=f_exact))

    return lambda f_exact, open_s, openings: eye(f_exact) * still(open_s * openings)
