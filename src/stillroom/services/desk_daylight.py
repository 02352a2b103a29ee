"""Verbs of daylight: questions of when and how long, the sky, a last look before the cap."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from stillroom.documents.book import Light, MeterReading, Settings, Sheet, Sitting
from stillroom.documents.read import validated
from stillroom.documents.seats import SkySeen
from stillroom.documents.shows import Shows
from stillroom.documents.to_daylight import sky_of
from stillroom.errors import BadValue, NotPossible, UnknownName
from stillroom.services.desk_base import find
from stillroom.services.desk_sheets import SheetVerbs
from stillroom.services.metered import meter_at_hand
from stillroom.services.seats import goes_on, has_seat, is_seat, last_step, planned_for, under_sky

if TYPE_CHECKING:
    from stillroom.documents.daylight import (
        DaylightCompared,
        DaylightDay,
        DaylightNow,
        DaylightWhen,
        DaylightYear,
    )
    from stillroom.services.daylight_asked import Asked


class DaylightVerbs(SheetVerbs):
    """Answers about daylight; the sky and the meter are written down, the rest is only asked."""

    def daylight_default(self) -> Asked | None:
        """The question to start from; None where there is no seat to sit on yet."""
        from stillroom.services.daylight_asked import asked_by_default  # noqa: PLC0415

        return asked_by_default(self.book(), self.current_sitting_id())

    def daylight_now(
        self, asked: Asked, at: datetime | None = None, *, with_ways: bool = True
    ) -> DaylightNow:
        """Seconds now, how long that is good, and what would change it unless that is left out."""
        from stillroom.services.daylight_answers import daylight_now  # noqa: PLC0415

        moment = at or last_step(self._clock())
        return self._answer(
            ("daylight now", asked, moment, with_ways),
            lambda book: daylight_now(book, asked, moment, self._store.memo, with_ways=with_ways),
        )

    def daylight_day(
        self, asked: Asked, at: datetime | None = None, within_s: float | None = None
    ) -> DaylightDay:
        """The curve of a day."""
        from stillroom.services.daylight_answers import daylight_day  # noqa: PLC0415

        moment = at or last_step(self._clock())
        return self._answer(
            ("daylight day", asked, moment, within_s),
            lambda book: daylight_day(book, asked, moment, within_s, self._store.memo),
        )

    def daylight_year(
        self, asked: Asked, year: int | None = None, within_s: float | None = None
    ) -> DaylightYear:
        """Seconds needed over a year, this one unless another is named."""
        from stillroom.services.daylight_answers import daylight_year  # noqa: PLC0415

        which = year or self._clock().year
        return self._answer(
            ("daylight year", asked, which, within_s),
            lambda book: daylight_year(book, asked, which, within_s, self._store.memo),
        )

    def daylight_when(
        self, asked: Asked, days: int = 14, within_s: float | None = None
    ) -> DaylightWhen:
        """When, on the next days, it can be done in so many seconds."""
        from stillroom.services.daylight_answers import daylight_when  # noqa: PLC0415

        moment = last_step(self._clock())
        return self._answer(
            ("daylight when", asked, moment, days, within_s),
            lambda book: daylight_when(
                book, asked, moment, days=days, within_s=within_s, memo=self._store.memo
            ),
        )

    def daylight_compared(self, first: str, second: str) -> DaylightCompared:
        """Two daylight sheets by their marks, and why they differ."""
        from stillroom.services.daylight_compared import compared  # noqa: PLC0415

        return self._answer(
            ("daylight compared", first, second),
            lambda book: compared(book, first, second, self._store.memo),
        )

    def set_sky(self, sitting_id: str, seen: SkySeen | None, form_id: str = "") -> Sitting:
        """Say what the sky is like from now on; sheets made and readings taken keep theirs.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        NotPossible
            If the sitting has no light that the sky would change.
        BadValue
            If cover and sun contradict each other.
        """
        sky_of(seen)

        def write() -> None:
            sitting = self._by_daylight(sitting_id)
            changed = under_sky(sitting, seen)
            self._store.put_sitting(changed)
            for was, sheet in zip(sitting.sheets, changed.sheets, strict=True):
                if was != sheet:
                    self._store.correct_sheet(sitting_id, sheet)
            readings = zip(sitting.meter_readings, changed.meter_readings, strict=True)
            for nth, (before, taken) in enumerate(readings, 1):
                if before != taken:
                    self._store.correct_meter_reading(sitting_id, nth, taken)

        self._written(write, form_id, "sky")
        return self._sitting(sitting_id)

    def correct_sky(self, sitting_id: str, number: int, seen: SkySeen, form_id: str = "") -> None:
        """Put right the sky that a sheet was made under; the sitting and other sheets stay.

        Raises
        ------
        UnknownName
            If there is no such sitting or sheet.
        BadValue
            If cover and sun contradict each other.
        """

        def write() -> None:
            sheet = self._sheet(self._sitting(sitting_id), number)
            put_right = validated(Sheet, sheet.model_dump(exclude_unset=True) | {"sky": seen})
            self._store.correct_sheet(sitting_id, put_right)

        self._written(write, form_id, "correct_sky")

    def take_seat(self, sitting_id: str, role: str, seat_id: str, form_id: str = "") -> None:
        """Say that one light of a sitting is the daylight of a seat, from its first sheet on.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        role : str
            A light of it, of the kind ``daylight`` or ``window``.
        seat_id : str
            A seat of the kit.
        form_id : str
            Of the form it came from.

        Raises
        ------
        UnknownName
            If there is no such sitting, light or seat.
        NotPossible
            If that light is none of the place.
        """
        seat = find("seat", seat_id, self.book().kit.seats)
        kind = "daylight" if seat.window is None else "window"
        self._change_daylight(sitting_id, role, {"kind": kind, "kit_id": seat.id}, form_id)

    def take_level(self, sitting_id: str, role: str, lx: float, form_id: str = "") -> None:
        """Say that one light of a sitting is as metered, and of no seat. See `take_seat`.

        Raises
        ------
        BadValue
            If the level lies outside 0.001 to 200000 lx.
        """
        try:
            self._change_daylight(sitting_id, role, {"metered_lx": lx}, form_id)
        except BadValue as error:
            raise BadValue(f"the level of {role}, in lx,", lx, error.reason) from None

    def _change_daylight(
        self, sitting_id: str, role: str, changes: dict[str, object], form_id: str
    ) -> None:
        def write() -> None:
            sitting = self._sitting(sitting_id)
            by_role = {light.role: light for light in sitting.lights}
            if role not in by_role:
                raise UnknownName("light", role, by_role)
            if by_role[role].kind not in ("daylight", "window"):
                raise NotPossible(f"The light {role} is no daylight: it keeps what it is.")
            there = by_role[role].model_dump(exclude_unset=True, exclude={"kit_id", "metered_lx"})
            by_role[role] = validated(Light, {"kind": by_role[role].kind} | there | changes)
            lights = tuple(by_role.values())
            self._store.put_sitting(sitting.model_copy(update={"lights": lights}))

        self._written(write, form_id, "take_seat")

    def look(self, sitting_id: str, settings: Settings | None = None) -> DaylightNow:
        """Seconds for the next sheet of a sitting, by the sky as it was last seen; no other ways.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        settings : Settings, optional
            How it is to be set; without them, at the stop at which it stands.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        NotPossible
            If the sitting has no light that the sky would change, or nothing is aimed at.
        """
        from stillroom.services.daylight_asked import asked_of_sitting  # noqa: PLC0415

        sitting = self._by_daylight(sitting_id)
        asked = asked_of_sitting(sitting)
        assert asked is not None  # noqa: S101 - it has the light of a seat
        if settings is not None:
            asked = replace(asked, f_number=settings.f_number)
        return self.daylight_now(asked, self._moment_of(sitting), with_ways=False)

    def last_look(
        self,
        sitting_id: str,
        seen: SkySeen | Shows,
        form_id: str = "",
        *,
        settings: Settings | None = None,
    ) -> DaylightNow:
        """A look at the sky, or the meter at the face, just before the cap: only seconds move.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        seen : SkySeen or Shows
            The sky, or what an incident meter at the aimed region shows of the daylight alone.
        form_id : str
            Of the form it came from.
        settings : Settings, optional
            How it is to be set; without them, as it stands.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        NotPossible
            If the sitting has no light that the sky would change, or nothing is aimed at.
        """
        from stillroom.services.daylight_asked import region_asked  # noqa: PLC0415

        if isinstance(seen, SkySeen):
            self.set_sky(sitting_id, seen, form_id)
        else:
            sitting = self._by_daylight(sitting_id)
            owned = meter_at_hand(self.book().kit.meters)
            taken = MeterReading(
                when=self._moment_of(sitting),
                region=region_asked(sitting),
                lights_on=tuple(light.role for light in sitting.lights if is_seat(light)),
                meter=owned.id if owned else None,
                shows=seen,
                settings=settings,
            )
            self.meter(sitting_id, taken, form_id)
        return self.look(sitting_id, settings)

    def _moment_of(self, sitting: Sitting) -> datetime:
        """Now, for a sitting of today; else the moment it stands at."""
        now = self._clock()
        return max(last_step(now), sitting.when) if goes_on(sitting, now) else planned_for(sitting)

    def _by_daylight(self, sitting_id: str) -> Sitting:
        sitting = find("sitting", sitting_id, self.book().sittings)
        if not has_seat(sitting):
            raise NotPossible(
                "No light of this sitting comes from sun and sky: choose a seat for one of its "
                "lights first."
            )
        return sitting
