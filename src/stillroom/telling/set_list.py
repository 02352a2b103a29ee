"""The set list: one row per place you stop at, in walking order, every value with its wheel."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from stillroom.documents.answers import Change
from stillroom.documents.book import Book, Light, LightSetting, Settings, Sitting
from stillroom.documents.filters import Filter
from stillroom.documents.kit import Dial, Head
from stillroom.documents.on_lens import goes_with
from stillroom.quantity import format_length
from stillroom.telling.figures import dial_figure, listed, wheel
from stillroom.telling.holder_rows import holder_rows
from stillroom.telling.names import called, light_title, openings, thing
from stillroom.telling.place_rows import room_rows, seat_rows
from stillroom.telling.set_rows import Choice, Lengths, Row, State, Value
from stillroom.telling.turned import Fields, fields_of, resolved
from stillroom.telling.words import figure, seconds

_SHUTTER_S = (
    1 / 500, 1 / 250, 1 / 125, 1 / 60, 1 / 30, 1 / 15, 1 / 8, 1 / 4, 1 / 2,
    1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30, 45, 60, 90, 120,
)  # fmt: skip
_MOST_POPS = 16
PRE_FLASH_USUAL_STOPS, PRE_FLASH_MOST_STOPS = 3.0, 10.0
"""Where the wheel of a pre-flash opens (ours), and the farthest a document takes."""
_CARRIERS = {"softbox": "cloth", "octa": "cloth", "umbrella": "cloth", "grid": "grid"}


@dataclass(frozen=True, slots=True)
class SetList:
    """Everything to set, and all knobs as they would be recorded now."""

    rows: tuple[Row, ...]
    fields: Fields
    yours: tuple[str, ...]
    """Knobs that stand otherwise than planned."""


def set_list(
    book: Book,
    sitting: Sitting,
    *,
    planned: Settings,
    actual: Settings,
    before: Settings | None,
    lengths: Lengths = "metric",
    is_made: bool = False,
    chair: Row | None = None,
) -> SetList:
    """Rows of the set list in walking order: the lights, the chair, the camera, the room, the sky.

    Filter and pre-flash have rows only where one is in use, or was.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose kit and lights they are.
    planned : Settings
        What is advised.
    actual : Settings
        What will be recorded: the plan with what was turned by hand.
    before : Settings, optional
        How the set stood for the last sheet; without it nothing is marked as changed.
    lengths : {"metric", "imperial"}
        How lengths are printed.
    is_made : bool
        Whether it is that of a sheet that was made, and of no seat any more but its own.
    chair : Row, optional
        Where the chair stands for focus, if anybody asked.
    """
    plan = fields_of(sitting, planned)
    now = fields_of(sitting, actual)
    was = fields_of(sitting, before) if before else plan
    marks = _Marks(plan, now, was, before is not None, frozenset(sitting.locks))
    ours = resolved(sitting, actual)
    rows = [
        _light_row(book, light, ours[light.role], marks, lengths)
        for light in sitting.lights
        if light.kind in ("head", "lamp")
    ]
    rows += seat_rows(book, sitting, lengths, is_made=is_made)
    if chair is not None:
        rows.append(chair)
    rows.append(_camera_row(book, sitting, actual, marks))
    rows += _on_sheet_rows(book, sitting, actual, marks)
    rows += holder_rows(book, sitting, is_made=is_made)
    rows += room_rows(book, sitting, is_made=is_made)
    yours = tuple(knob for knob in now if now[knob] != plan.get(knob))
    return SetList(tuple(rows), now, yours)


@dataclass(frozen=True, slots=True)
class _Marks:
    """Tells what changed: by advice, or by hand."""

    plan: Fields
    now: Fields
    was: Fields
    has_before: bool
    locked: frozenset[str]

    def state(self, knob: str) -> State:
        if self.now.get(knob) != self.plan.get(knob):
            return "yours"
        return "changed" if self.plan.get(knob) != self.was.get(knob) else "same"

    def row(self, knobs: Iterable[str]) -> State:
        states = {self.state(knob) for knob in knobs}
        return "yours" if "yours" in states else "changed" if "changed" in states else "same"

    def calm(self) -> str:
        return "as before" if self.has_before else ""


def _light_row(
    book: Book, light: Light, setting: LightSetting, marks: _Marks, lengths: Lengths
) -> Row:
    role = light.role
    head = thing(book.kit.heads, light.kit_id) if light.kind == "head" else None
    title = light_title(light, book.kit)
    in_front = _in_front(book, light, setting, marks)
    if not setting.on:
        return Row(title, (in_front,), _off_why(in_front.state), in_front.state)
    values = []
    if head is not None and setting.dial is not None:
        values.append(_dial_value(role, head, setting.dial, marks))
    if setting.distance_m is not None:
        values.append(_distance_value(book, light, setting, marks, lengths))
    values.append(in_front)
    knobs = [f"{role}.{knob}" for knob in ("dial", "at", "with", "on")]
    state = marks.row(knobs)
    return Row(title, tuple(values), _light_why(role, head, marks, lengths, state), state)


def _off_why(state: State) -> str:
    return {"same": "stays off", "changed": "switch it off", "yours": "you switched it off"}[state]


def _light_why(role: str, head: Head | None, marks: _Marks, lengths: Lengths, state: State) -> str:
    if state == "same":
        return "locked" if role in marks.locked else marks.calm()
    if state == "yours":
        return "as you set it"
    said = []
    if head is not None and marks.state(f"{role}.dial") == "changed":
        said.append(_dial_why(head.dial, marks, f"{role}.dial"))
    if marks.state(f"{role}.at") == "changed":
        said.append(_distance_why(marks, f"{role}.at", lengths))
    if marks.state(f"{role}.with") == "changed":
        said.append("cloth or grid changed")
    if marks.state(f"{role}.on") == "changed":
        said.append("switch it on")
    return ", ".join(said)


def _dial_why(dial: Dial, marks: _Marks, knob: str) -> str:
    if knob not in marks.was or knob not in marks.plan:
        return ""
    by = float(marks.plan[knob]) - float(marks.was[knob])
    way = "up" if by > 0 else "down"
    if dial.kind == "stops":
        return f"dial {way} {dial_figure(dial, abs(by))[0]}"
    return f"dial {way}, was {dial_figure(dial, float(marks.was[knob]))[0]}"


def _distance_why(marks: _Marks, knob: str, lengths: Lengths) -> str:
    if knob not in marks.was:
        return ""
    by = float(marks.plan[knob]) - float(marks.was[knob])
    return f"{format_length(abs(by), lengths)} {'further' if by > 0 else 'nearer'}"


def _dial_value(role: str, head: Head, value: float, marks: _Marks) -> Value:
    knob, dial = f"{role}.dial", head.dial
    text, caption = dial_figure(dial, value)
    offered = wheel(dial.min, dial.max, dial.step, value)
    choices = _choices(knob, offered, marks, lambda v: dial_figure(dial, v)[0])
    if dial.kind == "stops":  # read as stops below full: the loudest on top
        choices = choices[::-1]
    return Value(knob, f"{role} dial", text, caption, marks.state(knob), choices)


def _distance_value(
    book: Book, light: Light, setting: LightSetting, marks: _Marks, lengths: Lengths
) -> Value:
    knob = f"{light.role}.at"
    at = setting.distance_m or 0.0
    step = 0.05 if at < 3 else 0.1
    offered = wheel(max(0.1, at - 8 * step), at + 8 * step, step, at)
    return Value(
        knob,
        f"{light.role} distance",
        format_length(at, lengths),
        f"{_front(book, setting)} to {_served(light)}",
        marks.state(knob),
        _choices(knob, offered, marks, lambda v: format_length(v, lengths)),
        typed_hint="off the tape, such as 0.83 m or 2 ft 9",
    )


def _front(book: Book, setting: LightSetting) -> str:
    """The surface the tape starts from: the last thing the light passes."""
    if not setting.modifiers:
        return "front"
    last = thing(book.kit.modifiers, setting.modifiers[-1])
    kind = (last.kind if last else "").casefold()
    return next((word for name, word in _CARRIERS.items() if name in kind), "front")


def _served(light: Light) -> str:
    role = light.role.casefold()
    if "rim" in role or "hair" in role or "back" in role:
        return "shoulder"
    return "ground" if role in ("bg", "background", "ground") else "cheek"


def _in_front(book: Book, light: Light, setting: LightSetting, marks: _Marks) -> Value:
    """What the light passes, and whether it is lit: taken off or switched by pairs."""
    role = light.role
    on = setting.modifiers or ()
    known = dict.fromkeys((*light.modifiers, *on))
    names = {m: called(thing(book.kit.modifiers, m), m) for m in known}
    with_knob, on_knob = f"{role}.with", f"{role}.on"
    pairs = []
    for one in known:
        with_it = ",".join(m for m in known if m in on or m == one)
        without = ",".join(m for m in known if m in on and m != one)
        pairs += [
            _switch(with_knob, with_it, f"{names[one]} on", marks, is_now=one in on),
            _switch(with_knob, without, f"{names[one]} off", marks, is_now=one not in on),
        ]
    pairs += [
        _switch(on_knob, "yes", "light on", marks, is_now=setting.on),
        _switch(on_knob, "no", "light off", marks, is_now=not setting.on),
    ]
    shown = ", ".join(min(names[m], m, key=len) for m in on) if setting.on else "off"
    return Value(
        knob=on_knob,
        title=f"{role}, on and off",
        figure=shown or "bare",
        caption="in front" if setting.on else "not lit",
        state=marks.row([with_knob, on_knob]),
        choices=tuple(pairs),
        is_pairs=True,
    )


def _switch(knob: str, value: str, said: str, marks: _Marks, *, is_now: bool) -> Choice:
    is_planned = value == marks.plan.get(knob, "")
    return Choice(value, said, is_now, is_planned, knob=knob)


def _camera_row(book: Book, sitting: Sitting, actual: Settings, marks: _Marks) -> Row:
    lens = thing(book.kit.lenses, sitting.lens)
    f_numbers = sorted({*(lens.f_numbers if lens else ()), actual.f_number})
    stop = Value(
        "f",
        "lens stop",
        figure(actual.f_number),
        f"lens, {lens.focal_mm:g} mm" if lens else "lens",
        marks.state("f"),
        _choices("f", f_numbers, marks, figure, is_f=True),
        is_f=True,
    )
    pops = Value(
        "pops",
        "pops",
        str(actual.pops),
        openings(sitting, actual.pops),
        marks.state("pops"),
        _choices(
            "pops", sorted({*range(1, _MOST_POPS + 1), actual.pops}), marks, lambda v: f"{v:g}"
        ),
    )
    opened = "held open" if actual.opening == "held_open" else f"open each {openings(sitting, 1)}"
    times = [t for t in _SHUTTER_S if not math.isclose(t, actual.open_s, rel_tol=0.02)]
    open_time = Value(
        "s",
        "open time",
        seconds(actual.open_s),
        opened if actual.pops > 1 else "open",
        marks.state("s"),
        _choices("s", sorted([*times, actual.open_s]), marks, seconds),
    )
    state = marks.row(["f", "pops", "s", "opening"])
    why = {"same": marks.calm(), "yours": "as you set it"}.get(state) or _camera_why(
        sitting, marks
    )
    return Row("Camera", (stop, pops, open_time), why, state)


def _camera_why(sitting: Sitting, marks: _Marks) -> str:
    was = []
    if marks.state("f") == "changed":
        was.append(f"f/{marks.was['f']}")
    if marks.state("pops") == "changed":
        was.append(f"{marks.was['pops']} {openings(sitting, int(marks.was['pops']))}")
    if marks.state("s") == "changed":
        was.append(seconds(float(marks.was["s"])))
    return f"was {listed(was)}" if was else ""


def _on_sheet_rows(book: Book, sitting: Sitting, actual: Settings, marks: _Marks) -> list[Row]:
    """What hangs on the lens and what the sheet is flashed with, where either is in use."""
    values = {
        "Filter": _filter_value(book, sitting, marks),
        "Pre-flash": _pre_flash_value(actual, marks),
    }
    return [
        Row(title, (value,), _on_sheet_why(book, value, marks), value.state)
        for title, value in values.items()
        if any(fields.get(value.knob) for fields in (marks.plan, marks.now, marks.was))
    ]


def _filter_value(book: Book, sitting: Sitting, marks: _Marks) -> Value:
    knob, plan, now = "filter", marks.plan.get("filter", ""), marks.now.get("filter", "")
    offered = {"": "none"} | {
        one.id: called(one, one.id)
        for one in filters_for(book, sitting)
        if not one.retired or one.id in (now, plan)
    }
    choices = tuple(Choice(i, said, i == now, i == plan) for i, said in offered.items())
    shown = offered.get(now, now)
    return Value(knob, "filter", shown, "on the lens", marks.state(knob), choices, is_wide=True)


def filters_for(book: Book, sitting: Sitting) -> list[Filter]:
    """Filters that go with the paper of a sitting."""
    paper = thing(book.papers, sitting.paper)
    return [one for one in book.kit.filters if paper is None or goes_with(one, paper)]


def _pre_flash_value(actual: Settings, marks: _Marks) -> Value:
    knob, below = "preflash", actual.pre_flash_stops
    at = PRE_FLASH_USUAL_STOPS if below is None else below
    offered = wheel(max(0.0, at - 2), min(PRE_FLASH_MOST_STOPS, at + 2), 0.1, at)
    none = Choice("", "none", below is None, not marks.plan.get(knob))
    choices = (none, *_choices(knob, offered, marks, figure))
    return Value(
        knob,
        "pre-flash",
        "none" if below is None else figure(below),
        "below the mid-tone",
        marks.state(knob),
        choices,
        typed_hint="stops below the mid-tone, such as 2.5",
    )


def _on_sheet_why(book: Book, value: Value, marks: _Marks) -> str:
    if value.state != "changed":
        return "as you set it" if value.state == "yours" else marks.calm()
    was = marks.was.get(value.knob, "")
    if value.knob == "filter":
        return f"was {called(thing(book.kit.filters, was), was) or 'none'}"
    return f"was {was or 'none'}"


def _choices(
    knob: str,
    offered: Iterable[float],
    marks: _Marks,
    say: Callable[[float], str],
    *,
    is_f: bool = False,
) -> tuple[Choice, ...]:
    now, plan = marks.now.get(knob), marks.plan.get(knob)
    return tuple(
        Choice(text, say(value), text == now, text == plan, is_f)
        for value in offered
        for text in (f"{value:.10g}",)
    )


def change_title(book: Book, sitting: Sitting, change: Change) -> str:
    """One change as a sentence: what to turn, which way, from where to where.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose kit and lights they are.
    change : Change
        What is advised to be turned.
    """
    light = next((one for one in sitting.lights if one.role == change.role), None)
    head = thing(book.kit.heads, light.kit_id) if light is not None else None
    before, now = change.from_value, change.to_value
    what = f"{change.knob[:1].upper()}{change.knob[1:]}"
    if head is not None and change.knob.endswith("dial"):
        figures = [dial_figure(head.dial, value) for value in (before, now)]
        way = "up" if now > before else "down"
        if head.dial.kind == "stops":
            by = dial_figure(head.dial, abs(now - before))[0]
            return f"{what} {way} {by}: {figures[0][0]} to {figures[1][0]} {figures[1][1]}."
        return f"{what} {way}: {figures[0][0]} to {figures[1][0]} {figures[1][1]}."
    if change.knob == "f-number":
        return f"Lens stop from f/{figure(before)} to f/{figure(now)}."
    if change.knob == "open time":
        return f"{what} from {seconds(before)} to {seconds(now)}."
    return f"{what} from {figure(before)} to {figure(now)}."
