"""Bad input through the book: recorded, predicted, advised; finite, wide, and in sentences.

The same kinds as in `test_bad_input`, as documents have them. The book is the invented scenario
of the allotments on Quarry Lane.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.answers import Advice, Forecast, SheetTaught
from stillroom.documents.book import Book, Choice
from stillroom.documents.read import read_book
from stillroom.documents.several import SeveralSheets
from stillroom.errors import BadValue
from stillroom.services.plan import advise, advise_several, kit_belief, predict, taught
from tests.unit.engine_cases import NOISE, SCATTER

SMALL = Path(__file__).parents[1] / "data/quarry_lane_small.json"
AS_BEFORE: dict[str, Any] = {
    "lights": {"key": {"dial": -0.6}, "rim": {"dial": 0.5}},
    "f_number": 5.6,
}
SOUND = {"key": 0.75, "shadow": 1.3}


def seen(**tones: float) -> dict[str, Any]:
    """A sheet read by scan."""
    return made(
        AS_BEFORE, {"by": "scan", "regions": {r: {"density": d} for r, d in tones.items()}}
    )


def said(**words: str) -> dict[str, Any]:
    """A sheet read by words."""
    return made(
        AS_BEFORE, {"by": "words", "regions": {r: {"verdict": w} for r, w in words.items()}}
    )


def made(settings: dict[str, Any], *readings: dict[str, Any]) -> dict[str, Any]:
    """A sheet, its number given later."""
    return {"settings": settings, "readings": list(readings)}


def book_with(sheets: Sequence[dict[str, Any]], **sitting: Any) -> Book:
    """The small book with these sheets in place of its own."""
    data = json.loads(SMALL.read_text(encoding="utf-8"))
    data["sittings"][0] |= {"sheets": [{"number": n, **s} for n, s in enumerate(sheets, 1)]}
    data["sittings"][0] |= sitting
    return read_book(json.dumps(data))


class Told:
    """All that is answered about the book's sitting; every answer is looked through."""

    def __init__(self, book: Book) -> None:
        self.forecast: Forecast = predict(book, "OM")
        self.advice: Advice = advise(book, "OM")
        self.several: SeveralSheets = advise_several(book, "OM", 2, self.advice)
        self.taught: tuple[SheetTaught, ...] = taught(book, "OM")
        kit_belief(book)
        for answer in (self.forecast, self.advice, self.several, *self.taught):
            values = answer.model_dump()
            assert all(math.isfinite(x) for x in numbers(values))
            assert all(is_plain(text) for text in texts(values))
        for region in self.forecast.regions.values():
            p = region.placement_stops
            assert p.q05 <= p.q25 <= p.q50 <= p.q75 <= p.q95
            assert 0.5 * SCATTER < p.sd < 10
        assert 0 <= self.several.forecast.p_any < 1

    def sd(self, region: str = "key") -> float:
        """Spread that is expected of the next sheet [stops]."""
        return self.forecast.regions[region].placement_stops.sd

    def mean(self, region: str = "key") -> float:
        """Where the next sheet is expected [stops]."""
        return self.forecast.regions[region].placement_stops.mean


def numbers(node: Any) -> Iterator[float]:
    """Every number of an answer."""
    if isinstance(node, dict):
        node = list(node.values())
    if isinstance(node, list | tuple):
        for value in node:
            yield from numbers(value)
    elif isinstance(node, int | float):
        yield float(node)


def texts(node: Any) -> Iterator[str]:
    """Every text of an answer."""
    if isinstance(node, dict):
        node = list(node.values())
    if isinstance(node, list | tuple):
        for value in node:
            yield from texts(value)
    elif isinstance(node, str):
        yield node


def is_plain(text: str) -> bool:
    """Nothing in it that a photographer could not read."""
    return not any(word in f" {text} " for word in ("Traceback", " nan", " inf ", "None", "{"))


@cache
def sound(sheets: int) -> Told:
    """The same sitting with readings that go together."""
    return Told(book_with([seen(**SOUND)] * sheets))


def test_contradictory_readings() -> None:
    told = Told(book_with([seen(key=0.3, shadow=0.6), seen(key=1.6, shadow=1.75)] * 2))
    assert told.sd() >= NOISE * sound(4).sd()
    assert told.sd("shadow") >= NOISE * sound(4).sd("shadow")


def test_contradictory_readings_of_one_sheet() -> None:
    """A scan and a strip of the same dry sheet a whole density apart."""
    other = {"by": "strip", "regions": {"key": {"density": 1.7}}}
    sheet = seen(key=0.7, shadow=1.3)
    told = Told(book_with([{**sheet, "readings": [*sheet["readings"], other]}] * 2))
    assert told.sd() > SCATTER


def test_no_readings_and_sheets_that_wait() -> None:
    told = Told(book_with([made(AS_BEFORE)] * 5))
    assert told.advice.not_yet_read == (1, 2, 3, 4, 5)
    assert told.sd() >= NOISE * sound(0).sd()
    assert told.mean() == pytest.approx(sound(0).mean(), abs=0.2)


@pytest.mark.parametrize("tone", [0.12, 1.78])
def test_all_black_and_all_bare(tone: float) -> None:
    """Cut off on one side, a belief keeps 0.60 of its spread (a normal one, at its middle)."""
    told = Told(book_with([seen(key=tone, shadow=tone)] * 4))
    assert told.sd() > 0.4 * sound(0).sd()
    assert (told.mean() < sound(0).mean()) == (tone > 1)


@pytest.mark.parametrize("word", ["black", "bare_paper"])
def test_one_word_for_every_region(word: str) -> None:
    told = Told(book_with([said(key=word, shadow=word, rim=word, bg=word)] * 4))
    assert told.sd() > 2 * SCATTER


@pytest.mark.parametrize("tone", [1.78, 0.75])
def test_a_reading_where_next_to_no_light_falls(tone: float) -> None:
    """The key switched off, no room light: the rim alone, turned down, reaches the key cheek.

    Black is what must be seen: it tells the paper's Dmax, and by that a little of the rest. A
    grey there cannot be, and is not believed so far that the next sheet becomes surer.
    """
    data = json.loads(SMALL.read_text(encoding="utf-8"))
    heads = [light for light in data["sittings"][0]["lights"] if light["kind"] == "head"]
    dark = {"lights": {"key": {"on": False}, "rim": {"dial": 0.0078125}}, "f_number": 45}
    unlit = made(dark, {"by": "scan", "regions": {"key": {"density": tone}}})
    good = [seen(**SOUND)] * 2
    with_it = Told(book_with([unlit, *good], lights=heads))
    without = Told(book_with(good, lights=heads))
    assert with_it.sd() >= (0.7 if tone > 1 else NOISE) * without.sd()
    assert with_it.mean() == pytest.approx(without.mean(), abs=without.sd())


def test_a_sheet_with_every_light_off_is_refused_in_a_sentence() -> None:
    data = json.loads(SMALL.read_text(encoding="utf-8"))
    heads = [light for light in data["sittings"][0]["lights"] if light["kind"] == "head"]
    dark = {**AS_BEFORE, "lights": {"key": {"on": False}, "rim": {"on": False}}}
    book = book_with([made(dark), seen(**SOUND)], lights=heads)
    with pytest.raises(BadValue, match=r"^lights of sheet 1 of sitting 'OM' "):
        advise(book, "OM")


def test_identical_sheets() -> None:
    told = Told(book_with([seen(**SOUND)] * 8))
    assert told.sd() > math.hypot(0.15, 0.10) * math.exp(-2 * 0.2)
    assert not any(one.odd for one in told.taught)


def test_a_sheet_from_another_batch_in_the_middle() -> None:
    """Two and a half stops lighter than its neighbours: it is said, it moves little, and it makes
    no surer than a sound sheet in its place (walks ten times as long: 0.275 against 0.295)."""
    good = seen(**SOUND)
    told = Told(book_with([good, good, seen(key=0.13, shadow=0.3), good]))
    assert [bool(one.odd) for one in told.taught] == [False, False, True, False]
    assert abs(told.mean() - sound(3).mean()) < sound(3).sd()
    assert told.sd() >= NOISE * sound(4).sd()


@pytest.mark.parametrize("at", [-6.0, 0.0])
def test_dials_at_their_ends(at: float) -> None:
    settings = {**AS_BEFORE, "lights": {"key": {"dial": at}, "rim": {"dial": 1.0}}, "pops": 8}
    reading = {"by": "scan", "regions": {"key": {"density": 0.12 if at == 0 else 1.7}}}
    told = Told(book_with([made(settings, reading)] * 2))
    assert told.sd() > SCATTER


def test_a_head_in_two_roles_at_two_dials() -> None:
    data = json.loads(SMALL.read_text(encoding="utf-8"))
    lights = data["sittings"][0]["lights"]
    key = next(light for light in lights if light["role"] == "key")
    lights.append({**key, "role": "second", "distance_m": 2.0, "modifiers": []})
    both = {**AS_BEFORE, "lights": {**AS_BEFORE["lights"], "second": {"dial": -4.0}}}
    sheet = made(both, {"by": "scan", "regions": {"key": {"density": 0.5}}})
    told = Told(book_with([sheet] * 2, lights=lights))
    assert SCATTER < told.sd() < sound(0).sd()


def test_everything_held_and_sheets_that_deny_it() -> None:
    """Held, terms do not move; the next sheet still scatters, and no odds are certain."""
    book = book_with([seen(key=0.13, shadow=0.2)] * 3)
    before = datetime(2026, 11, 1, tzinfo=UTC)
    names = set(kit_belief(book))
    paper = book.sittings[0].paper
    terms = {f"{name}/{kind}" for name in names for kind in ("output", "loss", "transmission")}
    terms |= {f"paper/{paper}/{kind}" for kind in ("speed", "contrast", "asymmetry")}
    choices = tuple(Choice(term=term, choice="hold", when=before) for term in sorted(terms))
    told = Told(book.model_copy(update={"choices": choices}))
    assert told.sd() >= NOISE * SCATTER


@pytest.mark.xfail(
    reason="0.25 to 0.27 where walks ten times as long give 0.27 to 0.32: a tenth too narrow",
    strict=False,
)
def test_sheets_spoiled_in_a_row() -> None:
    """A dozen tones by chance; the next sheet is as open as after four sound ones, or more."""
    tones = [0.15, 1.7, 0.4, 1.2, 0.13, 1.75, 0.9, 0.2, 1.6, 0.14, 1.3, 0.6]
    told = Told(
        book_with([seen(key=k, shadow=s) for k, s in zip(tones, tones[::-1], strict=True)])
    )
    assert told.sd() >= NOISE * sound(4).sd()
