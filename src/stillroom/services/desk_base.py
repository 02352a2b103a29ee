"""What every verb of the desk stands on: the book, the clock, the engine."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Collection, Hashable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

from stillroom.documents.book import Book, Sheet, Sitter, Sitting
from stillroom.documents.checks import check_references
from stillroom.documents.thing import Thing
from stillroom.errors import BadValue, UnknownName, shown
from stillroom.services.planner import Planner, engine
from stillroom.services.seats import as_of, last_step
from stillroom.services.sittings import going_on
from stillroom.store import BookFile

if TYPE_CHECKING:
    from stillroom.documents.answers import Advice, Forecast, SheetTaught
    from stillroom.documents.book import Settings
    from stillroom.services.plan import PaperBelief, TermBelief

Named = TypeVar("Named", bound=Thing | Sitter | Sitting)
Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class Saved:
    """Where the book lies and when something was last written into it."""

    where: str
    at: datetime | None


class DeskBase:
    """The book with a clock, and the engine's answers about it.

    Parameters
    ----------
    store : BookFile
        The open book.
    clock : callable
        The moment now, with its zone.
    planner : Planner, optional
        Who answers; the engine when left out.
    """

    def __init__(
        self, store: BookFile, clock: Callable[[], datetime], planner: Planner | None = None
    ) -> None:
        self._store = store
        self._clock = clock
        self._planner = planner
        self._lock = threading.Lock()
        self._answers: tuple[int, dict[Hashable, Any]] = (-1, {})
        self._under_way: dict[Hashable, threading.RLock] = {}

    # ── The book ────────────────────────────────────────────────────────────────────────────

    def book(self) -> Book:
        """The whole book, everything as it was last corrected."""
        return self._store.load()

    def now(self) -> datetime:
        """The moment now, with its zone."""
        return self._clock()

    def saved(self) -> Saved:
        """Where the book lies, and since when."""
        return Saved("this computer", self._store.written_at())

    def preference(self, name: str, otherwise: str = "") -> str:
        """A preference, or `otherwise` where none was set."""
        return self._store.preference(name, otherwise)

    def set_preference(self, name: str, value: str) -> None:
        """Keep a preference."""
        if not name or len(name) > 64 or len(value) > 1000:
            raise BadValue("preference", name, "a short name and at most 1000 characters")
        self._store.set_preference(name, value)

    def current_sitting_id(self) -> str | None:
        """The latest sitting that is not finished, else the latest; None in an empty book."""
        sitting = going_on(self.book())
        return None if sitting is None else sitting.id

    # ── Answers ─────────────────────────────────────────────────────────────────────────────

    def advice(self, sitting_id: str) -> Advice:
        """What to set for the next sheet of a sitting, and why."""
        now = self._as_of_now(sitting_id)
        return self._answer(
            ("advice", sitting_id, planned_moment(now, sitting_id)),
            lambda _: self._engine.advise(now, sitting_id, memo=self._store.memo),
        )

    def forecast(self, sitting_id: str, settings: Settings | None = None) -> Forecast:
        """What a sheet would show; without settings, as things stand."""
        said = "" if settings is None else settings.model_dump_json()
        now = self._as_of_now(sitting_id)
        return self._answer(
            ("forecast", sitting_id, said, planned_moment(now, sitting_id)),
            lambda _: self._engine.predict(now, sitting_id, settings, memo=self._store.memo),
        )

    def taught(self, sitting_id: str) -> tuple[SheetTaught, ...]:
        """What each sheet of a sitting taught, a line each."""
        return self._answer(
            ("taught", sitting_id),
            lambda book: self._engine.taught(book, sitting_id, memo=self._store.memo),
        )

    def paper_belief(self, paper_id: str) -> PaperBelief:
        """What is believed of a batch of paper."""
        return self._answer(
            ("paper", paper_id),
            lambda book: self._engine.paper_belief(book, paper_id, memo=self._store.memo),
        )

    def kit_belief(self) -> dict[str, TermBelief]:
        """What is believed of each thing of the kit, by ``head/A`` and the like."""
        return self._answer(
            ("kit",), lambda book: dict(self._engine.kit_belief(book, memo=self._store.memo))
        )

    def _as_of_now(self, sitting_id: str) -> Book:
        """The book with the next sheet of a sitting by daylight planned for now."""
        step = last_step(self._clock())
        return self._answer(
            ("as of", sitting_id, step), lambda book: as_of(book, sitting_id, step)
        )

    @property
    def _engine(self) -> Planner:
        if self._planner is None:
            self._planner = engine()
        return self._planner

    def _answer(self, key: Hashable, work_out: Callable[[Book], Answer]) -> Answer:
        """An answer about the book as it stands, worked out once while nothing is written."""
        revision = self._store.revision()
        with self._lock:
            if self._answers[0] != revision:
                self._answers, self._under_way = (revision, {}), {}
            known: dict[Hashable, Answer] = self._answers[1]
            if key in known:
                return known[key]
            under_way = self._under_way.setdefault(key, threading.RLock())
        with under_way:  # whoever asks the same meanwhile waits for it
            if key not in known:
                # Of that revision: if the book moved on, it is never asked again.
                known[key] = work_out(self.book())
            return known[key]

    # ── Finding and checking ────────────────────────────────────────────────────────────────

    def _sitting(self, sitting_id: str) -> Sitting:
        return find("sitting", sitting_id, self.book().sittings)

    def _sheet(self, sitting: Sitting, number: int) -> Sheet:
        for sheet in sitting.sheets:
            if sheet.number == number:
                return sheet
        known = [str(sheet.number) for sheet in sitting.sheets]
        raise UnknownName(f"sheet of sitting {shown(sitting.id)}", str(number), known)

    def _written(self, write: Callable[[], Answer], form_id: str = "", verb: str = "") -> Answer:
        """Write once a form, and take it back if the book would no longer go together."""

        def checked() -> Answer:
            result = write()
            check_references(self.book())
            return result

        answer: Answer = self._store.once(form_id, verb, checked)
        return answer


def planned_moment(book: Book, sitting_id: str) -> datetime | None:
    """What the next sheet of a sitting is planned for, where that counts."""
    return find("sitting", sitting_id, book.sittings).planned_for


def find(kind: str, name: str, things: Iterable[Named]) -> Named:
    """The one of `things` with that id.

    Raises
    ------
    UnknownName
        If none has it.
    """
    by_id = {thing.id: thing for thing in things}
    if name not in by_id:
        raise UnknownName(kind, name, by_id)
    return by_id[name]


def free_name(wanted: str, taken: Collection[str], otherwise: str) -> str:
    """A name that can be an id and that nothing has yet.

    Parameters
    ----------
    wanted : str
        What somebody wrote; signs an id cannot have are left out.
    taken : collection of str
        Ids given already.
    otherwise : str
        What to call it when nothing is left.

    Returns
    -------
    str
        The name, or the first of ``name-2``, ``name-3`` ... that is free.

    Examples
    --------
    >>> free_name("Octa, 90 cm", ["Octa 90 cm"], "modifier")
    'Octa 90 cm-2'
    """
    kept = re.sub(r"[^A-Za-z0-9 ._/+-]+", "", wanted)
    name = re.sub(r"^[^A-Za-z0-9]+", "", " ".join(kept.split()))[:56].strip() or otherwise
    if name not in taken:
        return name
    return next(n for i in range(2, len(taken) + 3) if (n := f"{name}-{i}") not in taken)
