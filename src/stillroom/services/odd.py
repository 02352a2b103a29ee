"""Sheets that contradict everything else: which slips explain them, and what is answered."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from pydantic import ValidationError

from stillroom.belief import (
    ODD_FROM,
    RATES,
    Case,
    Comparison,
    Explanation,
    LaidSheet,
    Posterior,
    Slip,
    Weighed,
    compare,
    least_chance,
)
from stillroom.documents import book as doc
from stillroom.documents.making import as_made
from stillroom.documents.odd import OddSheet, OddSheets, OddSlip
from stillroom.documents.read import validated
from stillroom.documents.to_domain import batch_of
from stillroom.exposure import Layout, compile_setup
from stillroom.light import reading_for_stops
from stillroom.services import remembered
from stillroom.services.ledger_names import paper_name
from stillroom.services.odd_words import (
    cannot_tell,
    how_it_stands_out,
    sentence_of,
    slip_id,
    told_together,
    what_happened,
    what_would_tell,
)
from stillroom.services.remembered import BeliefMemo
from stillroom.services.sittings import in_order_of_time
from stillroom.services.worktable import Worktable, worktable

LOOKED_AT_FROM = 0.08
"""Sheets likelier than this to be spoiled are looked at closely, and those of which one tone
has less than this chance beside the best: the rest cannot be odd."""
LOOKED_AT_BELOW = 0.3
OTHER_PAPERS = 6
SAME_PAPER_LIKELIER = 4.0
NAMED_AS_OF = 2
"""Raised whenever the same sheets get other slips or other words: what is remembered goes."""
MOST_POPS = 64
"""As many as a document can hold; what is more cannot be written, so the tones are left out."""


def odd_sheets(book: doc.Book, sitting_id: str, *, memo: BeliefMemo | None = None) -> OddSheets:
    """The odd sheets of a sitting, with the likeliest slips of each that is not answered.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    memo : BeliefMemo, optional
        Where answers are remembered.

    Raises
    ------
    UnknownName
        If the book has no such sitting.
    """
    table = worktable(book, sitting_id, memo=memo)
    key = _key(table)
    if memo is not None and (kept := memo.get(key)) is not None:
        try:
            return OddSheets.model_validate_json(kept)
        except ValidationError:
            pass  # of an older form: worked out again
    found = OddSheets(sitting=sitting_id, sheets=told_together(tuple(_odd(table, memo))))
    if memo is not None:
        memo.put(key, found.model_dump_json().encode())
    return found


def _key(table: Worktable) -> str:
    now = (table.sitting.when, table.sitting.id)
    sittings = [s for s in in_order_of_time(table.book) if (s.when, s.id) <= now]
    (*_, belief) = remembered.keys(table.book, sittings, table.constants)
    said = "".join(c.model_dump_json() for c in table.book.choices)
    return "odd:" + hashlib.sha256(f"{NAMED_AS_OF}{belief}{said}".encode()).hexdigest()


def _odd(table: Worktable, memo: BeliefMemo | None) -> Iterator[OddSheet]:
    sheets = sorted(table.sitting.sheets, key=lambda s: s.number)
    laid = table.laid_sheets()
    for at, sheet in enumerate(sheets):
        if sheet.odd_is is not None or sheet.odd_cause:
            yield _answered(sheet)
        elif laid[at].sheet.reading is not None and _may_be_odd(table, laid, at):
            found = _explained(table, sheet, laid[at], at, memo)
            if found is not None:
                yield found


def _answered(sheet: doc.Sheet) -> OddSheet:
    mark = sheet.mark or f"Sheet {sheet.number}"
    if sheet.odd_is == "real":
        text = f"{mark} contradicts the rest, and you said that it is real: it counts in full."
        answer = "real"
    elif sheet.odd_is == "slip":
        text = f"You said of {mark}: {sheet.odd_cause}. Its tones teach nothing."
        answer = "slip"
    else:
        text = f"You said of {mark}: {sheet.odd_cause}. It is written so and teaches in full."
        answer = "put_right"
    return validated(
        OddSheet,
        {
            "number": sheet.number,
            "mark": mark,
            "sentence": text,
            "answer": answer,
            "cause": sheet.odd_cause,
        },
    )


def _may_be_odd(table: Worktable, laid: list[LaidSheet], at: int) -> bool:
    posterior = table.posterior()
    if posterior.p_spoiled(at) > LOOKED_AT_FROM:
        return True
    return least_chance(posterior, laid[at], at) < LOOKED_AT_BELOW


def _explained(
    table: Worktable, sheet: doc.Sheet, laid: LaidSheet, at: int, memo: BeliefMemo | None
) -> OddSheet | None:
    """The sheet with its likeliest slips, if everything else finds it odd."""
    without = without_sheet(table, sheet.number, memo)
    held = as_made(sheet.settings, sheet.made).opening == "held_open"
    comparison = compare(without, laid, _of_the_book(table, sheet), held_open=held)
    if comparison is None:
        return None
    scatter = comparison.share(Slip.SCATTER)
    if scatter >= 1 - ODD_FROM and table.posterior().p_spoiled(at) <= ODD_FROM:
        return None
    named = comparison.likeliest()
    same = cannot_tell(named)
    ids = [slip_id(w) for w in named]
    rest = max(0.0, 1.0 - scatter - sum(w.share for w in named))
    return OddSheet(
        number=sheet.number,
        mark=sheet.mark or f"Sheet {sheet.number}",
        sentence=how_it_stands_out(comparison.spots, without),
        slips=tuple(
            _slip(table, sheet, w, ids[i], tuple(ids[j] for j in same[i]), comparison, without)
            for i, w in enumerate(named)
        ),
        odds_something_else=min(1.0, rest),
        odds_scatter=scatter,
    )


def without_sheet(table: Worktable, number: int, memo: BeliefMemo | None = None) -> Posterior:
    """What is believed when one sheet's tones are left out and all others stay in."""
    sheets = tuple(
        s.model_copy(update={"odd_is": "slip"}) if s.number == number else s
        for s in table.sitting.sheets
    )
    sitting = table.sitting.model_copy(update={"sheets": sheets})
    sittings = tuple(sitting if s.id == sitting.id else s for s in table.book.sittings)
    book = table.book.model_copy(update={"sittings": sittings})
    return Worktable(book, sitting.id, memo=memo, constants=table.constants).posterior()


# ---- what only a book knows -----------------------------------------------------------------


def _of_the_book(table: Worktable, sheet: doc.Sheet) -> list[Explanation]:
    settings = as_made(sheet.settings, sheet.made)
    state = sheet.room_state or table.sitting.room_state
    found = [
        *_rooms(table, sheet, settings, state),
        *_left_on(table, sheet, settings, state),
        *_papers(table, sheet, settings, state),
    ]
    return [e for e in found if e.cases]


def _rooms(
    table: Worktable, sheet: doc.Sheet, settings: doc.Settings, state: str
) -> Iterator[Explanation]:
    """The room in another state than written."""
    lit = [x for x in table.sitting.lights if x.kind not in ("head", "lamp")]
    states = dict.fromkeys(s for room in table.book.kit.rooms for s in room.states)
    others = [s for s in states if s != state] if lit and state else []
    for other in others:
        layout = table.layout(settings, other, number=sheet.number)
        cases = (Case(1.0, layout=layout),)
        yield Explanation(Slip.ROOM, other, RATES[Slip.ROOM] / len(others), cases)


def _left_on(
    table: Worktable, sheet: doc.Sheet, settings: doc.Settings, state: str
) -> Iterator[Explanation]:
    """Something that hung on a light as it was set up, for other sheets, or the time before."""
    pairs = [
        (role, part)
        for role, light in table.lights.items()
        if light.kind == "head" and _is_on(settings, role)
        for part in _worn_at_times(table, role)
        if part not in worn(table, settings, role)
    ]
    for role, part in pairs:
        on = (*worn(table, settings, role), part)
        setting = settings.lights.get(role, doc.LightSetting())
        lights = {**settings.lights, role: setting.model_copy(update={"modifiers": on})}
        changed = settings.model_copy(update={"lights": lights})
        layout = table.layout(changed, state, number=sheet.number)
        rate = RATES[Slip.MODIFIER_ON] / len(pairs)
        yield Explanation(Slip.MODIFIER_ON, role, rate, (Case(1.0, layout=layout),), part)


def _worn_at_times(table: Worktable, role: str) -> list[str]:
    """What was set up, what hung for other sheets, and what its head wore the time before."""
    seen = dict.fromkeys(table.lights[role].modifiers)
    for sheet in table.sitting.sheets:
        seen |= dict.fromkeys(worn(table, as_made(sheet.settings, sheet.made), role))
    return list(seen | dict.fromkeys(_worn_before(table, table.lights[role].kit_id)))


def _worn_before(table: Worktable, head: str | None) -> tuple[str, ...]:
    """What hung on a head when the last sheet before this sitting was made with it."""
    order = in_order_of_time(table.book)
    for sitting in reversed(order[: order.index(table.sitting)]):
        light = next((x for x in sitting.lights if x.kit_id == head), None)
        last = max(sitting.sheets, key=lambda s: s.number, default=None)
        if light is None or last is None:
            continue
        made = as_made(last.settings, last.made).lights.get(light.role, doc.LightSetting())
        hung = light.modifiers if made.modifiers is None else made.modifiers
        return tuple(m for m in hung if m in table.modifiers)
    return ()


def worn(table: Worktable, settings: doc.Settings, role: str) -> tuple[str, ...]:
    """What hangs on a light in these settings."""
    said = settings.lights.get(role, doc.LightSetting()).modifiers
    return table.lights[role].modifiers if said is None else said


def _is_on(settings: doc.Settings, role: str) -> bool:
    return settings.lights.get(role, doc.LightSetting()).on


def _papers(
    table: Worktable, sheet: doc.Sheet, settings: doc.Settings, state: str
) -> Iterator[Explanation]:
    """Another paper of the book, its other batches before the rest."""
    own = table.paper
    others = [p for p in table.book.papers if p.id != own.id and not p.retired]
    others.sort(key=lambda p: p.name != own.name)
    others = others[:OTHER_PAPERS]
    weights = [SAME_PAPER_LIKELIER if p.name == own.name else 1.0 for p in others]
    setup = table.setup(settings, state)
    nth = table.layout(settings, state, number=sheet.number).nth
    for paper, weight in zip(others, weights, strict=True):
        layout: Layout = compile_setup(replace(setup, batch=batch_of(paper))).layout()
        rate = RATES[Slip.PAPER] * weight / sum(weights)
        yield Explanation(Slip.PAPER, paper.id, rate, (Case(1.0, layout=layout.at_sheet(nth)),))


def _names(table: Worktable) -> dict[str, str]:
    return {f"paper/{paper.id}": paper_name(paper) for paper in table.book.papers}


# ---- what an answer would write -------------------------------------------------------------


def _slip(  # noqa: PLR0917  (one line of a table; these are its sources)
    table: Worktable,
    sheet: doc.Sheet,
    weighed: Weighed,
    name: str,
    same: tuple[str, ...],
    comparison: Comparison,
    without: Posterior,
) -> OddSlip:
    names = _names(table)
    made, room = put_right(table, sheet, weighed)
    corrects = "Its tones are left out of what is believed."
    if made is not None or room:
        corrects = "It is written down as it was made, and teaches in full."
    said = {
        "id": name,
        "what": what_happened(weighed, names),
        "odds": min(1.0, weighed.share),
        "sentence": sentence_of(weighed, comparison.spots, without, names)
        + (f" {what_would_tell(weighed)}" if same else ""),
        "corrects": corrects,
        "same_as": same,
        "made": None if made is None else made.model_dump(exclude_unset=True),
        "room_state": room,
    }
    return validated(OddSlip, {k: v for k, v in said.items() if v is not None})


def put_right(table: Worktable, sheet: doc.Sheet, weighed: Weighed) -> tuple[doc.Made | None, str]:
    """How a sheet was really made if it was this slip, or the state of the room.

    Returns
    -------
    tuple
        What was set, and the room's state; None and empty where no setting can tell it.
    """
    kind, role = weighed.explanation.kind, weighed.explanation.subject
    value, part = weighed.case.value, weighed.explanation.part
    settings = as_made(sheet.settings, sheet.made)
    if kind is Slip.ROOM:
        first = min(s.number for s in table.sitting.sheets)
        # The first sheet's room is the one its light was metered in.
        return None, role if sheet.number != first else ""
    if kind is Slip.DIAL:
        return _made(sheet, role, {"dial": _dial(table, settings, role, value)}), ""
    if kind in (Slip.MODIFIER_OFF, Slip.MODIFIER_ON):
        hung = worn(table, settings, role)
        other = (*hung, part) if kind is Slip.MODIFIER_ON else tuple(m for m in hung if m != part)
        return _made(sheet, role, {"modifiers": other}), ""
    if kind is Slip.NOT_FIRED:
        lit = {r for r in table.lights if _is_on(settings, r)} - {role}
        return (_made(sheet, role, {"on": False}) if lit else None), ""
    camera = _camera(table, settings, kind, value)
    return (_made(sheet, "", camera) if camera else None), ""


def _camera(
    table: Worktable, settings: doc.Settings, kind: Slip, value: float
) -> dict[str, float]:
    if kind is Slip.STOP:
        marks = table.lens.f_numbers
        return {"f_number": min(marks, key=lambda m: abs(math.log2(table.exact(m) / value)))}
    if kind is Slip.TIME:
        return {"open_s": float(f"{value:.3g}")}
    pops = {Slip.POPS: int(value), Slip.TWICE: 2 * settings.pops}.get(kind, 0)
    if not 0 < pops <= MOST_POPS:
        return {}
    if kind is Slip.TWICE and settings.opening == "held_open":
        return {"pops": pops, "open_s": 2 * settings.open_s}
    return {"pops": pops}


def _dial(table: Worktable, settings: doc.Settings, role: str, stops: float) -> float:
    """What the dial showed, on one of its own steps."""
    layout, bare = table.layout(settings), table.bare_settings(settings)
    wanted = bare.dial_stops.get(role, 0.0) + stops
    steps = layout.dials[role].steps()
    nearest = float(steps[abs(steps - wanted).argmin()])
    head = table.heads[table.lights[role].kit_id or ""]
    return round(reading_for_stops(head.dial, nearest, head.energy_ws), 6) + 0.0


def _made(sheet: doc.Sheet, role: str, changes: Mapping[str, object]) -> doc.Made:
    """What was noted as really made, with these changes laid over it."""
    said = (sheet.made or doc.Made()).model_dump(exclude_unset=True)
    if not role:
        return validated(doc.Made, {**said, **changes})
    lights = dict(said.get("lights", {}))
    lights[role] = {**lights.get(role, {}), **changes}
    return validated(doc.Made, {**said, "lights": lights})
