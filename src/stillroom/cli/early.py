"""What is typed of an early look: three words, at the negative or the pale positive."""

from __future__ import annotations

from collections.abc import Iterable

from stillroom.cli.typed import pairs
from stillroom.documents.book import Reading
from stillroom.documents.read import validated
from stillroom.errors import BadValue

WORDS = ("too_dark", "as_wanted", "too_light")
RED = "Red light makes everything look darker than it is."


def early_look(said: Iterable[str], *, is_pale: bool) -> tuple[Reading, ...]:
    """The reading of an early look; none where nothing was said.

    Parameters
    ----------
    said : iterable of str
        Region, or ``face`` for the whole face, and word.
    is_pale : bool
        Whether it was at the pale positive, else at the negative.

    Raises
    ------
    BadValue
        If a word is none of the three.

    Examples
    --------
    >>> (one,) = early_look(["face=too dark"], is_pale=False)
    >>> one.state, one.by, one.regions["face"].verdict
    ('negative', 'early_look', 'too_dark')
    >>> early_look([], is_pale=False)
    ()
    """
    regions = {region: {"verdict": _word(text)} for region, text in _told(said)}
    if not regions:
        if is_pale:
            raise BadValue("--pale", "yes", "it goes with --early; say what you saw")
        return ()
    state = "pale" if is_pale else "negative"
    return (validated(Reading, {"state": state, "by": "early_look", "regions": regions}),)


def _told(said: Iterable[str]) -> Iterable[tuple[str, str]]:
    return pairs("--early", said, "key=too_dark").items()


def _word(text: str) -> str:
    word = text.lower().replace("-", "_").replace(" ", "_")
    if word not in WORDS:
        raise BadValue("--early", text, f"choose {', '.join(WORDS)}")
    return word
