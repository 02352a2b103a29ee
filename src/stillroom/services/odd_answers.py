"""What was answered of an odd sheet, as the sheet is written down for it."""

from __future__ import annotations

from stillroom.belief import Slip
from stillroom.documents import book as doc
from stillroom.documents.odd import OddSheets
from stillroom.documents.read import validated
from stillroom.errors import NotPossible, UnknownName
from stillroom.services.moved import NAMES, NOT_FIRED

SOMETHING_ELSE = "something-else"
"""An answer that names no slip."""
UNKNOWN_CAUSE = "a slip, not known which"


def answered_slip(
    sitting: doc.Sitting, sheet: doc.Sheet, slip: str, found: OddSheets
) -> doc.Sheet:
    """A sheet once it was said which slip it was.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        As they stand.
    slip : str
        Id of one of the sheet's slips, or ``something-else``.
    found : OddSheets
        The odd sheets of the sitting.

    Returns
    -------
    Sheet
        With what was really made where the slip can be told so; else its tones are left out.

    Raises
    ------
    UnknownName
        If the slip is not among those named of the sheet.
    NotPossible
        If the sheet does not contradict anything.
    """
    if slip == SOMETHING_ELSE:
        return _changed(sheet, {"odd_is": "slip", "odd_cause": UNKNOWN_CAUSE})
    odd = next((one for one in found.sheets if one.number == sheet.number), None)
    if odd is None or odd.answer is not None:
        raise NotPossible(
            f"Sheet {sheet.number} does not contradict the others now: put right on its own page "
            "how it was made."
        )
    chosen = next((s for s in odd.slips if s.id == slip), None)
    if chosen is None:
        raise UnknownName("slip", slip, [*(s.id for s in odd.slips), SOMETHING_ELSE])
    if chosen.made is None and not chosen.room_state:
        return _changed(sheet, {"odd_is": "slip", "odd_cause": chosen.what})
    said: dict[str, object] = {"odd_is": None, "odd_cause": chosen.what}
    if chosen.room_state:
        said["room_state"] = chosen.room_state
    if chosen.made is not None:
        said["made"] = chosen.made.model_dump(exclude_unset=True)
    kind, _, written = slip.partition("-")
    if kind == Slip.NOT_FIRED:  # said as well, as it is when somebody saw it happen
        role = next(x.role for x in sitting.lights if x.role.replace(" ", "_") == written)
        told = f"{NOT_FIRED}{NAMES}{role}"
        said["what_else_moved"] = tuple(dict.fromkeys((*sheet.what_else_moved, told)))
    return _changed(sheet, said)


def is_answered(sheet: doc.Sheet) -> bool:
    """Whether it was said what is odd about a sheet."""
    return sheet.odd_is is not None or bool(sheet.odd_cause)


def answered_real(sheet: doc.Sheet) -> doc.Sheet:
    """A sheet once it was said that nothing went wrong."""
    return _changed(sheet, {"odd_is": "real", "odd_cause": ""})


def taken_back(now: doc.Sheet, answered: doc.Sheet, before: doc.Sheet) -> doc.Sheet:
    """A sheet with its answer taken back; what was put right since stays.

    Parameters
    ----------
    now : Sheet
        As it stands.
    answered, before : Sheet
        As the answer left it, and as it was before.
    """
    said: dict[str, object] = {"odd_is": None, "odd_cause": ""}
    for field in ("made", "room_state", "what_else_moved"):
        if getattr(now, field) == getattr(answered, field):
            said[field] = getattr(before, field)
    return now.model_copy(update=said)


def _changed(sheet: doc.Sheet, said: dict[str, object]) -> doc.Sheet:
    return validated(doc.Sheet, {**sheet.model_dump(exclude_unset=True), **said})
