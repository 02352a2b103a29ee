"""States of a room: how its own light differs from one to another."""

from __future__ import annotations

from stillroom.quantity import Stops

OPEN_STATE = "curtains open"
"""The state in which sun and sky are reckoned."""
# Light of the place against the same with curtains open; invented, until sheets tell.
_ROOM_STATES = {"closed": Stops(-3.0, 1.5), "evening": Stops(-5.0, 2.0), "dark": Stops(-8.0, 2.0)}


def is_open(state: str) -> bool:
    """Whether a state of a room is the one in which sun and sky are reckoned.

    Examples
    --------
    >>> is_open("curtains open"), is_open(""), is_open("curtains closed")
    (True, True, False)
    """
    return not state or "open" in state.lower()


def state_shift(metered_in: str, now: str) -> Stops:
    """How far a state of the room lies from the one its light was metered in [stops].

    Examples
    --------
    >>> state_shift("curtains open", "curtains closed").value
    -3.0
    >>> state_shift("evening", "evening").u
    0.0
    """
    if metered_in == now:
        return Stops(0.0)

    def against_open(state: str) -> Stops:
        known = (v for word, v in _ROOM_STATES.items() if word in state.lower())
        return next(known, Stops(0.0, 0.7))

    return against_open(now) - against_open(metered_in)
