"""The coin test: whether a screen fogs paper; kept for this screen, brightness and paper."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime

from stillroom.errors import BadValue
from stillroom.services.desk import Desk
from stillroom.services.desk_base import find
from stillroom.telling.names import paper_title
from stillroom.telling.words import day

MINUTES = (2, 4, 8, 12)
"""When each coin is taken away [min]; a sheet is out of its holder for 8 to 12."""
NO_COIN = 0
SCREEN_COOKIE = "screen"
KEPT = "coin tests"
KEPT_MOST = 7
"""So many answers fit into one preference."""
UNTESTED = (
    "This screen is not a safelight until it has passed the coin test with your paper, at this "
    "brightness and distance."
)


@dataclass(frozen=True, slots=True)
class CoinTest:
    """One coin test as it was answered.

    Attributes
    ----------
    at : str
        When, as ISO 8601.
    screen : str
        Which browser, by a number of its own.
    paper : str
        Id of the batch.
    dim : int
        Step of the dimmer, 0 the brightest.
    first_min : int
        The first coin that showed [min]; 0 when none did.
    """

    at: str
    screen: str
    paper: str
    dim: int
    first_min: int


def coin_tests(desk: Desk) -> tuple[CoinTest, ...]:
    """Every answer that is kept, the latest last."""
    said = desk.preference(KEPT)
    return tuple(CoinTest(**one) for one in json.loads(said)) if said else ()


def screen_of(cookies: Mapping[str, str]) -> str:
    """What this browser is known by; empty until it was tested."""
    screen = cookies.get(SCREEN_COOKIE, "")
    return screen if screen.isalnum() and len(screen) <= 16 else ""


def keep_coin_test(desk: Desk, screen: str, dim: int, paper: str, first_min: int) -> CoinTest:
    """Write an answer down.

    Parameters
    ----------
    desk : Desk
        The book.
    screen : str
        What the browser is known by; empty makes it a name.
    dim : int
        Step of its dimmer, 0 the brightest.
    paper : str
        Id of the batch.
    first_min : int
        The first coin that showed [min]; 0 when none did.

    Raises
    ------
    BadValue
        If there is no such coin.
    UnknownName
        If there is no such paper.
    """
    if first_min not in (*MINUTES, NO_COIN):
        coins = ", ".join(str(minute) for minute in MINUTES)
        raise BadValue("The first coin", str(first_min), f"choose {coins} or 0 for none")
    find("paper", paper, desk.book().papers)
    made = CoinTest(
        at=desk.now().isoformat(timespec="minutes"),
        screen=screen or secrets.token_hex(4),
        paper=paper,
        dim=dim,
        first_min=first_min,
    )
    others = [
        one
        for one in coin_tests(desk)
        if (one.screen, one.paper, one.dim) != (made.screen, made.paper, made.dim)
    ]
    kept = [asdict(one) for one in (*others, made)[-KEPT_MOST:]]
    desk.set_preference(KEPT, json.dumps(kept, separators=(",", ":")))
    return made


def lamp_note(desk: Desk, screen: str, dim: int) -> str:
    """What a dark page says of its own screen, from the latest test that speaks of it.

    A screen that showed no coin shows none when it is dimmer; one that did, does when brighter.
    """
    paper = _paper_now(desk)
    about = [
        test
        for test in coin_tests(desk)
        if test.screen == screen
        and test.paper == paper
        and (dim >= test.dim if test.first_min == NO_COIN else dim <= test.dim)
    ]
    if not about or paper is None:
        return UNTESTED
    latest = max(about, key=lambda test: datetime.fromisoformat(test.at))
    title = paper_title(find("paper", paper, desk.book().papers))
    when = day(datetime.fromisoformat(latest.at))
    if latest.first_min == NO_COIN:
        return (
            f"No coin showed in {MINUTES[-1]} minutes with {title} on {when}, at this brightness. "
            "Another paper, a shorter distance or a brighter screen asks for a test of its own."
        )
    return (
        f"A coin showed after {latest.first_min} minutes with {title} on {when}: this screen fogs "
        "it at this brightness. Dim it, cover it or move it away, then test again."
    )


def _paper_now(desk: Desk) -> str | None:
    sitting_id = desk.current_sitting_id()
    return next((s.paper for s in desk.book().sittings if s.id == sitting_id), None)
