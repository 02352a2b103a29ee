"""The count: what is called, and when, while one sheet is exposed.

All moments hang on the call before, so that a press of the one who holds the cap moves the rest.
"""

from __future__ import annotations

import math

from stillroom.documents import book as doc
from stillroom.documents.count import Call, Count, CountedHead
from stillroom.documents.holding import Fires
from stillroom.documents.making import as_made
from stillroom.documents.to_domain import named
from stillroom.errors import in_range
from stillroom.light import OPENED_BY
from stillroom.services.charging import Charged, charged
from stillroom.services.firing import firing
from stillroom.services.firing_words import COUNTS

LEAST_GAP_S = 1.0
"""From one pop to the next, however quick the heads: flashes that follow one another three to
thirty times a second are those that can bring on a seizure."""
PRESSED_SD_S = 0.1
"""How far two presses miss the time between cap off and cap on (invented: foot and hand agree to
0.07 s each)."""
LIGHTS_OUT_S = 5.0
LEAD_S = 3.0
MARGIN_S = 0.5
"""In the dark between cap and pop, either way (ours)."""
AGAIN_S = 2.0
"""For a hand between cap on and cap off again (ours)."""
LOOK_S = 2.0
USUAL_DELAY_S = 10.0
"""To walk to the chair and sit (ours)."""
DELAYS_S = (0.0, 5.0, 10.0, 20.0)
LONGEST_DELAY_S = 120.0
_ALOUD_S = 1.5
"""From here on there is a second to count aloud."""


def count(
    book: doc.Book,
    sitting_id: str,
    sheet: doc.Sheet,
    *,
    fires: Fires | None = None,
    delay_s: float | None = None,
) -> Count:
    """How a sheet is counted.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    sheet : Sheet
        The sheet, as it was written down.
    fires : str, optional
        How it fires; as the sitting says unless given.
    delay_s : float, optional
        For the one who sits as well [s], 0 to 120; 10 s where the sitting says it is a
        self-portrait, else none.

    Raises
    ------
    UnknownName
        If there is no such sitting.
    OutOfRange
        If the delay lies outside its range.
    """
    sitting = named("sitting", sitting_id, book.sittings)
    way = fires or sitting.holding.fires
    usual = USUAL_DELAY_S if sitting.holding.is_self_portrait else 0.0
    delay = in_range("delay", usual if delay_s is None else delay_s, 0.0, LONGEST_DELAY_S, "s")
    settings = as_made(sheet.settings, sheet.made)
    asked = charged(book, sitting, settings)
    each_s = sheet.settings.open_s if sheet.open_sd_s is not None else settings.open_s
    laid = _Laid(way, settings, asked, each_s, delay)
    told = firing(book, sitting_id, settings, fires=way) if asked.heads else None
    return Count(
        sitting=sitting.id,
        sheet=sheet.number,
        mark=sheet.mark or str(sheet.number),
        fires=way,
        in_words=COUNTS[way or ""] if told else "Cap off, count, cap on.",
        pops=settings.pops * sum(settings.steps_pops or (1,)) if asked.heads else 0,
        heads=tuple(CountedHead(role=h.role, name=h.name) for h in asked.heads),
        calls=laid.calls(),
        delay_s=delay,
        gap_s=laid.gap_s,
        rest_s=max((h.rest_s for h in asked.heads), default=0.0),
        open_s=laid.open_s if laid.by_hand else 0.0,
        is_by_hand=laid.by_hand,
        counted_sd_s=OPENED_BY[way or "cap_in_dark"].sd_of(laid.open_s) if laid.by_hand else 0.0,
        pressed_sd_s=PRESSED_SD_S if laid.by_hand else 0.0,
        notes=told.notes if told else (),
        cautions=told.cautions[:1] if told else (),
    )


class _Laid:
    """Lays the calls of one sheet out."""

    def __init__(
        self,
        way: Fires | None,
        settings: doc.Settings,
        asked: Charged,
        each_s: float,
        delay_s: float,
    ) -> None:
        self.way, self.settings, self.delay_s = way, settings, delay_s
        self.flash = bool(asked.heads)
        self.by_hand = way != "sync_shutter"
        self.gap_s = max(asked.gap_s, LEAST_GAP_S) if self.flash else 0.0
        self.strips = settings.steps_pops or (1,)
        self.held = settings.opening == "held_open"
        least_s = OPENED_BY[way].least_s if way else OPENED_BY["cap_in_dark"].least_s
        self.open_s = self._open_s(max(each_s, least_s))
        self.away_s = delay_s if way == "remote" else 0.0

    def _open_s(self, each_s: float) -> float:
        """One opening as it is counted."""
        if not (self.held and self.flash):
            return each_s
        pops = self.settings.pops * max(self.strips)
        return max(each_s, (pops - 1) * self.gap_s + 2 * MARGIN_S)

    def calls(self) -> tuple[Call, ...]:
        made = list(self._lead())
        for n, step in enumerate(self.strips, 1):
            if len(self.strips) > 1:
                word = f"Strip {n} of {len(self.strips)}"
                made.append(
                    Call(kind="wait", word=word, says=f"{word}. Press when the slide stands.")
                )
            made += self._strip(self.settings.pops * step, is_first=n == 1)
        last = "Slide in" if self.way == "sync_shutter" else "Done"
        says = "Slide in."
        if self.way in (None, "cap_in_dark"):
            last, says = "Lights", "Slide in. Lights."
        made.append(Call(kind="end", word=last, says=says, after_s=1.0))
        return tuple(made)

    def _lead(self) -> list[Call]:
        lead = []
        if self.delay_s and self.way != "remote":
            said = "Go and sit."
            lead.append(Call(kind="lead", word="Sit", says=said))
        after_s = self.delay_s if lead else 0.0
        match self.way:
            case None | "cap_in_dark":
                lead.append(
                    Call(kind="lead", word="Lights out", says="Lights out.", after_s=after_s)
                )
            case "sync_shutter":
                lead.append(
                    Call(kind="lead", word="Slide out", says="Slide out.", after_s=after_s)
                )
            case _:
                lead.append(
                    Call(
                        kind="lead",
                        word="Hand on the cap",
                        says="Hand on the cap.",
                        after_s=after_s,
                    )
                )
        return lead

    def _lead_s(self, *, is_first: bool) -> float:
        if not is_first:
            return AGAIN_S
        return LIGHTS_OUT_S if self.way in (None, "cap_in_dark") else LEAD_S

    def _strip(self, pops: int, *, is_first: bool) -> list[Call]:
        """One exposure: every opening, with the pops that fall in it."""
        if self.way == "sync_shutter":
            return self._by_shutter(pops)
        first_s = self._lead_s(is_first=is_first or len(self.strips) > 1)
        if self.held or not self.flash:
            openings = 1 if self.held else pops
            inside = pops if self.flash else 0
            return [
                call
                for n in range(openings)
                for call in self._opening(inside, AGAIN_S if n else first_s)
            ]
        return [call for n in range(pops) for call in self._opening(1, AGAIN_S if n else first_s)]

    def _by_shutter(self, pops: int) -> list[Call]:
        word, gap = ("Pop", self.gap_s) if self.flash else ("Press", 0.0)
        long_s = self.settings.open_s if self.settings.open_s > _ALOUD_S else 0.0
        made = []
        for n in range(pops):
            after_s = LEAD_S if n == 0 else max(gap, long_s + AGAIN_S)
            call = Call(
                kind="pop",
                word=word,
                says=f"{word}.",
                after_s=after_s,
                after_pop_s=gap,
                is_dark=True,
                is_counted=bool(long_s),
            )
            made.append(call)
        if long_s:
            made.append(Call(kind="lead", word="Wait", says="", after_s=long_s))
        return made

    def _opening(self, pops: int, lead_s: float) -> list[Call]:
        """Cap off, what is in between, cap on."""
        off, pop, on = _SPOKEN.get(self.way or "", ("Cap off", "Pop", "Cap on"))
        # The pop lies in the middle of the opening; several are spread about it.
        first_s = (self.open_s - (pops - 1) * self.gap_s) / 2 if pops else 0.0
        first_s += self.away_s
        aloud = self.open_s >= _ALOUD_S and not self.away_s
        made = [
            Call(
                kind="off",
                word=off,
                says=f"{off}." if not self.away_s else f"{off}. Go and sit.",
                after_s=lead_s,
                after_pop_s=max(0.0, self.gap_s - first_s) if pops else 0.0,
                is_dark=True,
                is_counted=aloud,
            )
        ]
        for n in range(pops):
            after_s = self.gap_s
            if n == 0:
                after_s = first_s
                if self.away_s > LOOK_S:
                    made.append(
                        Call(
                            kind="lead",
                            word="Look",
                            says="Look at the lens.",
                            after_s=first_s - LOOK_S,
                            is_dark=True,
                        )
                    )
                    after_s = LOOK_S
            made.append(
                Call(
                    kind="pop",
                    word=pop,
                    says=f"{pop}.",
                    after_s=after_s,
                    after_pop_s=self.gap_s,
                    is_dark=True,
                    is_counted=aloud,
                )
            )
        closes_s = first_s if pops else self.open_s
        says = f"{on}." if not self.away_s else f"Up. {on}."
        # Dark still: the hand is on its way when the call is heard.
        made.append(Call(kind="on", word=on, says=says, after_s=closes_s, is_dark=True))
        return made


_SPOKEN = {"second_person": ("Off", "Now", "On")}


def spread_s(made: Count, openings: int, *, is_pressed: bool) -> float:
    """How far the mean of some openings may be off, one standard deviation [s].

    Parameters
    ----------
    made : Count
        How they were counted.
    openings : int
        How many there were, 1 and more.
    is_pressed : bool
        Whether presses marked both ends of each.

    Examples
    --------
    >>> by_hand = Count.model_construct(pressed_sd_s=0.1, counted_sd_s=0.2)
    >>> spread_s(by_hand, 1, is_pressed=True), spread_s(by_hand, 4, is_pressed=False)
    (0.1, 0.1)
    """
    one_s = made.pressed_sd_s if is_pressed else made.counted_sd_s
    return one_s / math.sqrt(openings)
