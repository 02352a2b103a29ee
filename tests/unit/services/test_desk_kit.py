"""Kit, papers and sitters: added, put right, taken out of use, never lost."""

from __future__ import annotations

import math

import pytest

from stillroom.errors import BadDocument, BadValue, DuplicateName, UnknownName
from stillroom.services import Desk
from stillroom.store import BookFile


def test_a_thing_without_an_id_is_called_by_its_name(desk: Desk) -> None:
    lens = {"name": "Old brass lens, 240", "focal_mm": "240", "f_numbers": [4.5, 8]}
    assert desk.add_thing("lenses", lens).id == "Old brass lens 240"
    assert desk.add_thing("lenses", lens).id == "Old brass lens 240-2"
    assert desk.add_thing("lamps", {"intensity_cd": 500}).id == "lamp"
    assert [x.id for x in desk.book().kit.lenses] == [
        "tele300",
        "Old brass lens 240",
        "Old brass lens 240-2",
    ]


def test_an_id_is_given_once(desk: Desk) -> None:
    with pytest.raises(DuplicateName, match="Two of the heads are called 'A'"):
        desk.add_thing("heads", {"id": "A", "energy_ws": 400})


def test_editing_keeps_what_is_not_said(desk: Desk, store: BookFile) -> None:
    desk.edit_thing("heads", "A", {"output_sd_stops": 0.2})
    head = desk.book().kit.heads[0]
    assert (head.energy_ws, head.output_sd_stops) == (1200, 0.2)
    assert len(store.history("heads", "A")) == 2


def test_an_id_stays(desk: Desk) -> None:
    with pytest.raises(BadValue, match="id is 'B': it stays 'A'; change the name instead"):
        desk.edit_thing("heads", "A", {"id": "B"})


def test_a_thing_is_retired_and_taken_back(desk: Desk) -> None:
    desk.retire_thing("heads", "A")
    assert desk.book().kit.heads[0].retired
    desk.retire_thing("heads", "A", retired=False)
    assert not desk.book().kit.heads[0].retired


@pytest.mark.parametrize(
    ("where", "data", "error", "sentence"),
    [
        (("hats", "A"), {}, UnknownName, "no kind of kit called 'hats'"),
        (("heads", "Z"), {}, UnknownName, "no heads called 'Z'; known here: A, C, D"),
        (("heads", "A"), {"energy_ws": 0}, BadValue, "energy_ws is 0: give a number from 1 to"),
        (("heads", "A"), {"colour": "red"}, BadValue, "colour is 'red': nothing there has that"),
        (("heads", "A"), {"dial": {"min": -0.2}}, BadValue, "dial of light 'key'"),
        (("lenses", "tele300"), {"f_numbers": [5.6, 11]}, BadValue, "made of sheet 2"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(
    desk: Desk,
    where: tuple[str, str],
    data: dict[str, object],
    error: type[Exception],
    sentence: str,
) -> None:
    before = desk.book()
    with pytest.raises(error, match=sentence):
        desk.edit_thing(*where, data)
    assert desk.book() == before


def test_a_paper_is_called_by_name_and_batch(desk: Desk) -> None:
    paper = desk.add_paper({"name": "Tansy velvet", "batch": "3", "ei": 2.2, "surface": "matt"})
    assert paper.id == "Tansy velvet/3"
    assert desk.edit_paper(paper.id, {"grade": 3}).grade == 3
    assert desk.retire_paper(paper.id).retired
    with pytest.raises(BadDocument, match=r"Dmax 0\.2 must lie at least 0\.3 above dmin"):
        desk.edit_paper(paper.id, {"dmax": 0.2})


def test_a_new_batch_starts_from_what_is_believed_of_the_last(desk: Desk) -> None:
    assert desk.new_batch("sorrel-2/7", "8") == "sorrel-2/8"
    old, _, new = desk.book().papers
    assert (new.name, new.batch, new.ei, new.contrast_per_stop) == ("Sorrel No. 2", "8", 2.4, 1.3)
    assert new.ei_sd_stops == pytest.approx(math.hypot(0.16, 0.3))
    assert new.comparison_strip == ()  # it belongs to the batch it was made of
    assert (old.id, old.ei) == ("sorrel-2/7", 3.0)
    assert desk.new_batch("sorrel-2/7", "8") == "sorrel-2/8-2"
    with pytest.raises(BadValue, match="write what is printed on the box"):
        desk.new_batch("sorrel-2/7", " ")
    with pytest.raises(UnknownName, match="no paper called 'x'"):
        desk.new_batch("x", "8")


def test_sitters(desk: Desk) -> None:
    sitter = desk.add_sitter({"initials": "J. B.", "skin": {"guess": "light"}})
    assert sitter.id == "JB"
    assert desk.add_sitter({"initials": "J.B."}).id == "JB-2"
    assert desk.edit_sitter("JB", {"holds_still_s": 4}).holds_still_s == 4
    with pytest.raises(BadDocument, match="exactly one of actinic_reflectance and guess"):
        desk.edit_sitter("JB", {"skin": {}})
