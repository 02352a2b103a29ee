"""What paper makes of lips and cloth, held against the spectra themselves."""

from __future__ import annotations

import math

import pytest

from stillroom.documents.book import Settings
from stillroom.quantity.spectra import GRADED, light_named, uvcut370
from stillroom.services.on_paper import on_paper
from stillroom.sitter import actinic_reflectance, surface
from stillroom.telling.sitter_told import to_send
from tests.unit.book_cases import book_of, head_and_shoulders, small_data

FLASH = Settings(f_number=5.6)


def test_denim_beside_fair_skin_by_flash_is_what_the_spectra_say() -> None:
    book = book_of(head_and_shoulders())
    assert book.papers[0].response == "graded"
    assert book.kit.lenses[0].spectral == "modern"
    denim = next(x for x in on_paper(book, book.sittings[0], "light") if x.name == "Denim")
    flash = light_named("flash").at_meter
    cloth, skin = (
        actinic_reflectance(surface(name), flash, GRADED, (uvcut370(),))
        for name in ("denim", "fair-skin")
    )
    assert denim.paper_stops == pytest.approx(math.log2(cloth / skin), abs=0.02)
    assert denim.eye_stops < denim.paper_stops  # blue comes out paler
    said = (
        "Denim: a third of a stop darker than the skin to this paper, to the eye two stops darker."
    )
    assert denim.sentence == said


@pytest.mark.parametrize("skin", ["light", "medium", "dark", "unknown"])
def test_every_skin_has_its_words_and_no_lips_are_made_up(skin: str) -> None:
    book = book_of(head_and_shoulders())
    found = on_paper(book, book.sittings[0], skin)
    names = [one.name for one in found]
    assert ("Lips" in names) is (skin in {"light", "unknown"})
    freckles = next(one for one in found if one.name == "Freckles")
    assert freckles.paper_stops < freckles.eye_stops < 0
    for one in found:
        assert math.isfinite(one.paper_stops)
        assert one.sentence.endswith(".")


def test_the_line_to_send_speaks_of_flash_only_where_there_is_some() -> None:
    flash = book_of(head_and_shoulders()).sittings[0]
    said = to_send(flash, FLASH.model_copy(update={"pops": 3}))
    assert "3 flashes, one after another" in said
    assert "ask whoever treats you" in said
    assert "sit still" not in said
    off = {light.role: {"on": False} for light in flash.lights}
    dark = Settings.model_validate({"f_number": 5.6, "lights": off, "open_s": 4})
    said = to_send(flash, dark)
    assert "flash" not in said
    assert "sit still for about 4 s" in said
    assert flash.sitters[0] not in said
    assert "\n" not in said


def test_a_small_book_has_everything_it_takes() -> None:
    book = book_of(small_data())
    assert on_paper(book, book.sittings[0])
