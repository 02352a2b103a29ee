"""A head that did not fire: which sheets are left out, and what a sheet was really made with."""

from __future__ import annotations

from collections.abc import Iterable

from stillroom.documents import book as doc
from stillroom.documents.making import as_made
from stillroom.documents.read import validated
from stillroom.services.moved import NOT_FIRED, understood


def not_fired(sheet: doc.Sheet) -> tuple[str, ...]:
    """Which heads were said not to have fired; an empty name stands for one nobody knows."""
    said = [understood(words) for words in sheet.what_else_moved]
    return tuple(known[1] for known in said if known is not None and known[0].what == NOT_FIRED)


def is_left_out(sheet: doc.Sheet) -> bool:
    """Whether a head did not fire and how the sheet was made does not say so.

    Examples
    --------
    >>> sheet = {"number": 1, "settings": {"f_number": 8}}
    >>> said = {"what_else_moved": ["a head did not fire: rim"]}
    >>> is_left_out(doc.Sheet.model_validate(sheet | said))
    True
    >>> made = {"made": {"lights": {"rim": {"on": False}}}}
    >>> is_left_out(doc.Sheet.model_validate(sheet | said | made))
    False
    """
    lights = as_made(sheet.settings, sheet.made).lights
    return any(role not in lights or lights[role].on for role in not_fired(sheet))


def stood_after(sheet: doc.Sheet) -> doc.Settings:
    """How the set stands after a sheet: as it was made, a head that did not fire still on.

    Examples
    --------
    >>> sheet = {"number": 1, "settings": {"f_number": 8}}
    >>> said = {"what_else_moved": ["a head did not fire: rim"]}
    >>> made = {"made": {"lights": {"rim": {"on": False}}}}
    >>> stood_after(doc.Sheet.model_validate(sheet | said | made)).lights["rim"].on
    True
    """
    made = as_made(sheet.settings, sheet.made)
    still_on = {
        role: made.lights[role].model_copy(update={"on": True})
        for role in not_fired(sheet)
        if role in made.lights
    }
    return made.model_copy(update={"lights": {**made.lights, **still_on}})


def made_as_said(
    sitting: doc.Sitting, sheet: doc.Sheet, what_else_moved: Iterable[str]
) -> doc.Made | None:
    """How a sheet was made, once it is said which head did not fire.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        The sheet, with the answers of before.
    what_else_moved : iterable of str
        The answers now.

    Returns
    -------
    Made or None
        With each head that is named switched off, and on again where that was taken back. As it
        was where the sheet would be left without a light, or had several pops, of which a head
        may have missed one: such a sheet is left out of what is learned.
    """
    after = sheet.model_copy(update={"what_else_moved": tuple(what_else_moved)})
    named = {role for role in not_fired(after) if role}
    made = sheet.made or doc.Made()
    lights = {role: x.model_dump(exclude_unset=True) for role, x in made.lights.items()}
    for role in set(not_fired(sheet)) - named:
        if role in lights:
            lights[role].pop("on", None)
    stood = stood_after(after)
    lit = {x.role for x in sitting.lights if x.role not in stood.lights or stood.lights[x.role].on}
    once = stood.pops == 1 and stood.steps_pops is None
    if once and lit - named:
        for role in named:
            lights.setdefault(role, {})["on"] = False
    said = made.model_dump(exclude_unset=True, exclude={"lights"})
    if kept := {role: light for role, light in lights.items() if light}:
        said["lights"] = kept
    return validated(doc.Made, said) if said else None
