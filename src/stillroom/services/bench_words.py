"""What the bench says: names of trays, what the hands do, what is called out."""

from __future__ import annotations

from stillroom.documents.wet import ProcessStep, Vessel

NAMES: dict[str, str] = {
    "first_development": "First development",
    "first_wash": "Wash",
    "bleach": "Bleach",
    "second_wash": "Wash",
    "clear": "Clear",
    "third_wash": "Wash",
    "lights": "Lights",
    "second_development": "Second development",
    "rinse": "Rinse",
    "fix": "Fix",
    "wash_aid": "Wash aid",
    "last_wash": "Last wash",
    "dry": "Dry",
}
"""What a tray is called."""
WORDS: dict[str, str] = {
    "first_development": "Rock",
    "first_wash": "Rinse",
    "bleach": "Look",
    "second_wash": "Rinse",
    "clear": "Look",
    "third_wash": "Rinse",
    "lights": "Lights",
    "second_development": "Rock",
    "rinse": "Rinse",
    "fix": "Rock",
    "wash_aid": "Rock",
    "last_wash": "Leave",
    "dry": "Leave",
}
"""What the hands do while a sheet is in it."""
VOICE: dict[str, str] = {
    "first_development": "into the first developer, rock without a pause",
    "first_wash": "into water",
    "bleach": "into the bleach, gloves",
    "second_wash": "into water",
    "clear": "into the clear",
    "third_wash": "into water",
    "lights": "lights, face up",
    "second_development": "into the second developer",
    "rinse": "into water",
    "fix": "into the fix",
    "wash_aid": "into the wash aid",
    "last_wash": "into the last wash",
    "dry": "out to dry, face up",
}
"""What is called out as it goes in."""
_INTO: dict[str, str] = {
    "first_wash": "into water",
    "bleach": "into the bleach",
    "second_wash": "into water",
    "clear": "into the clear",
    "third_wash": "into water",
    "lights": "under the lamp, face up",
    "second_development": "into the second developer",
    "rinse": "into water",
    "fix": "into the fix",
    "wash_aid": "into the wash aid",
    "last_wash": "into the last wash",
    "dry": "to dry, face up",
}


def then_text(vessel: Vessel, after: str | None, lift_s: float) -> str:
    """What happens at the end of a step.

    Examples
    --------
    >>> then_text("trays", "bleach", 10), then_text("one_tank", "bleach", 36)
    ('lift, drain ten seconds, into the bleach', 'drain, fill the bleach')
    """
    if after is None:
        return ""
    into = _INTO.get(after, "")
    if vessel != "trays":
        if after == "lights":
            return "drain, open it to the lamp"
        if after == "dry":
            return "drain, take it out to dry, face up"
        return f"drain, fill {into.removeprefix('into ')}"
    if not lift_s:
        return into
    return f"lift, drain {seconds_in_words(lift_s)}, {into}"


_SMALL = (
    *("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen"),
    *("seventeen", "eighteen", "nineteen"),
)
_TENS = ("", "", "twenty", "thirty", "forty", "fifty")


def seconds_in_words(seconds: float) -> str:
    """A length of time as it is said aloud.

    Examples
    --------
    >>> [seconds_in_words(s) for s in (7, 50, 70, 90, 120)]
    ['seven seconds', 'fifty seconds', 'a minute ten', 'a minute thirty', 'two minutes']
    >>> seconds_in_words(1200), seconds_in_words(138), seconds_in_words(1)
    ('twenty minutes', 'two minutes eighteen', 'one second')
    """
    whole = round(seconds)
    minutes, rest = divmod(whole, 60)
    if not minutes:
        return f"{_number(rest)} second{'' if rest == 1 else 's'}"
    if not rest:
        return f"{_number(minutes)} minute{'' if minutes == 1 else 's'}"
    said = "a minute" if minutes == 1 else f"{_number(minutes)} minutes"
    return f"{said} {_number(rest)}"


def _number(n: int) -> str:
    if n < len(_SMALL):
        return _SMALL[n]
    tens, ones = divmod(n, 10)
    if tens < len(_TENS):
        return _TENS[tens] + (f"-{_SMALL[ones]}" if ones else "")
    return str(n)


def warm_bath(bath_c: float | None, line_c: float, step: ProcessStep) -> str:
    """A sentence where a bath is not to be as warm as the line; empty where it may."""
    if bath_c is None or bath_c == line_c:
        return ""
    if step.kept_at_c is not None:
        ends = [f"{c:g}" for c in (step.coldest_c, step.warmest_c) if c is not None]
        limits = f" (from {' to '.join(ends)})" if len(ends) == 2 else ""
        return (
            f"Keep it at {bath_c:g} °C{limits}, and bring the washes after it down to "
            f"{line_c:g} °C in steps, for a jump blisters the sheet."
        )
    return (
        f"Keep it at {bath_c:g} °C or below, for warmer it softens the gelatin; its time is for "
        f"that, though the line stands at {line_c:g} °C."
    )
