"""A desk with the small book, a clock that ticks, and an engine that only repeats."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.answers import Advice, AimShown, Forecast, RegionForecast, Spread
from stillroom.documents.book import Book, Settings
from stillroom.documents.odd import OddSheets
from stillroom.documents.read import read_book
from stillroom.documents.several import SeveralForecast, SeveralSheets
from stillroom.services import Desk
from stillroom.services.beliefs import PaperBelief
from stillroom.store import BookFile, open_book

# Invented data: the pump house on Quarry Lane.
SMALL = read_book((Path(__file__).parents[2] / "data/quarry_lane_small.json").read_bytes())
EVEN = Spread(mean=0.1, sd=0.5, q05=-0.7, q25=-0.2, q50=0.1, q75=0.4, q95=0.9)


class Clock:
    def __init__(self) -> None:
        self.now = datetime(2026, 11, 14, 16, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


class Repeater:
    """Stands in for the engine: no arithmetic, and it counts how often it was asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def predict(
        self, book: Book, sitting_id: str, settings: Settings | None = None, *, memo: Any = None
    ) -> Forecast:
        assert memo is not None
        self.asked.append("predict")
        sitting = next(s for s in book.sittings if s.id == sitting_id)
        last = max(sitting.sheets, key=lambda s: s.number, default=None)
        stands = last.settings if last else sitting.stands
        assert stands is not None
        region = RegionForecast(
            name="part",
            placement_stops=EVEN,
            density=EVEN,
            sources={},
            ledger=(),
            landings=(),
            aim=None,
            p_lands=None,
        )
        regions = {
            name: region.model_copy(
                update={
                    "aim": AimShown(
                        placement_stops=aim.placement_stops or 0.0,
                        tol_stops=aim.tol_stops,
                        density=1.0,
                        relative_to="paper",
                    )
                }
            )
            for name, aim in sitting.aims.items()
        }
        return Forecast(
            sitting=sitting_id,
            sheet_number=len(sitting.sheets) + 1,
            mark="",
            settings=settings or stands,
            regions=regions,
            p_keeper=0.6,
            meter_shows=(),
            output_from={},
            cautions=(),
        )

    def advise(self, book: Book, sitting_id: str, *, memo: Any = None) -> Advice:
        forecast = self.predict(book, sitting_id, memo=memo)
        self.asked[-1] = "advise"
        return Advice(
            sitting=sitting_id,
            sheet_number=forecast.sheet_number,
            mark="",
            settings=forecast.settings,
            forecast=forecast,
            changes=(),
            left_alone=(),
            note="",
            spoilers=(),
            alternatives=(),
            stepped_sheet=None,
            not_yet_read=(),
            reachable=True,
        )

    def advise_several(
        self,
        book: Book,
        sitting_id: str,
        count: int,
        first: Advice | None = None,
        *,
        memo: Any = None,
    ) -> SeveralSheets:
        one = first or self.advise(book, sitting_id, memo=memo)
        self.asked.append("advise_several")
        numbers = tuple(range(one.sheet_number, one.sheet_number + count))
        return SeveralSheets(
            sitting=sitting_id,
            sheet_numbers=numbers,
            marks=tuple(str(n) for n in numbers),
            settings=tuple(
                one.settings.model_copy(update={"pops": n}) for n in range(1, count + 1)
            ),
            forecast=SeveralForecast(
                p_any=0.8, p_any_alike=0.7, expected_landed=1.0, sheets=(one.forecast,) * count
            ),
            changes=(),
            between=((),) * (count - 1),
            left_alone=(),
            note="",
            alternatives=(),
            stepped_sheet=None,
            not_yet_read=(),
            reachable=True,
            dear="paper",
            together=(),
            cheapest=1,
            proposed=False,
        )

    def as_planned(
        self,
        book: Book,
        sitting_id: str,
        settings: Settings,
        unseen: tuple[str, ...],
        fresh: Advice | None = None,
        *,
        memo: Any = None,
    ) -> Advice:
        one = fresh or self.advise(book, sitting_id, memo=memo)
        return one.model_copy(update={"settings": settings, "note": " ".join(unseen)})

    def odd_sheets(self, book: Book, sitting_id: str, *, memo: Any = None) -> OddSheets:
        del book, memo
        return OddSheets(sitting=sitting_id, sheets=())

    def taught(self, book: Book, sitting_id: str, *, memo: Any = None) -> tuple[()]:
        del book, sitting_id, memo
        self.asked.append("taught")
        return ()

    def paper_belief(self, book: Book, paper_id: str, *, memo: Any = None) -> PaperBelief:
        del book, memo
        return PaperBelief(
            paper_id=paper_id,
            ei=2.4,
            ei_low=2.0,
            ei_high=2.9,
            sd_stops=0.16,
            prior_sd_stops=1.0,
            dmin=0.1,
            dmax=1.8,
            contrast_per_stop=1.3,
            asymmetry=0.8,
            curve=(),
            sheets=2,
            sentence="",
        )

    def kit_belief(self, book: Book, *, memo: Any = None) -> dict[str, Any]:
        del book, memo
        return {}


@pytest.fixture(scope="session")
def small() -> Book:
    return SMALL


@pytest.fixture(scope="session")
def repeater() -> type[Repeater]:
    return Repeater


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def engine() -> Repeater:
    return Repeater()


@pytest.fixture
def store(tmp_path: Path, clock: Clock) -> Iterator[BookFile]:
    with open_book(tmp_path / "book.db", clock=clock) as opened:
        yield opened


@pytest.fixture
def desk(store: BookFile, clock: Clock, engine: Repeater) -> Desk:
    store.import_document(SMALL)
    return Desk(store, clock, engine)


@pytest.fixture
def empty_desk(store: BookFile, clock: Clock, engine: Repeater) -> Desk:
    return Desk(store, clock, engine)
