"""A sitter's card in words, and the line to send them before they come."""

from __future__ import annotations

from stillroom.documents.book import Book, Settings, Sitter, Sitting
from stillroom.documents.sitter_card import SaidYes
from stillroom.services.starting import CARD_INITIALS
from stillroom.services.stillness import whole_open_s
from stillroom.telling.figures import listed
from stillroom.telling.names import slug
from stillroom.telling.words import seconds

SAID_YES_TO: dict[SaidYes, str] = {
    "portrait": "a portrait",
    "scan_kept": "keeping a scan",
    "may_be_shown": "showing it",
    "guardian": "a child: guardian’s yes",
}
"""What the card asks, in the order it asks."""
_YES: dict[SaidYes, str] = {
    "portrait": "a portrait",
    "scan_kept": "keeping a scan",
    "may_be_shown": "showing it",
    "guardian": "a child’s portrait, as guardian",
}
_FLASH = {"yes": "Flash is all right.", "no": "No flash.", None: "Not asked about flash."}
_WEAR = (
    "Please wear mid-tones, nothing white and nothing red: white goes bare, red goes black, and "
    "blue comes out paler than it looks."
)
SAID_FROM_S = 0.5
"""A shorter time is no sitting still (ours)."""


def card_line(sitter: Sitter) -> str:
    """What a sitter said at the door, in a line.

    Examples
    --------
    >>> card_line(Sitter(id="TR", initials="T. R."))
    'T. R. has not been asked to say yes to anything yet. Not asked about flash.'
    """
    card = sitter.at_the_door
    agreed = [_YES[one] for one in SAID_YES_TO if one in card.said_yes_to]
    nothing = "has not been asked to say yes to anything yet"
    said = f"said yes to {listed(agreed)}" if agreed else nothing
    child = (
        " A child: a guardian’s yes is missing."
        if sitter.is_child and "guardian" not in card.said_yes_to
        else ""
    )
    return f"{sitter.initials} {said}.{child} {_FLASH[card.flash_all_right]}"


def warning(sitter: Sitter) -> str:
    """What of a card must not be overlooked; empty where there is nothing.

    Examples
    --------
    >>> warning(Sitter(id="TR", initials="T. R.", is_child=True))
    'A guardian’s yes is missing.'
    """
    said = []
    if sitter.at_the_door.flash_all_right == "no":
        said.append("No flash.")
    if sitter.is_child and "guardian" not in sitter.at_the_door.said_yes_to:
        said.append("A guardian’s yes is missing.")
    return " ".join(said)


def door_lines(book: Book, sitting: Sitting) -> tuple[tuple[str, str], ...]:
    """Each sitter of a sitting: address of their card, and what they said at the door."""
    sits = [s for s in book.sitters if s.id in sitting.sitters and s.initials != CARD_INITIALS]
    return tuple((f"/sitter/{slug(s.id)}", card_line(s)) for s in sits)


def to_send(sitting: Sitting, stands: Settings) -> str:
    """Plain text to send a sitter before they come: what to wear, what will be asked.

    Parameters
    ----------
    sitting : Sitting
        Its lights say whether there will be flash.
    stands : Settings
        How the set stands: pops and seconds.

    Returns
    -------
    str
        A few sentences, without names.
    """
    off = {role for role, setting in stands.lights.items() if not setting.on}
    flash = any(light.kind == "head" and light.role not in off for light in sitting.lights)
    open_s = whole_open_s(stands)
    parts = [
        _WEAR,
        "No sunscreen and no foundation against ultraviolet, it can come out dark.",
        "Glasses that turn in daylight go dark: bring clear ones, or leave them off.",
    ]
    if flash:
        pops = "one flash" if stands.pops == 1 else f"{stands.pops} flashes, one after another"
        parts.append(
            f"Each picture takes {pops}. If flash may trouble you (seizures, migraine, eyes, an "
            "implant, a medicine), ask whoever treats you, and tell me: daylight works too."
        )
    if open_s >= SAID_FROM_S:
        parts.append(f"You will be asked to sit still for about {seconds(open_s)}.")
    parts.append("The picture is the only one of its kind, and you see yourself as in a mirror.")
    return " ".join(parts)
