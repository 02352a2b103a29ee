"""Verbs of shooting: how a sheet is counted, and what came of the count."""

from __future__ import annotations

from stillroom.documents.book import Made, Sheet
from stillroom.documents.count import Count
from stillroom.documents.holding import Fires
from stillroom.documents.making import as_made
from stillroom.documents.read import validated
from stillroom.errors import BadValue, NotPossible, in_range
from stillroom.services.counting import count, spread_s
from stillroom.services.desk_base import DeskBase
from stillroom.services.fired import made_as_said
from stillroom.services.moved import NAMES, NOT_FIRED, check_named, joined, understood

OPEN_RANGE_S = (0.05, 3600.0)
"""Shorter than a twentieth of a second no hand takes a cap off and on."""
MOST_OPENINGS = 1024
UNKNOWN_HEAD = "unknown"
"""Said where nobody saw which head did not fire."""


class ShootingVerbs(DeskBase):
    """While a sheet is exposed."""

    def count(
        self,
        sitting_id: str,
        number: int,
        *,
        fires: Fires | None = None,
        delay_s: float | None = None,
    ) -> Count:
        """How a sheet is counted. See `services.counting.count`."""
        sheet = self._sheet(self._sitting(sitting_id), number)
        return count(self.book(), sitting_id, sheet, fires=fires, delay_s=delay_s)

    def counted(
        self,
        sitting_id: str,
        number: int,
        *,
        fires: Fires | None = None,
        open_s: float | None = None,
        openings: int = 1,
        is_pressed: bool = False,
        not_fired: str | None = None,
        form_id: str = "",
    ) -> None:
        """Write down what came of a count.

        Parameters
        ----------
        sitting_id, number : str, int
            The sheet.
        fires : str, optional
            How it fired; as the sitting says unless given.
        open_s : float, optional
            How long one opening was, on average [s], 0.05 to 3600; not measured unless given.
        openings : int
            How many there were.
        is_pressed : bool
            Whether presses marked both ends of each; else it went by the count.
        not_fired : str, optional
            The light that did not fire, or ``unknown``; all fired unless given.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such sheet or light.
        OutOfRange
            If the time cannot be one of a hand.
        BadValue
            If a shutter opened the lens, which keeps its own time.
        """
        made = self.count(sitting_id, number, fires=fires)
        if open_s is not None:
            if not made.is_by_hand:
                raise BadValue("open time", open_s, "the shutter keeps its own time")
            open_s = in_range("open time", open_s, *OPEN_RANGE_S, "s")
            openings = round(in_range("openings", openings, 1, MOST_OPENINGS))

        def write() -> None:
            sitting = self._sitting(sitting_id)
            sheet = self._sheet(sitting, number)
            if not_fired and not made.heads:
                raise NotPossible(f"No head was on for sheet {number}, so none failed to fire.")
            if open_s is not None:
                sd_s = spread_s(made, openings, is_pressed=is_pressed)
                sheet = _opened(sheet, open_s, sd_s)
            said = [w for w in sheet.what_else_moved if not _is_not_fired(w)]
            if not_fired:
                light = "" if not_fired == UNKNOWN_HEAD else f"{NAMES}{not_fired}"
                said = list(joined(said, [f"{NOT_FIRED}{light}"]))
            if said != list(sheet.what_else_moved):
                check_named(sitting, said)
                really = made_as_said(sitting, sheet, said)
                sheet = sheet.model_copy(update={"what_else_moved": tuple(said), "made": really})
            if sheet != self._sheet(sitting, number):
                self._store.correct_sheet(sitting_id, sheet)

        self._written(write, form_id, "counted")


def _is_not_fired(words: str) -> bool:
    known = understood(words)
    return known is not None and known[0].what == NOT_FIRED


def _opened(sheet: Sheet, open_s: float, sd_s: float) -> Sheet:
    """The sheet with the time it was open, and how far that may be off."""
    said = {} if sheet.made is None else sheet.made.model_dump(exclude_unset=True)
    really = validated(Made, said | {"open_s": open_s})
    assert as_made(sheet.settings, really).open_s == open_s  # noqa: S101 - nothing is lost
    return sheet.model_copy(update={"made": really, "open_sd_s": sd_s})
