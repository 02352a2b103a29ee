"""What a caution is: a label and one or two sentences."""

from __future__ import annotations

from typing import NamedTuple


class Caution(NamedTuple):
    """A caution; makers' words, safety data sheets and local rules go before it.

    Parameters
    ----------
    label : str
        What it is about, two or three words.
    text : str
        One to three sentences.

    Examples
    --------
    >>> label, text = Caution("Hot", "Let it cool.")
    >>> label
    'Hot'
    """

    label: str
    text: str
