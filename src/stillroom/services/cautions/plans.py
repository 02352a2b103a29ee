"""Cautions that stand beside plans, wherever they are shown."""

from __future__ import annotations

from stillroom.documents.book import Book, Sitting

FLASH_CAUTION = (
    "Flash heads hold a charge that can kill, also unplugged: never open one; have it serviced by "
    "someone qualified. Do not fire close to open eyes."
)
LAMP_CAUTION = (
    "Modelling and hot lamps burn skin, cloth and paper: let them cool before you touch them, and "
    "hang nothing over them."
)
BATH_CAUTION = (
    "Developers can make skin allergic; acid bleaches burn, and dichromate in them can cause "
    "cancer. Gloves, goggles, moving air, acid into water, no food near. Safety data sheets and "
    "local rules go first, for used baths too: collect them until you have asked."
)


def no_flash_wanted(book: Book, sitting: Sitting) -> tuple[str, ...]:
    """What is told beside a plan with flash of sitters who would rather have none.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose cards are looked at.

    Returns
    -------
    tuple of str
        One sentence for each sitter whose card says no, with what is offered instead.
    """
    return tuple(
        f"{sitter.initials} said no to flash: plan without it. Daylight is offered, and a steady "
        "lamp that does not flicker; what is right for them their clinician decides."
        for sitter in book.sitters
        if sitter.id in sitting.sitters and sitter.at_the_door.flash_all_right == "no"
    )
