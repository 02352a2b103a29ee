"""Whether the sitter of a sitting holds still, how long, and what would help."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from stillroom.camera import circle_for
from stillroom.documents import book as doc
from stillroom.documents.holding import USUAL_VIEWING, Support, Viewing
from stillroom.documents.making import as_made
from stillroom.documents.stillness import HeldFor, Stillness
from stillroom.documents.to_domain import lens_of, magnification_of, named
from stillroom.errors import BadValue
from stillroom.quantity import FloatArray
from stillroom.services.chair import card_reflectance
from stillroom.services.held_through import FLASH_S, WANTED, longest, p_through, smear, ways
from stillroom.services.looks import first_sitter
from stillroom.services.starting import CARD_INITIALS
from stillroom.services.stillness_words import (
    SMEAR_BESIDE_FLASH,
    SMEAR_BEYOND,
    SMEAR_ON_CARD,
    SMEAR_ON_STRIPS,
    held_sentence,
    open_text,
)
from stillroom.sitter import (
    Motion,
    SmearSeen,
    blink,
    chance_held,
    motion_of,
)
from stillroom.sitter.skin import HOLDS_STILL_RANGE_S
from stillroom.sitter.sway import OPEN_RANGE_S

USUAL_SUPPORT: Support = "seated"
"""Where nobody said how the sitter is held."""
ODDS = (0.9, 0.7, 0.5)
WELL_HELD = 0.9
"""From here on nothing needs to help."""
STEADY_KINDS = frozenset({"lamp", "daylight", "window"})
"""Lights that make a picture by themselves; the room's own, beside a flash, makes ghosts."""


@dataclass(frozen=True, slots=True)
class Held:
    """Who is held how, and what may show of their movement.

    Attributes
    ----------
    who : str
        As it stands in a sentence.
    support : str
        How they are held, as said or as usual.
    support_is_said : bool
        Whether it was said.
    is_child : bool
        Whether a child sits.
    holds_still_s : float or None
        Their own word [s].
    smears : tuple of SmearSeen
        Their sheets that were measured.
    left_out : int
        Measured sheets that say nothing of movement.
    magnification : float
        Image over sitter [1].
    allowed_mm : float
        The widest smear allowed on the sheet [mm].
    viewing : str or None
        How the picture is looked at; None where the smear was given.
    is_card : bool
        Whether a card sits, which never moves.
    """

    who: str
    support: Support
    support_is_said: bool
    is_child: bool
    holds_still_s: float | None
    smears: tuple[SmearSeen, ...]
    left_out: int
    magnification: float
    allowed_mm: float
    viewing: Viewing | None
    is_card: bool = False

    def motion(self, support: str | None = None) -> Motion:
        """How this sitter's head moves, as held or held otherwise."""
        return motion_of(support or self.support, self.is_child, self.holds_still_s, self.smears)


def held_as(
    book: doc.Book,
    sitting: doc.Sitting,
    *,
    support: Support | None = None,
    allowed_mm: float | None = None,
) -> Held:
    """How the sitter of a sitting is held, with what their earlier sheets showed.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting
        Which sitting.
    support : str, optional
        Held otherwise than the sitting says.
    allowed_mm : float, optional
        The widest smear allowed on the sheet [mm]; by how the picture is looked at unless given.

    Returns
    -------
    Held

    Raises
    ------
    UnknownName
        If the camera or the lens is not in the book.
    """
    sitter = first_sitter(book, sitting)
    holding = sitting.holding
    viewing = None
    if allowed_mm is None:
        viewing = holding.viewing or USUAL_VIEWING
        width, height = named("camera", sitting.camera, book.kit.cameras).format_mm
        allowed_mm = circle_for(viewing, width, height, holding.viewing_distance_m)
    held = support or holding.support or USUAL_SUPPORT
    smears, left_out = _smears(book, sitting, sitter, held)
    said = None if sitter is None else sitter.holds_still_s or None
    return Held(
        who=sitter.initials if sitter else "the sitter",
        support=held,
        support_is_said=(support or holding.support) is not None,
        is_child=bool(sitter and sitter.is_child),
        holds_still_s=None if said is None else max(said, HOLDS_STILL_RANGE_S[0]),
        smears=smears,
        left_out=left_out,
        magnification=_magnification(book, sitting),
        allowed_mm=allowed_mm,
        viewing=viewing,
        is_card=bool(sitter and sitter.initials == CARD_INITIALS),
    )


def held_odds(held: Held) -> Callable[[float | FloatArray], FloatArray]:
    """The chance to hold an open time, for a search through many of them.

    Parameters
    ----------
    held : Held
        Who is held how, of `held_as`.

    Returns
    -------
    callable
        Open times by steady light [s], a number or an array, to chances [1] of the same shape.
        Times beyond 600 s count as 600 s, shorter ones than 0.00001 s as that.
    """
    if held.is_card:
        return lambda open_s: np.ones_like(np.asarray(open_s, dtype=np.float64))
    motion = held.motion()

    def odds(open_s: float | FloatArray) -> FloatArray:
        times = np.clip(np.asarray(open_s, dtype=np.float64), *OPEN_RANGE_S)
        return chance_held(times, held.magnification, held.allowed_mm, motion)

    return odds


def stillness(
    book: doc.Book,
    sitting_id: str,
    settings: doc.Settings,
    *,
    open_s: float | None = None,
    support: Support | None = None,
    allowed_mm: float | None = None,
) -> Stillness:
    """Whether the sitter of a sitting holds still for the next sheet.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings
        How the next sheet is set: its open time, and which lights are on.
    open_s : float, optional
        Another open time by steady light [s], 0.00001 to 600.
    support : str, optional
        Held otherwise than the sitting says.
    allowed_mm : float, optional
        The widest smear allowed on the sheet [mm]; by how the picture is looked at unless given.

    Returns
    -------
    Stillness

    Raises
    ------
    UnknownName
        If the sitting or something it names is not in the book.
    BadValue
        If the open time is none that can be reckoned with.
    """
    sitting = named("sitting", sitting_id, book.sittings)
    held = held_as(book, sitting, support=support, allowed_mm=allowed_mm)
    steady = any(light.kind in STEADY_KINDS for light in _on(sitting, settings))
    by_flash = open_s is None and not steady and _flash_on(sitting, settings)
    freezes = by_flash and settings.pops == 1
    in_bursts = by_flash and not freezes
    if in_bursts:
        # Imported here, for firing asks how long a sheet is open.
        from stillroom.services.firing import firing  # noqa: PLC0415

        open_s = firing(book, sitting_id, settings).burst_s
    answer = answered(
        held,
        whole_open_s(settings) if open_s is None else open_s,
        freezes=freezes,
        pops=settings.pops if in_bursts else 1,
    )
    has_flash = not freezes and _flash_on(sitting, settings)
    sitter = first_sitter(book, sitting)
    return answer.model_copy(
        update={
            "sitting": sitting.id,
            "sitter": sitter.id if sitter else None,
            "has_flash": has_flash,
        }
    )


def answered(held: Held, open_s: float, *, freezes: bool = False, pops: int = 1) -> Stillness:
    """What is to be said of one open time.

    Parameters
    ----------
    held : Held
        Who is held how.
    open_s : float
        How long the lens is open [s], 0.00001 to 600.
    freezes : bool
        Whether one pop makes the picture, whatever the open time.
    pops : int
        Pops that make it, `open_s` from the first to the last; 1 where steady light does.

    Returns
    -------
    Stillness

    Raises
    ------
    BadValue
        If the open time lies outside its range; what is held 5 in 10 is named instead.
    OutOfRange
        If the magnification or the allowed smear does.
    """
    motion = held.motion()
    held_for = {odds: longest(held, motion, odds) for odds in ODDS}
    low, high = OPEN_RANGE_S
    if pops == 1 and not low <= open_s <= high:
        raise BadValue(
            "open time",
            int(open_s) if float(open_s).is_integer() else open_s,
            f"give a number from {low:.5f} to {high:g} s; so held, {open_text(held_for[0.5])} is "
            "held 5 in 10",
        )
    counted_s = min(FLASH_S, open_s) if freezes else open_s
    chance = p_through(held, counted_s, pops)
    lids = blink(FLASH_S if pops > 1 else counted_s)
    helps = () if chance >= WELL_HELD else ways(held, open_s, held_for[WANTED], pops)
    sentence = (
        "A card holds still."
        if held.is_card
        else held_sentence(
            held.who,
            held.support,
            open_s,
            chance,
            is_said=held.support_is_said,
            freezes=freezes,
            pops=pops,
        )
    )
    return Stillness(
        who=held.who,
        is_card=held.is_card,
        support=held.support,
        support_is_said=held.support_is_said,
        is_child=held.is_child,
        holds_still_s=held.holds_still_s,
        sheets_counted=len(held.smears),
        sheets_left_out=held.left_out,
        magnification=held.magnification,
        viewing=held.viewing,
        allowed_mm=held.allowed_mm,
        open_s=open_s,
        freezes=freezes,
        pops=pops,
        p_held=chance,
        smear=smear(held, motion, counted_s, pops),
        longest=tuple(HeldFor(p_held=p, open_s=t) for p, t in held_for.items()),
        p_blink=0.0 if held.is_card else 1 - (1 - lids.chance) ** pops,
        blink_share=lids.share / pops,
        ways=helps,
        sentence=sentence,
    )


def whole_open_s(settings: doc.Settings) -> float:
    """How long the lens is open for one sheet, all openings together [s].

    Examples
    --------
    >>> once = doc.Settings(f_number=8, open_s=2, pops=3)
    >>> whole_open_s(once), whole_open_s(once.model_copy(update={"opening": "held_open"}))
    (6.0, 2.0)
    """
    held_open = settings.opening == "held_open"
    return settings.open_s * (1 if held_open else settings.pops)


def tells_nothing(sitting: doc.Sitting, sheet: doc.Sheet) -> str:
    """Why a smear on a sheet tells nothing of how the sitter sits; empty where it does.

    Parameters
    ----------
    sitting, sheet : Sitting, Sheet
        Which sheet.

    Returns
    -------
    str
        One sentence.
    """
    made = as_made(sheet.settings, sheet.made)
    low, high = OPEN_RANGE_S
    if card_reflectance(sheet) is not None:
        return SMEAR_ON_CARD
    if made.steps_pops is not None:
        return SMEAR_ON_STRIPS
    if _flash_on(sitting, made):
        return SMEAR_BESIDE_FLASH
    return "" if low <= whole_open_s(made) <= high else SMEAR_BEYOND


# ── What stands behind it ────────────────────────────────────────────────────────────────────────


def _smears(
    book: doc.Book, sitting: doc.Sitting, sitter: doc.Sitter | None, held: Support
) -> tuple[tuple[SmearSeen, ...], int]:
    """Measured smears of a sitter up to a sitting, and how many of them say nothing.

    Where nobody said how the sitter was held then, it is taken to be as now.
    """
    if sitter is None:
        return (), 0
    seen, left_out = [], 0
    for one in book.sittings:
        if one.when > sitting.when or one.sitters[:1] != (sitter.id,):
            continue
        for sheet in one.sheets:
            if sheet.smear_mm is None:
                continue
            told = _told_by(book, one, sheet, one.holding.support or held)
            if told is None:
                left_out += 1
            else:
                seen.append(told)
    return tuple(seen), left_out


def _told_by(
    book: doc.Book, sitting: doc.Sitting, sheet: doc.Sheet, support: Support
) -> SmearSeen | None:
    """A smear as it tells of movement; None where it tells of none."""
    if tells_nothing(sitting, sheet):
        return None
    open_s = whole_open_s(as_made(sheet.settings, sheet.made))
    return SmearSeen(sheet.smear_mm or 0.0, open_s, _magnification(book, sitting), support)


def _on(sitting: doc.Sitting, settings: doc.Settings) -> list[doc.Light]:
    lights = settings.lights
    return [x for x in sitting.lights if x.role not in lights or lights[x.role].on]


def _flash_on(sitting: doc.Sitting, settings: doc.Settings) -> bool:
    return any(light.kind == "head" for light in _on(sitting, settings))


def _magnification(book: doc.Book, sitting: doc.Sitting) -> float:
    return magnification_of(sitting.framing, lens_of(named("lens", sitting.lens, book.kit.lenses)))
