"""Second edges in sentences: the odds, what would help, what a dark test proves."""

from __future__ import annotations

import math

from stillroom.quantity import stops_text
from stillroom.services.stillness_words import SUPPORT_WORDS, open_text, tenths

FIRES_WORDS = {
    "sync_shutter": "a shutter with sync",
    "cap_in_dark": "the cap, in a dark room",
    "cap_in_light": "the cap, in the light",
    "remote": "a release in the sitter's hand",
    "second_person": "somebody else at the flash",
}
NO_FLASH = "No flash is on, so nothing is drawn twice: what moves smears."
NO_STEADY = (
    "No steady light is written down for this sitting, so no second edge is reckoned; a dark test "
    "tells whether there is none."
)


def size_text(stops: float) -> str:
    """A number of stops without a sign.

    Examples
    --------
    >>> size_text(1), size_text(2.3), size_text(-0.3)
    ('1 stop', '2⅓ stops', '⅓ stop')
    """
    text = stops_text(stops).lstrip("+\N{MINUS SIGN}")
    return f"{text} stop" if abs(stops) <= 1 else f"{text} stops"


def wanted_text(odds: float) -> str:
    """Odds that are wanted, finer than tenths where they are high.

    Examples
    --------
    >>> wanted_text(0.9), wanted_text(0.95), wanted_text(0.7)
    ('9 in 10', '19 in 20', '7 in 10')
    """
    if odds <= 0.9:
        return tenths(odds)
    n = round(1 / (1 - odds))
    return f"{n - 1} in {n}"


def shows_sentence(region: str, open_s: float, p_shows: float, away: str = "") -> str:
    """The odds of a second edge.

    Examples
    --------
    >>> shows_sentence("Key cheek", 2.0, 0.17)
    'Open 2 s, a second edge shows at the key cheek 2 in 10.'
    """
    return (
        f"Open {open_text(open_s)}{away}, a second edge shows at the {region.lower()} "
        f"{tenths(p_shows)}."
    )


def shorter_text(longest_s: float, odds: float) -> str:
    """A shorter opening.

    Examples
    --------
    >>> shorter_text(1.37, 0.9)
    'Open 1.4 s at most: no second edge 9 in 10.'
    """
    return f"Open {open_text(longest_s)} at most: no second edge {wanted_text(odds)}."


def too_long_by_hand(fires: str, least_s: float, longest_s: float) -> str:
    """Where a hand cannot be so quick."""
    return (
        f"No second edge needs {open_text(longest_s)} at most, and {FIRES_WORDS[fires]} takes "
        f"{open_text(least_s)}: darken the room, or take a shutter."
    )


def darker_text(stops: float, odds: float) -> str:
    """A darker room.

    Examples
    --------
    >>> darker_text(1.3, 0.9)
    'Make the room 1⅓ stops darker: no second edge 9 in 10.'
    """
    return f"Make the room {size_text(stops)} darker: no second edge {wanted_text(odds)}."


def modelling_off_text(p_shows: float) -> str:
    """Lamps out before the cap comes off."""
    return f"Put the modelling lamps out: a second edge {tenths(p_shows)}."


def held_text(support: str, p_shows: float) -> str:
    """Another support.

    Examples
    --------
    >>> held_text("head_rest", 0.04)
    'In a head rest a second edge shows fewer than 1 in 20.'
    """
    words = SUPPORT_WORDS[support]
    return f"{words[0].upper()}{words[1:]} a second edge shows {tenths(p_shows)}."


def proves_text(under_stops: float) -> str:
    """What is known of the room's light on the face against what would show.

    Examples
    --------
    >>> proves_text(3.1)
    'the room light on the face is at least 3 stops under what would show as a second edge'
    >>> proves_text(-1.0)
    'the room light on the face may be 1 stop above what would show as a second edge'
    """
    # Downwards, to a third: what is proved must hold.
    under = math.floor(3 * under_stops + 1e-9) / 3
    if under >= 0:
        return (
            f"the room light on the face is at least {size_text(under)} under what would "
            "show as a second edge"
        )
    return (
        f"the room light on the face may be {size_text(under)} above what would show as a "
        "second edge"
    )


def sees_text(sees: str, under_stops: float | None) -> str:
    """What one outcome of a dark test would prove."""
    if sees == "light" or under_stops is None:
        return (
            "Lighter than mid-grey: steady light makes a picture of its own here; count it as "
            "a light, or shut it out."
        )
    word = "Black" if sees == "black" else "Grey"
    return f"{word}: {proves_text(under_stops)}, 19 in 20."


def read_text(under_stops: float, open_s: float, *, is_bound: bool) -> str:
    """What a dark test proved.

    Examples
    --------
    >>> read_text(3.4, 1.0, is_bound=True)
    'The card stayed black: open 1 s, the room light on the face is at least 3⅓ stops under what \
would show as a second edge, 19 in 20.'
    """
    how = "The card stayed black" if is_bound else "The card tells how much light there is"
    return f"{how}: open {open_text(open_s)}, {proves_text(under_stops)}, 19 in 20."
