"""Verbs of sheets that are made before any is seen: compare, plan, give up the plan."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Literal

from pydantic import ValidationError

from stillroom.documents.base import Strict
from stillroom.documents.book import Settings, Sitting
from stillroom.errors import NotPossible
from stillroom.services.desk_base import DeskBase, planned_moment
from stillroom.services.marks import last_number

if TYPE_CHECKING:
    from stillroom.documents.answers import Advice
    from stillroom.documents.several import SeveralSheets

_PREFERENCE = "together/"
_NOT_OF_THE_LIGHT = {"sheets", "dear", "efforts", "finished", "look"}


class PlannedTogether(Strict):
    """Sheets planned together before any is seen, as they are kept while they are made."""

    stillroom: Literal["together/1"] = "together/1"
    first: int
    """Number of the first of them."""
    marks: tuple[str, ...]
    settings: tuple[Settings, ...]
    p_any: float
    known: str
    """A print of all that was known of the sitting when they were planned."""


class SeveralVerbs(DeskBase):
    """A plan is kept beside the book, for it is no record; what was shot of it is one."""

    def several(self, sitting_id: str, count: int = 2) -> SeveralSheets:
        """What to set for `count` sheets made before any is seen, and whether it pays."""
        first, now = self.advice(sitting_id), self._as_of_now(sitting_id)
        return self._answer(
            ("several", sitting_id, count, planned_moment(now, sitting_id)),
            lambda _: self._engine.advise_several(
                now, sitting_id, count, first, memo=self._store.memo
            ),
        )

    def plan_together(self, sitting_id: str, count: int) -> PlannedTogether:
        """Plan the next `count` sheets, 2 to 4, before any of them is seen.

        The plan holds while nothing more is known: once a sheet is read, the meter is, or a
        light or an aim changes, the next sheet is advised anew.

        Raises
        ------
        OutOfRange
            If there are fewer than one or more than four.
        NotPossible
            If nothing is aimed.
        """
        said = self.several(sitting_id, count)
        plan = PlannedTogether(
            first=said.sheet_numbers[0],
            marks=said.marks,
            settings=said.settings,
            p_any=said.forecast.p_any,
            known=_print(self._sitting(sitting_id), said.sheet_numbers[0]),
        )
        self._store.set_preference(_PREFERENCE + sitting_id, plan.model_dump_json())
        return plan

    def drop_plan(self, sitting_id: str) -> None:
        """Give up what was planned together; sheets already made of it stay."""
        self._store.set_preference(_PREFERENCE + sitting_id, "")

    def planned_together(self, sitting_id: str) -> PlannedTogether | None:
        """The plan of a sitting while sheets of it are left to make; None without one."""
        kept = self._store.preference(_PREFERENCE + sitting_id)
        if not kept:
            return None
        try:
            plan = PlannedTogether.model_validate_json(kept)
        except ValidationError:  # of another version: a plan is worked out again in one tap
            return None
        made = last_number(self._sitting(sitting_id)) + 1 - plan.first
        return plan if 0 <= made < len(plan.settings) else None

    def plan_holds(self, sitting_id: str, plan: PlannedTogether) -> bool:
        """Whether nothing more is known than when it was planned."""
        return _print(self._sitting(sitting_id), plan.first) == plan.known

    def advice_as_planned(self, sitting_id: str, plan: PlannedTogether) -> Advice:
        """The advice for the next sheet of a plan that holds: its settings, not fresh ones.

        Raises
        ------
        NotPossible
            If no sheet of the plan is left.
        """
        at = last_number(self._sitting(sitting_id)) + 1 - plan.first
        if not 0 <= at < len(plan.settings):
            raise NotPossible("No sheet of this plan is left: plan the next ones.")
        settings, fresh = plan.settings[at], self.advice(sitting_id)
        now = self._as_of_now(sitting_id)
        return self._answer(
            (
                "as planned",
                sitting_id,
                settings.model_dump_json(),
                planned_moment(now, sitting_id),
            ),
            lambda _: self._engine.as_planned(
                now, sitting_id, settings, plan.marks[:at], fresh, memo=self._store.memo
            ),
        )


def _print(sitting: Sitting, first: int) -> str:
    """Everything that is known before the sheets from `first` on are made, as one word.

    A sheet of the plan itself counts by its readings alone: made and unread it tells nothing. A
    test piece made since is none of the plan.
    """
    light = sitting.model_dump_json(exclude=_NOT_OF_THE_LIGHT)
    before = [s.model_dump_json() for s in sitting.sheets if s.number < first]
    since = [
        s.model_dump_json(include={"readings", "kept", "piece"})
        for s in sitting.sheets
        if s.number >= first and (s.readings or s.kept is not None or s.piece is not None)
    ]
    return hashlib.sha256("\n".join([light, *before, *since]).encode()).hexdigest()[:16]
