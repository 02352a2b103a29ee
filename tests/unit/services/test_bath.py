"""Control strips of a book. The strips are invented; their differences follow from the curve."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from stillroom.documents.book import Book, Sitting
from stillroom.documents.to_domain import batch_of
from stillroom.errors import UnknownName
from stillroom.reading import BathShift
from stillroom.services.bath import (
    bath_is_known,
    bath_readings,
    run_of_day,
    sitting_for_strip,
    strip_runs,
)
from stillroom.services.bath_words import run_sentence, shift_sentence
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

PAPER = "sorrel/7"
PLACES = {"1": 0.5, "2": -0.4}
DAYS = ("2026-11-10", "2026-11-12", "2026-11-14")


def strip(when: str, bath_stops: float = 0.0, **said: Any) -> dict[str, Any]:
    """A strip of two steps as the entered curve would give it, with nothing read wrongly."""
    curve = batch_of(book_of(head_and_shoulders()).papers[0]).curve()
    steps = {name: round(curve.density(at + bath_stops), 4) for name, at in PLACES.items()}
    return {"when": f"{when}+00:00", "steps": steps, **said}


def book_with(*strips: dict[str, Any], **changes: Any) -> Book:
    """A sitting for each day, each strip in that of its day."""
    data = head_and_shoulders()
    first = data["sittings"][0]
    data["sittings"] = [
        {
            **first,
            "id": f"S{n}",
            "when": f"{day}T10:00:00+00:00",
            "control_strips": [s for s in strips if s["when"].startswith(day)],
            **changes,
        }
        for n, day in enumerate(DAYS, 1)
    ]
    return book_of(data)


def sitting(book: Book, name: str) -> Sitting:
    return next(s for s in book.sittings if s.id == name)


def test_the_first_strip_of_a_batch_is_the_reference_and_stands_at_nought() -> None:
    book = book_with(strip(f"{DAYS[0]}T09:00"))
    (run,) = strip_runs(book, PAPER)
    assert run.is_reference
    (reading,) = bath_readings(book, sitting(book, "S1"))
    assert (reading.value_stops, reading.reference, reading.nth) == (0.0, PAPER, 0)
    assert reading.sd_stops == pytest.approx(0.05)


def test_a_later_one_tells_how_much_weaker_the_bath_is() -> None:
    book = book_with(strip(f"{DAYS[0]}T09:00"), strip(f"{DAYS[1]}T09:00", -1 / 3))
    (reading,) = bath_readings(book, sitting(book, "S2"))
    assert reading.value_stops == pytest.approx(-1 / 3, abs=0.001)
    assert 0.05 < reading.sd_stops < 0.2
    assert reading.reference == PAPER
    assert bath_readings(book, sitting(book, "S3")) == ()


def test_offcuts_that_lay_longer_tell_less() -> None:
    soon = book_with(strip(f"{DAYS[0]}T09:00"), strip(f"{DAYS[1]}T09:00"))
    long_ago = book_with(
        strip("2026-11-12T08:00", reference=True), strip(f"{DAYS[1]}T09:00")
    ).model_dump(mode="json")
    long_ago["sittings"][1]["control_strips"][0]["when"] = "2025-11-12T08:00:00+00:00"
    old = book_of(long_ago)
    assert (
        strip_runs(old, PAPER)[-1].shift.sd_stops > 2 * strip_runs(soon, PAPER)[-1].shift.sd_stops
    )


def test_a_marked_reference_holds_from_its_run_on_and_leaves_what_was_before() -> None:
    strips = (
        strip(f"{DAYS[0]}T09:00"),
        strip(f"{DAYS[1]}T09:00", -1 / 3),
        strip(f"{DAYS[2]}T09:00", -1 / 3),
    )
    plain = strip_runs(book_with(*strips), PAPER)
    marked = strip_runs(book_with(strips[0], {**strips[1], "reference": True}, strips[2]), PAPER)
    assert [round(r.shift.value_stops or 0, 2) for r in plain] == [0, -0.33, -0.33]
    assert [round(r.shift.value_stops or 0, 2) for r in marked] == [0, 0, 0]
    assert [r.reference_id for r in marked] == [PAPER, f"{PAPER}/2", f"{PAPER}/2"]
    early = book_with(strips[0], strips[1], {**strips[2], "reference": True})
    assert strip_runs(early, PAPER)[:2] == plain[:2]


def test_what_cannot_be_compared_gives_no_reading() -> None:
    other_lot = {**strip(f"{DAYS[1]}T09:00"), "steps": {"a": 0.9}}
    book = book_with(strip(f"{DAYS[0]}T09:00"), other_lot)
    assert bath_readings(book, sitting(book, "S2")) == ()
    assert "shares no step" in run_sentence(strip_runs(book, PAPER)[-1])


def test_an_eye_s_reading_is_wider() -> None:
    made = strip(f"{DAYS[0]}T09:00")
    sharp = book_with(made, strip(f"{DAYS[1]}T09:00"))
    blunt = book_with(made, strip(f"{DAYS[1]}T09:00", density_sd=0.1))
    assert (
        strip_runs(blunt, PAPER)[-1].shift.sd_stops
        > 1.4 * strip_runs(sharp, PAPER)[-1].shift.sd_stops
    )


def test_it_counts_the_sheets_that_went_through_the_baths_before_it() -> None:
    sheets = []
    for number, clock in ((1, "10:10"), (2, "11:00"), (3, "12:30")):
        sheet = scanned(number, 0.8, 1.2)
        sheet["when"] = f"{DAYS[1]}T{clock}:00+00:00"
        sheets.append(sheet)
    reference = strip(f"{DAYS[0]}T09:00")
    for clock, nth in (("09:00", 0), ("10:30", 1), ("12:00", 2), ("13:00", 3)):
        data = book_with(reference, strip(f"{DAYS[1]}T{clock}")).model_dump(
            mode="json", exclude_unset=True
        )
        data["sittings"][1]["sheets"] = sheets
        book = book_of(data)
        assert bath_readings(book, sitting(book, "S2"))[0].nth == nth


def test_an_earlier_sitting_of_the_same_day_used_the_same_baths() -> None:
    data = book_with(strip(f"{DAYS[0]}T09:00"), strip(f"{DAYS[1]}T15:00")).model_dump(
        mode="json", exclude_unset=True
    )
    morning = dict(data["sittings"][1])
    morning |= {"id": "S0", "when": f"{DAYS[1]}T08:00:00+00:00", "control_strips": []}
    morning["sheets"] = [scanned(1, 0.8, 1.2), scanned(2, 0.8, 1.2)]  # without a moment
    data["sittings"].insert(1, morning)
    book = book_of(data)
    assert bath_readings(book, sitting(book, "S2"))[0].nth == 2


def test_a_bath_is_known_once_a_strip_was_held_against_another_day() -> None:
    alone = book_with(strip(f"{DAYS[0]}T09:00"))
    assert not bath_is_known(alone, sitting(alone, "S1"))
    both = book_with(strip(f"{DAYS[0]}T09:00"), strip(f"{DAYS[1]}T09:00"))
    assert [bath_is_known(both, sitting(both, s)) for s in ("S1", "S2", "S3")] == [
        False,
        True,
        False,
    ]


def test_a_strip_that_tells_nothing_leaves_the_bath_unknown() -> None:
    black = {**strip(f"{DAYS[1]}T09:00"), "steps": {"1": 1.9, "2": 1.9}}
    book = book_with(strip(f"{DAYS[0]}T09:00"), black)
    assert not bath_is_known(book, sitting(book, "S2"))


def test_the_strip_of_a_day_is_the_last_one() -> None:
    book = book_with(
        strip(f"{DAYS[0]}T09:00"), strip(f"{DAYS[1]}T09:00", -0.4), strip(f"{DAYS[1]}T13:00")
    )
    run = run_of_day(book, PAPER, date(2026, 11, 12))
    assert run is not None
    assert run.number == 2
    assert run_sentence(run) == "The bath stands where it stood."
    assert run_of_day(book, PAPER, date(2026, 11, 13)) is None
    assert run_sentence(None) == "Bath not checked today, ±¼."


def test_a_strip_goes_into_the_sitting_that_is_going_on() -> None:
    book = book_with(finished=False)
    found = sitting_for_strip(book, PAPER, date(2026, 12, 1))
    assert found is not None
    assert found.id == "S3"
    done = book_with(finished=True)
    assert sitting_for_strip(done, PAPER, date(2026, 12, 1)) is None
    found = sitting_for_strip(done, PAPER, date(2026, 11, 12))
    assert found is not None
    assert found.id == "S2"


def test_a_batch_that_is_not_there_is_said() -> None:
    with pytest.raises(UnknownName, match="tansy"):
        strip_runs(book_with(), "tansy/1")


@pytest.mark.parametrize(
    ("shift", "says"),
    [
        (BathShift(0.1, 0.1), "The bath stands where it stood."),
        (BathShift(-0.34, 0.1), "The bath is ⅓ weaker than at the reference: fresh developer"),
        (BathShift(0.66, 0.1), "The bath is ⅔ stronger than at the reference: look at its warmth"),
        (BathShift(-0.34, 0.25), "The bath looks ⅓ weaker than at the reference but may stand"),
        (BathShift(0.0, 0.3), "No difference shows, but these steps tell it only to ±½"),
        (BathShift(None, unread="dark_only"), "Only dark steps were read"),
        (BathShift(None, unread="too_flat"), "Its steps lie too near black or bare paper"),
    ],
)
def test_it_is_said_in_a_sentence(shift: BathShift, says: str) -> None:
    assert shift_sentence(shift).startswith(says)


def test_thin_blacks_are_said_not_to_be_speed() -> None:
    said = shift_sentence(BathShift(0.02, 0.1, ("1",), black_loss=0.31))
    assert said == (
        "The bath stands where it stood. The blacks are 0.31 thinner than the middle tones "
        "explain: second development or re-exposure too short. That is not speed and was left "
        "out of it."
    )
