"""What each answer to *What else moved?* leaves open, in a sentence."""

from __future__ import annotations

from stillroom.documents import book as doc
from stillroom.documents.making import as_made
from stillroom.quantity import NINE_IN_TEN, range_text
from stillroom.services.fired import is_left_out, not_fired
from stillroom.services.moved import reached_by, said_by_state, understood


def widened(sitting: doc.Sitting, sheet: doc.Sheet) -> tuple[str, ...]:
    """What each answer said of a sheet leaves open, one sentence each.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        Whose answers are told.

    Returns
    -------
    tuple of str
        Such as *Sitter: the face may have changed by ±½, on this sheet only.*
    """
    return tuple(_sentence(sitting, sheet, said) for said in sheet.what_else_moved)


def _sentence(sitting: doc.Sitting, sheet: doc.Sheet, said: str) -> str:
    known = understood(said)
    if known is None:
        return f"{_capital(said)}: noted, and it changes nothing in what is expected."
    answer, named = known
    title = _capital(answer.what)
    if answer.reach == "none":
        if is_left_out(sheet):
            many = as_made(sheet.settings, sheet.made).pops > 1
            why = "of several pops it may have missed one, so " if named and many else ""
            return f"{title}: {why}the tones of this sheet are left out of what is believed."
        which = " and ".join(not_fired(sheet))
        return f"{title}: {which} is written down as off, and the sheet teaches the rest."
    made = as_made(sheet.settings, sheet.made).lights
    lit = [x.role for x in sitting.lights if x.role not in made or made[x.role].on]
    if answer.reach == "place" and said_by_state(sitting, sheet):
        return f"{title}: the room is in another state since, and each is learned apart."
    if not reached_by(sitting, sheet, answer, named, lit):
        return f"{title}: no light of this sheet could have changed by it."
    of = answer.of or (f"the {named} light" if named else "each light by itself")
    until = "from this sheet on" if answer.lasts else "on this sheet only"
    by = range_text(NINE_IN_TEN * answer.sd_stops)
    return f"{title}: {of} may have changed by {by}, {until}."


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
