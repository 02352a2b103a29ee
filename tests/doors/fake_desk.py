"""A desk in memory, until the real one lands: the pages ask it, tests look at what it was told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from stillroom.documents.answers import Advice, Forecast
from stillroom.documents.book import Book, Settings
from stillroom.documents.read import read_book
from stillroom.errors import UnknownName
from stillroom.paper import ASYMMETRY, ToneCurve
from stillroom.services.advising import advise
from stillroom.services.forecasts import predict
from stillroom.web.needs import Saved

DATA = Path(__file__).parents[1] / "data"


@dataclass(frozen=True)
class Believed:
    sd_now_stops: float
    sentence: str


@dataclass(frozen=True)
class Drawn:
    placement_stops: float
    density: float
    low: float
    high: float


@dataclass(frozen=True)
class PaperKnown:
    ei: float
    ei_low: float
    ei_high: float
    dmin: float
    dmax: float
    curve: tuple[Drawn, ...]
    sentence: str


class FakeDesk:
    """Holds one book; every write is a line in `told`."""

    def __init__(self, book: Book | None = None) -> None:
        self.kept = (
            read_book((DATA / "quarry_lane_small.json").read_text()) if book is None else book
        )
        self.told: list[tuple[Any, ...]] = []

    def book(self) -> Book:
        return self.kept

    def saved(self) -> Saved:
        return Saved("this computer", datetime(2026, 11, 14, 11, 42, tzinfo=UTC))

    def current_sitting_id(self) -> str | None:
        return self.kept.sittings[-1].id if self.kept.sittings else None

    def _kit(self, kind: str, things: list[Any]) -> None:
        kit = self.kept.kit.model_dump() | {kind: things}
        self.kept = Book.model_validate(self.kept.model_dump() | {"kit": kit})

    def _things(self, kind: str) -> list[dict[str, Any]]:
        return [thing.model_dump() for thing in getattr(self.kept.kit, kind)]

    def add_thing(self, kind: str, data: dict[str, Any]) -> None:
        self.told.append(("add_thing", kind, data))
        self._kit(kind, [*self._things(kind), data])

    def edit_thing(self, kind: str, thing_id: str, data: dict[str, Any]) -> None:
        self.told.append(("edit_thing", kind, thing_id, data))
        things = self._things(kind)
        if all(thing["id"] != thing_id for thing in things):
            raise UnknownName(kind, thing_id, [thing["id"] for thing in things])
        self._kit(kind, [thing | data if thing["id"] == thing_id else thing for thing in things])

    def retire_thing(self, kind: str, thing_id: str, *, retired: bool = True) -> None:
        self.edit_thing(kind, thing_id, {"retired": retired})

    def kit_belief(self) -> dict[str, Any]:
        return {"head/A": Believed(0.3, "in a chain with the octa, three sheets")}

    def paper_belief(self, paper_id: str) -> Any:
        """Prior of the batch alone; invented band."""
        paper = next(p for p in self.kept.papers if p.id == paper_id)
        curve = ToneCurve(paper.contrast_per_stop, ASYMMETRY, paper.dmin, paper.dmax)
        points = []
        for eighth in range(-48, 49):
            density = curve.density(eighth / 8)
            half = 0.06 + 0.12 * (1 - abs(eighth) / 48)
            points.append(Drawn(eighth / 8, density, density - half, density + half))
        width = 2.0 ** (1.645 * paper.ei_sd_stops)
        low, high = paper.ei / width, paper.ei * width
        told = "box figure only"
        return PaperKnown(paper.ei, low, high, paper.dmin, paper.dmax, tuple(points), told)

    def _papers(self, papers: list[dict[str, Any]]) -> None:
        self.kept = Book.model_validate(self.kept.model_dump() | {"papers": papers})

    def add_paper(self, data: dict[str, Any]) -> None:
        self.told.append(("add_paper", data))
        self._papers([*(paper.model_dump() for paper in self.kept.papers), data])

    def edit_paper(self, paper_id: str, data: dict[str, Any]) -> None:
        self.told.append(("edit_paper", paper_id, data))
        papers = [paper.model_dump() for paper in self.kept.papers]
        self._papers([p | data if p["id"] == paper_id else p for p in papers])

    def retire_paper(self, paper_id: str, *, retired: bool = True) -> None:
        self.edit_paper(paper_id, {"retired": retired})

    def new_batch(self, paper_id: str, batch_name: str) -> str:
        found = next(p for p in self.kept.papers if p.id == paper_id)
        made = f"{paper_id.rpartition('/')[0] or paper_id}/{batch_name}"
        self.add_paper(found.model_dump() | {"id": made, "batch": batch_name, "ei_sd_stops": 0.4})
        return made

    def first_sheet(self, answers: Any) -> str:
        self.told.append(("first_sheet", answers))
        return "first"

    def advice(self, sitting_id: str) -> Advice:
        return advise(self.kept, sitting_id)

    def forecast(self, sitting_id: str, settings: Settings) -> Forecast:
        return predict(self.kept, sitting_id, settings)
