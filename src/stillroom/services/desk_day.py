"""What the desk answers about a day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.services.desk_base import DeskBase

if TYPE_CHECKING:
    from stillroom.documents.day import Day
    from stillroom.services.day import DayAsked


class DayVerbs(DeskBase):
    """How many sheets and sitters a day holds."""

    def day(self, asked: DayAsked) -> Day:
        """A day as it was asked for.

        Parameters
        ----------
        asked : DayAsked
            What is wanted; the current sitting gives what is left out.

        Raises
        ------
        UnknownName
            If a sitting or process is not there.
        BadValue
            If the day ends before it begins, or no time makes up for the temperature.
        NotPossible
            If a process in trays is asked for tanks.
        """
        from stillroom.services.day import day, leading_sitting  # noqa: PLC0415

        now = self._clock()
        book = self.book()
        sitting = leading_sitting(book, asked.sitting)
        advice = None if sitting is None else self.advice(sitting.id)
        return self._answer(
            ("day", asked, now.date()),
            lambda _: day(
                book,
                asked,
                now,
                p_lands=None if advice is None else advice.forecast.p_keeper,
                settings=None if advice is None else advice.settings,
            ),
        )
