"""What else moved: what each answer leaves open, for one sheet or for the rest of a sitting.

The layout of a sheet carries what `moves_on` says of it: its own `moves_of`, and the
`lasting_moves` of it and of every sheet before it. Every spread is invented and plausible.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stillroom.documents import book as doc
from stillroom.documents.making import as_made
from stillroom.errors import UnknownName
from stillroom.exposure import BareMove
from stillroom.services.open_time import open_moves
from stillroom.sitter import REGIONS

Reach = Literal["place", "stood", "flash", "hung", "all", "none"]

NOT_FIRED = "a head did not fire"
"""Said of a sheet, this keeps its tones out of what is learned, unless the head is known."""
NAMES = ": "
"""What stands between an answer and the light it is said of."""
PLACE_KINDS = ("daylight", "window", "room")
_SKIN = tuple(region.id for region in REGIONS.values() if region.is_skin)


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to *What else moved?*.

    Attributes
    ----------
    what : str
        As it is said and written down.
    reach : str
        The lights it may have changed: those of the ``place``, those that ``stood`` on stands,
        every ``flash``, those with something ``hung`` in front, ``all``, or ``none``.
    sd_stops : float
        How far it may have changed them [stops].
    lasts : bool
        Whether it goes on for the later sheets of the sitting.
    of : str
        What may have changed, for a sentence.
    regions : tuple of str
        The regions it may have changed; empty: every one.
    is_each : bool
        Whether each light may have changed by itself, and one of them may be named.
    stage : str
        Where in the chain: a meter sees what changed among the lights, not in the baths.
    """

    what: str
    reach: Reach
    sd_stops: float
    lasts: bool
    of: str
    regions: tuple[str, ...] = ()
    is_each: bool = False
    stage: Literal["light", "paper"] = "light"


ANSWERS = (
    Answer("curtain", "place", 1.5, lasts=True, of="the light of the place"),
    Answer("door", "place", 1.0, lasts=True, of="the light of the place"),
    Answer("sun came or went", "place", 1.0, lasts=True, of="the light of the place"),
    Answer("a cloud passed", "place", 1.0, lasts=False, of="the light of the place"),
    Answer("modelling lamp", "all", 0.3, lasts=True, of="everything"),
    Answer("card", "all", 0.5, lasts=True, of="the shadow cheek", regions=("shadow",)),
    Answer("sitter", "all", 0.3, lasts=False, of="the face", regions=_SKIN),
    Answer("a stand was knocked", "stood", 0.5, lasts=True, of="", is_each=True),
    Answer("grid or cloth off", "hung", 1.5, lasts=False, of="", is_each=True),
    Answer("fresh developer", "all", 0.15, lasts=True, of="every tone", stage="paper"),
    Answer("another batch", "all", 0.5, lasts=True, of="every tone", stage="paper"),
    Answer(NOT_FIRED, "none", 0.0, lasts=False, of="", is_each=True),
    Answer("a head was not charged", "flash", 1.0, lasts=False, of="", is_each=True),
)
"""Every answer that is understood, in the order they are asked."""
_BY_WORD = {answer.what: answer for answer in ANSWERS} | {
    "other bottle": next(a for a in ANSWERS if a.what == "fresh developer")  # in older books
}


def understood(said: str) -> tuple[Answer, str] | None:
    """The answer that words stand for and the light they name, or None.

    Parameters
    ----------
    said : str
        As it was written down.

    Returns
    -------
    tuple or None
        The answer, and the role of a light (empty where none was named).

    Examples
    --------
    >>> answer, role = understood("A stand was knocked: key")
    >>> answer.what, role
    ('a stand was knocked', 'key')
    >>> understood("the cat") is None
    True
    """
    what, _, role = said.strip().partition(NAMES)
    answer = _BY_WORD.get(what.strip().casefold())
    if answer is None or (role and not answer.is_each):
        return None
    return answer, role.strip()


def joined(before: Iterable[str], more: Iterable[str]) -> tuple[str, ...]:
    """What was said before and what is said now; a light that is named takes the place of none.

    Examples
    --------
    >>> joined(["curtain", "a head did not fire"], ["a head did not fire: rim"])
    ('curtain', 'a head did not fire: rim')
    """
    now = dict.fromkeys(more)
    named = [known[0] for said in now if (known := understood(said)) is not None and known[1]]
    kept = [
        said
        for said in before
        if (was := understood(said)) is None or was[1] or was[0] not in named
    ]
    return tuple(dict.fromkeys((*kept, *now)))


def check_named(sitting: doc.Sitting, what_else_moved: Iterable[str]) -> None:
    """Check that every light that an answer names stands in the sitting.

    Raises
    ------
    UnknownName
        If one does not.
    """
    roles = [light.role for light in sitting.lights]
    for said in what_else_moved:
        known = understood(said)
        if known is not None and known[1] and known[1] not in roles:
            raise UnknownName("light", known[1], roles)


def could_be(sitting: doc.Sitting, sheet: doc.Sheet, answer: Answer) -> tuple[str, ...]:
    """The lights of a sheet that an answer may be said of, one by one.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        What is asked about.
    answer : Answer
        One that names lights (`is_each`).
    """
    roles = [light.role for light in sitting.lights]
    heads = replace(answer, reach="flash") if answer.reach == "none" else answer
    return reached_by(sitting, sheet, heads, "", roles)


def moves_of(sitting: doc.Sitting, sheet: doc.Sheet, roles: Sequence[str]) -> tuple[BareMove, ...]:
    """What may have changed for this sheet only.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        Whose answers are asked for.
    roles : sequence of str
        The lights that are lit.

    Returns
    -------
    tuple of BareMove
        One unknown each, by a name that no other sheet has.
    """
    return _moves(sitting, sheet, roles, lasts=False)


def lasting_moves(
    sitting: doc.Sitting, sheet: doc.Sheet, roles: Sequence[str]
) -> tuple[BareMove, ...]:
    """What may have changed from this sheet on, itself and the later ones of the sitting.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        Whose answers are asked for.
    roles : sequence of str
        The lights that are lit on the sheet that is reckoned, this one or a later one.

    Returns
    -------
    tuple of BareMove
        One unknown each, of one name on every sheet it goes on for.
    """
    return _moves(sitting, sheet, roles, lasts=True)


def moves_on(
    sitting: doc.Sitting, number: int | None, roles: Sequence[str]
) -> tuple[BareMove, ...]:
    """Everything that may have changed on one sheet, by what was said of it and of those before.

    Light of the place is known by the state of the room, each apart; so what was said of it in
    one state is left aside in another.

    Parameters
    ----------
    sitting : Sitting
        The sitting.
    number : int or None
        The sheet; None: the next one.
    roles : sequence of str
        The lights that are lit on it.
    """
    sheets = {sheet.number: sheet for sheet in sitting.sheets}
    if number is None or number not in sheets:
        return _lasting(sitting, sheets.values(), sitting.room_state, roles)
    this = sheets[number]
    until = [sheet for sheet in sitting.sheets if sheet.number <= number]
    lasting = _lasting(sitting, until, state_of(sitting, this), roles)
    return moves_of(sitting, this, roles) + lasting + open_moves(sitting, this, roles)


def moves_at_meter(
    sitting: doc.Sitting, taken: doc.MeterReading, roles: Sequence[str]
) -> tuple[BareMove, ...]:
    """Everything that may have changed when a meter reading was taken.

    Parameters
    ----------
    sitting, taken : Sitting, MeterReading
        What was metered.
    roles : sequence of str
        The lights that were lit.
    """
    until = [s for s in sitting.sheets if taken.before_sheet and s.number < taken.before_sheet]
    return _lasting(sitting, until, taken.room_state or sitting.room_state, roles)


def _lasting(
    sitting: doc.Sitting, sheets: Iterable[doc.Sheet], state: str, roles: Sequence[str]
) -> tuple[BareMove, ...]:
    of_place = {light.role for light in sitting.lights if light.kind in PLACE_KINDS}
    return tuple(
        move
        for sheet in sorted(sheets, key=lambda s: s.number)
        for move in lasting_moves(sitting, sheet, roles)
        if not (move.roles and of_place.issuperset(move.roles))
        or state_of(sitting, sheet) == state
    )


def state_of(sitting: doc.Sitting, sheet: doc.Sheet) -> str:
    """The state of the room a sheet was made in."""
    return sheet.room_state or sitting.room_state


def _moves(
    sitting: doc.Sitting, sheet: doc.Sheet, roles: Sequence[str], *, lasts: bool
) -> tuple[BareMove, ...]:
    moves: dict[str, BareMove] = {}
    for said in sheet.what_else_moved:
        known = understood(said)
        if known is None or known[0].lasts is not lasts or known[0].reach == "none":
            continue
        answer, named = known
        reached = reached_by(sitting, sheet, answer, named, roles)
        for lights in _apart(answer, reached):
            name = f"{sitting.id}/{sheet.number}/{answer.what}"
            label = f"{answer.what}, sheet {sheet.mark or sheet.number}"
            if answer.is_each:
                name, label = f"{name}/{lights[0]}", f"{lights[0]}: {label}"
            moves[name] = BareMove(
                name=name,
                label=label,
                sd_stops=answer.sd_stops,
                roles=() if answer.reach == "all" else lights,
                regions=answer.regions,
                stage=answer.stage,
            )
    return tuple(moves.values())


def _apart(answer: Answer, reached: tuple[str, ...]) -> Iterable[tuple[str, ...]]:
    """Lights that share one unknown; nothing where none was reached."""
    if not reached:
        return ()
    return [(role,) for role in reached] if answer.is_each else [reached]


def reached_by(
    sitting: doc.Sitting, sheet: doc.Sheet, answer: Answer, named: str, roles: Sequence[str]
) -> tuple[str, ...]:
    """The lights an answer may have changed, of those that are lit."""
    lights = {light.role: light for light in sitting.lights}
    settings = as_made(sheet.settings, sheet.made).lights

    def is_reached(role: str) -> bool:
        if named:
            return role == named
        light = lights[role]
        match answer.reach:
            case "place":
                return light.kind in PLACE_KINDS and not said_by_state(sitting, sheet)
            case "stood":
                return light.kind in ("head", "lamp")
            case "flash":
                return light.kind == "head"
            case "hung":
                own = settings[role].modifiers if role in settings else None
                return bool(light.modifiers if own is None else own)
        return answer.reach == "all"

    return tuple(role for role in roles if role in lights and is_reached(role))


def said_by_state(sitting: doc.Sitting, sheet: doc.Sheet) -> bool:
    """Whether the room was in another state on the sheet before: then that says it already."""
    before = [s for s in sitting.sheets if s.number < sheet.number]
    if not before:
        return False
    last = max(before, key=lambda s: s.number)
    return state_of(sitting, last) != state_of(sitting, sheet)
