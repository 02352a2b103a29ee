"""Sheets that contradict the rest, as they are asked about."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stillroom.documents.book import Sitting
from stillroom.documents.odd import OddSheet, OddSheets, OddSlip
from stillroom.services.odd_answers import SOMETHING_ELSE
from stillroom.telling.names import slug
from stillroom.telling.odds import odds

ONLY_SCATTER_FROM = 0.05
"""Scatter less likely than 1 in 20 is not worth a line."""


@dataclass(frozen=True, slots=True)
class OddChoice:
    """One slip to choose."""

    id: str
    odds: str
    sentence: str
    more: str
    """What is written for it, and what looks the same."""
    is_first: bool


@dataclass(frozen=True, slots=True)
class OddShown:
    """One odd sheet."""

    number: int
    mark: str
    sentence: str
    choices: tuple[OddChoice, ...]
    scatter: str
    action: str
    is_answered: bool


def odd_shown(
    sitting: Sitting, found: OddSheets, *, number: int | None = None
) -> tuple[OddShown, ...]:
    """What a page shows of odd sheets.

    Parameters
    ----------
    sitting : Sitting
        Whose they are.
    found : OddSheets
        The answer of the desk.
    number : int, optional
        Only this sheet, also once it is answered; left out: all that are not.
    """
    return tuple(
        _shown(sitting, sheet)
        for sheet in found.sheets
        if (sheet.answer is None if number is None else sheet.number == number)
    )


def _shown(sitting: Sitting, sheet: OddSheet) -> OddShown:
    scatter = ""
    if sheet.odds_scatter >= ONLY_SCATTER_FROM:
        scatter = f"That nothing went wrong and it is only scatter: {odds(sheet.odds_scatter)}."
    return OddShown(
        number=sheet.number,
        mark=sheet.mark,
        sentence=sheet.sentence,
        choices=_choices(sheet) if sheet.answer is None else (),
        scatter=scatter,
        action=f"/sitting/{slug(sitting.id)}/{sheet.number}/odd",
        is_answered=sheet.answer is not None,
    )


def _choices(sheet: OddSheet) -> tuple[OddChoice, ...]:
    named = {slip.id: slip for slip in sheet.slips}
    most = max((slip.odds for slip in sheet.slips), default=0.0)
    rest = sheet.odds_something_else
    choices = [
        OddChoice(
            slip.id,
            odds(slip.odds),
            slip.sentence,
            " ".join(part for part in (_same(slip, named), slip.corrects) if part),
            is_first=slip.odds == most >= rest,
        )
        for slip in sheet.slips
    ]
    other = OddChoice(
        SOMETHING_ELSE,
        odds(rest),
        "Something else, or nobody knows what.",
        "Its tones are left out of what is believed.",
        is_first=rest > most,
    )
    return (*choices, other)


def _same(slip: OddSlip, named: dict[str, OddSlip]) -> str:
    others = [named[other].what for other in slip.same_as if other in named]
    return f"One sheet cannot tell it from this: {'; '.join(others)}." if others else ""


def odd_lines(sheet: OddSheet) -> Iterable[str]:
    """An odd sheet as the command line tells it, a paragraph each."""
    if sheet.answer is not None:
        yield sheet.sentence
        return
    yield f"Odd, {sheet.mark}: {sheet.sentence} What most likely happened:"
    for choice in _choices(sheet)[:-1]:
        yield f"--slip {choice.id}, {choice.odds}: {choice.sentence} {choice.more}"
    others = odds(min(1.0, sheet.odds_something_else + sheet.odds_scatter))
    yield (
        f"Another slip, or none at all: {others}. Say which it was, with --slip something-else "
        "if nobody knows and --real if nothing went wrong."
    )
