"""One sitting of a book, laid out for the engine: layouts, sheets, what is believed.

Filter and pre-flash may differ from sheet to sheet, so they belong to a sheet's layout.
"""

from __future__ import annotations

import math
import threading
from dataclasses import replace
from datetime import datetime
from functools import cached_property

from stillroom.advice import NextSheet
from stillroom.belief import (
    Belief,
    LaidBathReading,
    LaidMeterReading,
    LaidSheet,
    Posterior,
    apply,
    in_force,
    opened,
)
from stillroom.camera import exact_f_number
from stillroom.documents import book as doc
from stillroom.documents.checks import check_lit
from stillroom.documents.making import as_made
from stillroom.documents.to_domain import (
    batch_of,
    camera_of,
    head_of,
    lamp_of,
    lens_of,
    magnification_of,
    modifier_of,
    named,
    sitter_of,
)
from stillroom.errors import BadValue, UnknownName
from stillroom.exposure import (
    BareFilter,
    BareSettings,
    BareSheet,
    Layout,
    SetLight,
    Setup,
    compile_setup,
)
from stillroom.light import reading_for_stops, stops_below_full
from stillroom.quantity import Constants, Stops
from stillroom.services.bath import bath_readings
from stillroom.services.chair import CARD, in_the_chair
from stillroom.services.daylit import Weather, daylit, sky_moves
from stillroom.services.filters import Seen, lens_filter
from stillroom.services.fired import stood_after
from stillroom.services.first_term import first_moves
from stillroom.services.ledger_names import ledger_names
from stillroom.services.marks import last_number
from stillroom.services.metered import bare_meter_reading
from stillroom.services.moved import moves_at_meter, moves_on
from stillroom.services.readings import bare_aims, bare_reading, landed
from stillroom.services.recent import Recent
from stillroom.services.remembered import BeliefMemo
from stillroom.services.room_states import OPEN_STATE, is_open, state_shift
from stillroom.services.seats import has_seat, is_seat, planned_for
from stillroom.services.set_light import Things, set_light
from stillroom.services.sittings import bath_of_day, day_of, in_order_of_time, tells
from stillroom.services.teaches import taught_by
from stillroom.sitter import Sitter

OPEN_TIMES_S = (0.125, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0)
"""Times a hand, a cap or a shutter can make, where steady light carries the picture."""
SAME_STOPS = 1e-6


class Worktable:
    """One sitting of a book, ready for the engine.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    memo : BeliefMemo, optional
        Where beliefs after earlier sittings are kept.
    constants : Constants, optional
        Meter constants; the usual ones unless given.
    at : datetime, optional
        The moment for which the next sheet is planned, where daylight counts; that of the
        sitting unless given.

    Raises
    ------
    UnknownName
        If the sitting, or anything it names, is not in the book.
    """

    def __init__(
        self,
        book: doc.Book,
        sitting_id: str,
        *,
        memo: BeliefMemo | None = None,
        constants: Constants | None = None,
        at: datetime | None = None,
    ) -> None:
        self.book = book
        self.sitting = named("sitting", sitting_id, book.sittings)
        self.at = at or planned_for(self.sitting)
        self.constants = constants or Constants()
        self.planned: NextSheet | None = None
        """What was advised for the next sheet, once somebody asked."""
        self._memo = memo
        self._layouts: dict[str, Layout] = {}
        self._posteriors: dict[int | None, Posterior] = {}
        self._lock = threading.Lock()
        kit = book.kit
        self.paper = named("paper", self.sitting.paper, book.papers)
        self.batch = batch_of(self.paper)
        self.lens = lens_of(named("lens", self.sitting.lens, kit.lenses))
        self.sees = Seen(self.paper, self.batch, self.lens)
        self.camera = camera_of(named("camera", self.sitting.camera, kit.cameras))
        self.heads = {h.id: head_of(h) for h in kit.heads}
        self.modifiers = {m.id: modifier_of(m) for m in kit.modifiers}
        lamps = {x.id: lamp_of(x) for x in kit.lamps}
        self._things = Things(self.heads, lamps, self.modifiers)
        self.lights = {x.role: x for x in self.sitting.lights}
        self.sitter = (
            sitter_of(named("sitter", self.sitting.sitters[0], book.sitters))
            if self.sitting.sitters
            else CARD
        )

    # ---- settings and layouts -------------------------------------------------------------

    def standing(self) -> doc.Settings:
        """How things stand: the last sheet as made, else what the sitting says."""
        last = max(self.sitting.sheets, key=lambda s: s.number, default=None)
        moved_since = last is None or self.sitting.stands_after == last.number
        if self.sitting.stands is not None and moved_since:
            return self.sitting.stands.model_copy(update={"steps_pops": None})
        if last is not None:
            return stood_after(last).model_copy(update={"steps_pops": None})
        marks = self.lens.f_numbers
        usual = min(marks, key=lambda n: abs(math.log2(n / 5.6)))
        lights = {
            role: doc.LightSetting(dial=self.heads[x.kit_id or ""].dial.max)
            for role, x in self.lights.items()
            if x.kind == "head" and (x.kit_id or "") in self.heads
        }
        return doc.Settings(lights=lights, f_number=usual)

    def layout(
        self,
        settings: doc.Settings,
        room_state: str | None = None,
        *,
        number: int | None = None,
    ) -> Layout:
        """The layout for how the lights stand in these settings, and the state of the room.

        It is the one of the sheet of that number, or of the next sheet: so many went through
        the baths before it, and what moved earlier and stayed so has its own unknowns.
        """
        weather = self._weather_at(number)
        sits = in_the_chair(self.sitting.sheets, number, self.sitter)
        layout = self._compiled(settings, room_state, weather, sits)
        layout = layout.at_sheet(self._sheets_before + len(self._made_before(number)))
        moves = moves_on(self.sitting, number, layout.roles)
        next_one = number or last_number(self.sitting) + 1
        moves += sky_moves(self.sitting, next_one, weather.seen, layout.roles)
        moves += first_moves(self.book, self.sitting, number, layout.roles)
        return layout.with_moves(moves) if moves else layout

    def _made_before(self, number: int | None) -> list[doc.Sheet]:
        sheets = sorted(self.sitting.sheets, key=lambda s: s.number)
        return [s for s in sheets if number is None or s.number < number]

    @cached_property
    def _sheets_before(self) -> int:
        """How many sheets of other sittings went through the day's baths before this one."""
        return sum(
            len(s.sheets)
            for s in self.book.sittings
            if bath_of_day(s) == bath_of_day(self.sitting)
            and (s.when, s.id) < (self.sitting.when, self.sitting.id)
        )

    def _weather_at(self, number: int | None) -> Weather:
        """The moment of a sheet, and the sky it had."""
        for sheet in self.sitting.sheets:
            if sheet.number == number:
                return Weather(sheet.when or self.sitting.when, sheet.sky or self.sitting.sky)
        return Weather(self.at, self.sitting.sky)

    def _compiled(
        self, settings: doc.Settings, room_state: str | None, weather: Weather, sits: Sitter
    ) -> Layout:
        state = self.sitting.room_state if room_state is None else room_state
        changed = {
            role: (s.distance_m, s.modifiers, s.on)
            for role, s in sorted(settings.lights.items())
            if s.distance_m is not None or s.modifiers is not None or not s.on
        }
        weighs = weather if has_seat(self.sitting) else None
        key = repr((state, changed, settings.filter, settings.pre_flash_stops, weighs, sits.id))
        if key not in self._layouts:
            setup = replace(self.setup(settings, state, weather), sitter=sits)
            self._layouts[key] = compile_setup(setup).layout()
        return self._layouts[key]

    def setup(
        self,
        settings: doc.Settings,
        room_state: str | None = None,
        weather: Weather | None = None,
    ) -> Setup:
        """The sitting as physical things, with the lights as these settings put them.

        The weather counts where daylight does; that of the next sheet unless given.
        """
        weather = weather or self._weather_at(None)
        state = self.sitting.room_state if room_state is None else room_state
        for role in settings.lights:
            if role not in self.lights:
                raise UnknownName("light", role, self.lights)
        lights, lit = [], []
        for role, light in self.lights.items():
            setting = settings.lights.get(role, doc.LightSetting())
            if setting.on:
                lights.append(self._light(light, setting, state, weather))
                lit.append(light)
        steady_carries = any(x.kind in ("lamp", "daylight", "window") for x in lights)
        start = self.sitting.stands or settings
        return Setup(
            id=self.sitting.id,
            day=day_of(self.sitting.when),
            batch=self.batch,
            lens=self.lens,
            camera=self.camera,
            magnification=magnification_of(self.sitting.framing, self.lens),
            sitter=self.sitter,
            lights=tuple(lights),
            aims=bare_aims(self.book, self.sitting, self.sitter, self.batch),
            f_default=start.f_number,
            open_s=start.open_s,
            open_choices_s=self._open_times(start.open_s) if steady_carries else (),
            set=self.sitting.set,
            bath=bath_of_day(self.sitting),
            sheets_before=self._sheets_before,
            bath_is_read=bool(self.sitting.control_strips),
            filter=self._on_lens(settings.filter, lit),
            pre_flash_stops=settings.pre_flash_stops,
            names=ledger_names(self.book, self.paper),
        )

    def _light(
        self, light: doc.Light, setting: doc.LightSetting, state: str, weather: Weather
    ) -> SetLight:
        there = None
        if is_seat(light):
            there = daylit(self.book, light.kit_id or "", self.batch, self.lens, weather)
        shift = Stops(0.0)
        if light.kind in ("head", "lamp") or (there and is_open(state)):
            state = ""  # sun and sky are reckoned with nothing drawn
        else:
            shift = state_shift(OPEN_STATE if there else self._metered_in(), state)
        return set_light(light, setting, self._things, state=state, shift=shift, there=there)

    def _on_lens(self, filter_id: str | None, lit: list[doc.Light]) -> BareFilter | None:
        if filter_id is None:
            return None
        return lens_filter(self.book.kit, filter_id, self.sees, lit)

    def _metered_in(self) -> str:
        """The state of the room when the sitting began, in which its levels were metered."""
        first = min(self.sitting.sheets, key=lambda s: s.number, default=None)
        began = first.room_state if first is not None else ""
        return began or self.sitting.room_state

    def _open_times(self, start_s: float) -> tuple[float, ...]:
        longest = self.sitter.holds_still_s or OPEN_TIMES_S[-1]
        times = {t for t in OPEN_TIMES_S if t <= longest} | {start_s}
        return tuple(sorted(times))

    def bare_settings(self, settings: doc.Settings) -> BareSettings:
        """Settings of a document in the engine's terms."""
        dials = {}
        for role, light in self.lights.items():
            setting = settings.lights.get(role, doc.LightSetting())
            if light.kind != "head" or not setting.on:
                continue
            head = self.heads[light.kit_id or ""]
            shown = head.dial.max if setting.dial is None else setting.dial
            try:
                dials[role] = stops_below_full(head.dial, shown, head.energy_ws)
            except BadValue as error:
                raise BadValue(f"dial of {role}", shown, error.reason) from None
        open_s = settings.open_s
        if settings.opening == "held_open":
            open_s /= settings.pops
        return BareSettings(
            dials, self.exact(settings.f_number), settings.pops, open_s, settings.steps_pops
        )

    def exact(self, marked: float) -> float:
        """What a mark of this lens stands for."""
        widest = self.lens.f_numbers[0]
        return exact_f_number(marked, widest, self.lens.true_f_number_wide_open)

    def document_settings(self, bare: BareSettings, like: doc.Settings) -> doc.Settings:
        """The engine's settings as a hand makes them, the rest as in `like`."""
        lights = dict(like.lights)
        stood = self.bare_settings(like).dial_stops
        for role, stops in bare.dial_stops.items():
            if role in lights and abs(stood.get(role, math.inf) - stops) < SAME_STOPS:
                continue  # what is not turned stays, also between two steps of its dial
            head = self.heads[self.lights[role].kit_id or ""]
            shown = reading_for_stops(head.dial, stops, head.energy_ws)
            base = lights.get(role, doc.LightSetting())
            lights[role] = base.model_copy(update={"dial": round(shown, 6) + 0.0})
        marks = {self.exact(m): m for m in self.lens.f_numbers}
        nearest = min(marks, key=lambda n: abs(math.log2(n / bare.f_number)))
        held = like.opening == "held_open"
        return like.model_copy(
            update={
                "lights": lights,
                "f_number": marks[nearest],
                "pops": bare.pops,
                "open_s": bare.seconds * bare.pops if held else bare.seconds,
                "steps_pops": bare.steps_pops,
            }
        )

    # ---- what was recorded ----------------------------------------------------------------

    def laid_sheets(self, before_number: int | None = None) -> list[LaidSheet]:
        """Every sheet so far, with the layout it was made under."""
        laid = []
        for sheet in self._made_before(before_number):
            check_lit(self.sitting, sheet)
            settings = as_made(sheet.settings, sheet.made)
            record = BareSheet(
                self.bare_settings(settings),
                bare_reading(self.book, sheet),
                landed(sheet),
                real=sheet.odd_is == "real",
            )
            layout = self.layout(settings, sheet.room_state or None, number=sheet.number)
            laid.append(LaidSheet(layout, record))
        return laid

    def laid_meters(self) -> list[LaidMeterReading]:
        """Every meter reading of the sitting."""
        return [self._laid_meter(m) for m in self.sitting.meter_readings]

    def _laid_meter(self, taken: doc.MeterReading) -> LaidMeterReading:
        settings = taken.settings or self.standing().model_copy(update={"pops": 1})
        lit = {
            role: setting.model_copy(update={"on": setting.on or role in taken.lights_on})
            for role, setting in settings.lights.items()
        }
        settings = settings.model_copy(update={"steps_pops": None, "lights": lit})
        weather = Weather(taken.when or self.sitting.when, taken.sky or self.sitting.sky)
        layout = self._compiled(settings, taken.room_state or None, weather, self.sitter)
        moves = moves_at_meter(self.sitting, taken, layout.roles)
        if taken.before_sheet:
            moves += sky_moves(self.sitting, taken.before_sheet, weather.seen, layout.roles)
        layout = layout.with_moves(moves)
        bare = self.bare_settings(settings)
        reading = bare_meter_reading(
            taken, self.book.kit.meters, bare, layout.roles, self.constants
        )
        return LaidMeterReading(layout, reading)

    # ---- belief ---------------------------------------------------------------------------

    def before(self) -> Belief:
        """What is believed at the start of this sitting."""
        order = in_order_of_time(self.book)
        earlier = order[: order.index(self.sitting)]
        from stillroom.services.folding import fold_book  # noqa: PLC0415 - it lays tables itself

        return fold_book(self.book, earlier, self._memo, self.constants)

    def posterior(self, before_number: int | None = None) -> Posterior:
        """What is believed now, or was before a sheet of that number."""
        if before_number is not None and before_number > last_number(self.sitting):
            before_number = None
        with self._lock:
            if before_number not in self._posteriors:
                self._posteriors[before_number] = self._drawn(before_number)
            return self._posteriors[before_number]

    def takes_over(self, other: Worktable) -> bool:
        """Take what another worktable has drawn, where the books differ in nothing that teaches.

        Locks, efforts and how the sitter is held change what is advised, and no belief.
        """
        asked = (self.sitting.id, id(self._memo), self.constants, self.at)
        if asked != (other.sitting.id, id(other._memo), other.constants, other.at):
            return False
        if taught_by(self.book, self.sitting.id) != taught_by(other.book, other.sitting.id):
            return False
        self._posteriors.update(other._posteriors)
        return True

    @property
    def drawn(self) -> Posterior | None:
        """What is believed now, where that was asked already."""
        return self._posteriors.get(None)

    def _drawn(self, before_number: int | None) -> Posterior:
        order = in_order_of_time(self.book)
        at = order.index(self.sitting)
        since = next((s.when for s in reversed(order[:at]) if tells(s)), None)
        until = order[at + 1].when if at + 1 < len(order) else None
        posterior = self.formed(self.before(), since, until, before_number)
        posterior.states()  # drawn here, under the lock: two askers must not share its stream
        return posterior

    def formed(
        self,
        belief: Belief,
        since: datetime | None,
        until: datetime | None,
        before_number: int | None = None,
    ) -> Posterior:
        """What is believed after this sitting, of what was believed after the one before.

        What the photographer said of single terms between the two moments counts beforehand:
        conditioning on a figure and conditioning on sheets may change places.
        """
        layout = self.layout(self.standing(), number=before_number)
        sheets, meters = self.laid_sheets(before_number), self.laid_meters()
        layouts = [layout, *(x.layout for x in sheets), *(x.layout for x in meters)]
        said = in_force(self.book.choices, since, until)
        terms = (t for x in layouts for t in x.terms) if said else ()
        start = apply(opened(belief, layout), said, terms)
        baths = [LaidBathReading(layout, b) for b in bath_readings(self.book, self.sitting)]
        return Posterior(start, layout, sheets, meters, baths)


_recent: Recent[tuple[int, str, int, Constants, datetime | None], tuple[doc.Book, Worktable]] = (
    Recent(4)
)


def worktable(
    book: doc.Book,
    sitting_id: str,
    *,
    memo: BeliefMemo | None = None,
    constants: Constants | None = None,
    at: datetime | None = None,
) -> Worktable:
    """The worktable of a sitting; the last few are kept, for one page asks several times.

    A book is never altered, so the same object means the same answers.
    """
    constants = constants or Constants()
    key = (id(book), sitting_id, id(memo), constants, at)
    found = _recent.get(key)
    if found is not None and found[0] is book:
        return found[1]
    made = Worktable(book, sitting_id, memo=memo, constants=constants, at=at)
    any(made.takes_over(before) for _, before in reversed(_recent.every()))
    _recent.put(key, (book, made))
    return made


def drawn_already(
    book: doc.Book, sitting_id: str, memo: BeliefMemo | None, constants: Constants
) -> Posterior | None:
    """What is believed in a sitting now, where a worktable that is kept has it."""
    found = _recent.get((id(book), sitting_id, id(memo), constants, None))
    return None if found is None or found[0] is not book else found[1].drawn
