"""Every error Stillroom raises on purpose.

::

    StillroomError                  base: one clear sentence, ready to show
    ├── BadValue (ValueError)       one named value is not usable
    │   └── OutOfRange              ... because it lies outside its allowed range
    ├── UnknownName (ValueError)    a name that nothing here carries
    ├── DuplicateName (ValueError)  a name given to two things
    ├── BadDocument (ValueError)    a document that cannot be read as a whole
    ├── NotPossible                 asked for something the state of the book does not allow
    └── BookError                   the book's file cannot be opened, read or written

A message has three parts: what was found, which limit it met, what to do next.
"No setting reaches this" and "not yet known" are answers, not errors.
"""

from __future__ import annotations

import math
from collections.abc import Iterable


class StillroomError(Exception):
    """Base of all errors raised on purpose; ``str(error)`` is one sentence for the user."""


class BadValue(StillroomError, ValueError):
    """A value that cannot be used where it stands.

    Parameters
    ----------
    name : str
        The field, as the user knows it.
    value : object
        What was found.
    reason : str
        Which limit it met and what to do, without the field's name.
    """

    def __init__(self, name: str, value: object, reason: str) -> None:
        self.name = name
        self.value = value
        self.reason = reason
        super().__init__(f"{name} is {shown(value)}: {reason}.")


class OutOfRange(BadValue):
    """A number outside its allowed range; carries ``low``, ``high`` and ``unit``."""

    def __init__(self, name: str, value: object, low: float, high: float, unit: str = "") -> None:
        self.low = low
        self.high = high
        self.unit = unit
        of = f" {unit}" if unit else ""
        super().__init__(name, value, f"give a number from {low:g} to {high:g}{of}")


class UnknownName(StillroomError, ValueError):
    """A name that nothing in the document or book carries."""

    def __init__(self, kind: str, name: str, known: Iterable[str]) -> None:
        self.kind = kind
        self.name = name
        self.known = tuple(known)
        choices = ", ".join(self.known) if self.known else "none yet"
        super().__init__(f"There is no {kind} called {shown(name)}; known here: {choices}.")


class DuplicateName(StillroomError, ValueError):
    """One name given to two things of a kind."""

    def __init__(self, kind: str, name: str) -> None:
        self.kind = kind
        self.name = name
        super().__init__(f"Two of the {kind} are called {shown(name)}: give each its own name.")


class BadDocument(StillroomError, ValueError):
    """A document that cannot be read as a whole (form, version or size)."""


class NotPossible(StillroomError):
    """Something the present state of the book or sitting does not allow."""


class BookError(StillroomError):
    """The book's file cannot be opened, read or written."""


def shown(value: object) -> str:
    """A value as it stands in a sentence: short, quoted when it is text."""
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def in_range(name: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Return `value` as a float, or raise `OutOfRange` if it is not finite or lies outside.

    Parameters
    ----------
    name : str
        The field, as the user knows it.
    value : float
        The number to check [in `unit`].
    low, high : float
        Allowed range, both ends included [in `unit`].
    unit : str
        Unit shown in the message.

    Raises
    ------
    OutOfRange
        If `value` is not a finite number from `low` to `high`.

    Examples
    --------
    >>> in_range("distance", 0.9, 0.05, 100, "m")
    0.9
    """
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise OutOfRange(name, value, low, high, unit)
    number = float(value)
    if not math.isfinite(number) or number < low or number > high:
        raise OutOfRange(name, value, low, high, unit)
    return number
