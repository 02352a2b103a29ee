"""How the next sheet fires, and whether tubes, plugs and batteries bear it."""

from __future__ import annotations

from stillroom.documents import book as doc
from stillroom.documents.firing import Firing, HeadFiring, Mains
from stillroom.documents.holding import Fires
from stillroom.documents.to_domain import named
from stillroom.errors import NotPossible
from stillroom.light import OPENED_BY, USUAL_RECYCLE_S, burst_s
from stillroom.services.cautions import FLASH_CAUTION, LAMP_CAUTION, no_flash_wanted
from stillroom.services.charging import Plugs, charged
from stillroom.services.firing_words import (
    COUNTS,
    battery_note,
    circuit_note,
    firing_sentence,
    hand_note,
    head_note,
    recycle_note,
    rest_note,
    uncounted_note,
)
from stillroom.services.ghost import least_open_s
from stillroom.services.stillness import whole_open_s

REST_S = 30.0
"""A shorter rest passes anyway while the slide goes in (ours)."""
HAND_SHARE = 0.25
"""From here on it is said how far a hand misses the time (ours)."""


def firing(
    book: doc.Book, sitting_id: str, settings: doc.Settings, *, fires: Fires | None = None
) -> Firing:
    """How a sheet fires, how long its pops take, and what heads and plugs allow.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings
        How the sheet is set.
    fires : str, optional
        How it fires; as the sitting says unless given.

    Returns
    -------
    Firing

    Raises
    ------
    UnknownName
        If the sitting or a head is not in the book.
    NotPossible
        If no head is on.
    BadValue
        If a dial shows what it cannot.
    """
    sitting = named("sitting", sitting_id, book.sittings)
    asked = charged(book, sitting, settings)
    heads = asked.heads
    if not heads:
        raise NotPossible(
            f"No head of sitting {sitting.id} is on, so nothing fires: open for as long as steady "
            "light asks."
        )
    way = fires or sitting.holding.fires
    pops = settings.pops
    gap_s = asked.gap_s
    mains = None if asked.plugs is None else _mains(asked.plugs)
    planned_s = whole_open_s(settings)
    open_s = least_open_s(settings, way, planned_s)
    by = OPENED_BY[way] if way else None
    length_s = burst_s(pops, gap_s)
    if settings.opening == "held_open":
        open_s = max(open_s, length_s)
    ready_s = max(gap_s, *(h.rest_s for h in heads))
    sd_s = by.sd_of(open_s) if by else 0.0
    uncounted = [h.name for h in heads if h.mains_a is None and h.battery_pops is None]
    return Firing(
        sitting=sitting.id,
        fires=way,
        count=COUNTS[way or ""],
        pops=pops,
        open_s=open_s,
        least_open_s=least_open_s(settings, way, 0.0),
        open_sd_s=sd_s,
        gap_s=gap_s,
        burst_s=length_s,
        ready_s=ready_s,
        heads=heads,
        mains=mains,
        notes=(
            *([hand_note(planned_s, open_s, sd_s)] if sd_s > HAND_SHARE * planned_s else ()),
            *_head_notes(heads, pops),
            *([note] if mains and (note := circuit_note(mains)) else ()),
            *([uncounted_note(uncounted)] if mains and uncounted else ()),
        ),
        cautions=(*_cautions(book, heads), *no_flash_wanted(book, sitting)),
        sentence=firing_sentence(pops, gap_s, length_s, ready_s),
    )


# ── What stands behind it ────────────────────────────────────────────────────────────────────────


def _mains(plugs: Plugs) -> Mains:
    return Mains(
        all_a=sum(plugs.loads_a),
        circuit_a=plugs.circuit_a,
        circuits=plugs.circuits or 1,
        circuits_needed=plugs.needed,
        at_once=plugs.at_once,
        in_turns=plugs.turns,
    )


def _head_notes(heads: tuple[HeadFiring, ...], pops: int) -> list[str]:
    notes = [head_note(h) for h in heads if not h.is_within]
    notes += [battery_note(h, pops) for h in heads if h.battery_left is not None]
    notes += [rest_note(h) for h in heads if h.is_within and h.rest_s >= REST_S]
    unknown = [h.name for h in heads if not h.recycle_is_known]
    return [*notes, *([recycle_note(unknown, USUAL_RECYCLE_S)] if unknown else [])]


def _cautions(book: doc.Book, heads: tuple[HeadFiring, ...]) -> tuple[str, ...]:
    hot = any(named("head", x.head, book.kit.heads).modelling_w for x in heads)
    return (FLASH_CAUTION, LAMP_CAUTION) if hot else (FLASH_CAUTION,)
