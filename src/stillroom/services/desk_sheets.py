"""Verbs of a sheet: shoot, put right, read, meter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from stillroom.documents.book import (
    Book,
    Expected,
    Made,
    MeterReading,
    Reading,
    Reason,
    Settings,
    Sheet,
    Sitting,
)
from stillroom.documents.making import as_made
from stillroom.documents.piece import Piece
from stillroom.documents.read import validated
from stillroom.errors import BadValue, UnknownName, shown
from stillroom.services.desk_base import DeskBase, find
from stillroom.services.fired import made_as_said
from stillroom.services.holders import exposed, side_to_expose
from stillroom.services.looks import first_sitter
from stillroom.services.marks import last_number, sheet_mark
from stillroom.services.moved import check_named
from stillroom.services.pieces import only_region, piece_to_make
from stillroom.services.place_light import (
    as_if_unmoved,
    carried,
    carried_sentence,
    curtain_said,
    moved_before,
)
from stillroom.services.seats import sky_now

if TYPE_CHECKING:
    from stillroom.documents.answers import Forecast

CLIPS = 8  # which corner is nicked, a second nick for 5 to 8


class SheetVerbs(DeskBase):
    """What happens with one sheet. Each form is written once, however often it is sent."""

    def shoot(
        self,
        sitting_id: str,
        settings: Settings,
        form_id: str = "",
        *,
        expected: Mapping[str, Expected] | None = None,
        p_tones_land: float | None = None,
        made: Made | None = None,
        holder_side: str | None = None,
        loaded_again: bool = False,
        piece: Piece | None = None,
    ) -> int:
        """Write down a sheet as it is exposed.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        settings : Settings
            What was planned.
        form_id : str
            The form's one-time id.
        expected : mapping, optional
            What was said of each region; worked out when left out.
        p_tones_land : float, optional
            The chance that was said; worked out when left out with `expected`.
        made : Made, optional
            What was set otherwise than planned.
        holder_side : str, optional
            Which side of which holder, such as ``2 B``; left out: the next one that is known to be
            loaded with this paper, if there is any; empty: none.
        loaded_again : bool
            Whether it is said that the side was loaded, whatever is written down of it.
        piece : Piece, optional
            An offcut that was taped where one aimed region falls, without a region where the
            tolerance is least; a whole sheet unless given.

        Returns
        -------
        int
            Number of the sheet.

        Raises
        ------
        UnknownName, BadValue
            If a hand cannot set that on this lens and these lights, or a test piece's region is
            not aimed, or its sheet is a stepped one.
        NotPossible
            If the side that was named holds an exposed sheet, none, or another paper.
        OutOfRange
            If a test piece is larger than a sheet.
        """
        if expected is None:
            forecast = self.forecast(sitting_id, settings)
            expected, p_tones_land = expected_of(forecast), forecast.p_keeper
        if piece is not None:
            piece = piece_to_make(self.book(), self._sitting(sitting_id), piece, settings)
            p_tones_land = None
        said = only_region(expected, piece)

        def write() -> int:
            sitting = self._sitting(sitting_id)
            number, now = last_number(sitting) + 1, self._clock()
            mark = self._mark(sitting, number)
            side = side_to_expose(self.book(), sitting, holder_side, loaded_again=loaded_again)
            if side is not None:
                self._store.put_thing("holders", exposed(side, sitting, number, mark, now))
            sheet = Sheet(
                number=number,
                mark=mark,
                clip=(number - 1) % CLIPS + 1,
                when=now,
                settings=settings,
                made=made,
                holder_side=None if side is None else side.key,
                room_state=sitting.room_state,
                sky=sky_now(sitting),
                expected=said,
                p_tones_land=p_tones_land,
                piece=piece,
            )
            self._store.add_sheet(sitting_id, sheet)
            return number

        return self._written(write, form_id, "shoot")

    def correct_made(
        self, sitting_id: str, number: int, made: Made | None, form_id: str = ""
    ) -> None:
        """Put right what was really set; None: just as planned.

        How far the open time may be off goes with the time that was measured: with another it is
        not known any more.
        """

        def write() -> None:
            sheet = self._sheet(self._sitting(sitting_id), number)
            update: dict[str, object] = {"made": made}
            now = as_made(sheet.settings, made).open_s
            if sheet.open_sd_s is not None and now != as_made(sheet.settings, sheet.made).open_s:
                update["open_sd_s"] = None
            self._store.correct_sheet(sitting_id, sheet.model_copy(update=update))

        self._written(write, form_id, "correct_made")

    def correct_room_state(
        self, sitting_id: str, number: int, room_state: str, form_id: str = ""
    ) -> None:
        """Put right the state of the room's own light that a sheet was made in.

        The sitting, other sheets and meter readings stay as they are.
        """

        def write() -> None:
            sheet = self._sheet(self._sitting(sitting_id), number)
            put_right = validated(
                Sheet, sheet.model_dump(exclude_unset=True) | {"room_state": room_state}
            )
            self._store.correct_sheet(sitting_id, put_right)

        self._written(write, form_id, "correct_room_state")

    def read_sheet(
        self,
        sitting_id: str,
        number: int,
        reading: Reading,
        *,
        kept: bool | None = None,
        because: Sequence[Reason] = (),
        what_else_moved: Sequence[str] = (),
        note: str | None = None,
        form_id: str = "",
    ) -> None:
        """Write down what a sheet shows and what became of it.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        number : int
            The sheet.
        reading : Reading
            What was seen; without a region nothing is added to what was read before.
        kept : bool or None
            Whether it goes in the box.
        because : sequence of str
            Why not: ``tones``, ``face``, ``focus``, ``blemish``.
        what_else_moved : sequence of str
            What else was different; where it names the one head that did not fire, that head is
            written down as switched off, and the sheet teaches the rest.
        note : str, optional
            A free note; None leaves the one there is.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such sheet, or a region or a light is not known.
        BadValue
            If a density lies beyond the paper, or a reason is given for a sheet that is kept.
        """
        if because and kept is not False:
            raise BadValue(
                "because", ", ".join(because), "a reason goes with a sheet that is not kept"
            )

        def write() -> None:
            sitting = self._sitting(sitting_id)
            check_named(sitting, what_else_moved)
            sheet = self._sheet(sitting, number)
            made = made_as_said(sitting, sheet, what_else_moved)
            if reading.regions or reading.strips:
                when = reading.when or self._clock()
                self._store.add_reading(
                    sitting_id, number, reading.model_copy(update={"when": when})
                )
            self._store.set_kept(
                sitting_id,
                number,
                kept=kept,
                reasons=because,
                what_else_moved=what_else_moved,
                note=note,
            )
            if made != sheet.made:
                self.correct_made(sitting_id, number, made)

        self._written(write, form_id, "read_sheet")

    def undo_last(self, sitting_id: str, form_id: str = "") -> int:
        """Take back the reading of a sitting that was written down last.

        The sheet is as if it had not been read then; once none of its readings stands, whether
        it was kept is open again too.

        Returns
        -------
        int
            Number of the sheet.

        Raises
        ------
        NotPossible
            If the sitting has no reading.
        """

        def write() -> int:
            number = self._store.withdraw_last_reading(sitting_id)
            if not self._sheet(self._sitting(sitting_id), number).readings:
                self._store.set_kept(sitting_id, number, kept=None)
            return number

        return self._written(write, form_id, "undo_last")

    def room_carried(self, sitting_id: str) -> str:
        """What the light of the place carried before something let light in or shut it out.

        Returns
        -------
        str
            A sentence; empty where nothing of the kind was said of the last sheet, the room is
            said to be in another state since, or the light would hardly be missed.
        """

        def work_out(book: Book) -> str:
            sitting = find("sitting", sitting_id, book.sittings)
            moved = curtain_said(sitting)
            if moved is None:
                return ""
            sheet, what = moved
            made = as_made(sheet.settings, sheet.made).model_copy(update={"steps_pops": None})
            before = as_if_unmoved(book, sitting, sheet)
            forecast = self._engine.predict(before, sitting_id, made, memo=self._store.memo)
            told = carried_sentence(sitting, carried(sitting, forecast))
            return f"{moved_before(what, sheet)} {told}" if told else ""

        return self._answer(("room carried", sitting_id), work_out)

    def meter(self, sitting_id: str, meter_reading: MeterReading, form_id: str = "") -> None:
        """Write down a meter reading; how the set stood is written with it.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        meter_reading : MeterReading
            What it showed; without settings, the set stood as advised for the next sheet, and
            without a state of the room or a sky they were as the sitting says now.
        form_id : str
            The form's one-time id.
        """
        settings = meter_reading.settings or self.advice(sitting_id).settings
        once = settings.model_copy(update={"steps_pops": None, "pops": 1})
        settings = settings if meter_reading.settings else once

        def write() -> None:
            sitting = self._sitting(sitting_id)
            moment: dict[str, object] = {
                "when": meter_reading.when or self._clock(),
                "settings": settings,
                "before_sheet": meter_reading.before_sheet or last_number(sitting) + 1,
            }
            if state := meter_reading.room_state or sitting.room_state:
                moment["room_state"] = state
            if sky := meter_reading.sky or sky_now(sitting):
                moment["sky"] = sky
            said = meter_reading.model_dump(exclude_unset=True)
            self._store.add_meter_reading(sitting_id, validated(MeterReading, {**said, **moment}))

        self._written(write, form_id, "meter")

    def correct_meter_room(
        self, sitting_id: str, nth: int, room_state: str, form_id: str = ""
    ) -> None:
        """Put right the state of the room that a meter reading was taken in.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        nth : int
            Which of its meter readings, the first being no. 1.
        room_state : str
            The state of the room's own light then.
        form_id : str
            The form's one-time id.
        """

        def write() -> None:
            taken = dict(enumerate(self._sitting(sitting_id).meter_readings, 1))
            if nth not in taken:
                of = f"meter reading of sitting {shown(sitting_id)}"
                raise UnknownName(of, str(nth), list(map(str, taken)))
            said = taken[nth].model_dump(exclude_unset=True) | {"room_state": room_state}
            self._store.correct_meter_reading(sitting_id, nth, validated(MeterReading, said))

        self._written(write, form_id, "correct_meter_room")

    def _mark(self, sitting: Sitting, number: int) -> str:
        sitter = first_sitter(self.book(), sitting)
        return sheet_mark(sitter.initials if sitter else "", number)


def expected_of(forecast: Forecast) -> dict[str, Expected]:
    """What a forecast says of each region, as it is kept with the sheet."""
    return {
        region: Expected(
            mean_stops=said.placement_stops.mean,
            sd_stops=said.placement_stops.sd,
            q05=said.placement_stops.q05,
            q50=said.placement_stops.q50,
            q95=said.placement_stops.q95,
        )
        for region, said in forecast.regions.items()
    }
