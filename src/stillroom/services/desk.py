"""The desk: every verb, with a clock and a book; every door uses it."""

from __future__ import annotations

from stillroom.services.desk_base import Saved
from stillroom.services.desk_bath import BathVerbs
from stillroom.services.desk_bench import BenchVerbs
from stillroom.services.desk_contrast import ContrastVerbs
from stillroom.services.desk_day import DayVerbs
from stillroom.services.desk_daylight import DaylightVerbs
from stillroom.services.desk_door import DoorVerbs
from stillroom.services.desk_focus import FocusVerbs
from stillroom.services.desk_ghost import GhostVerbs
from stillroom.services.desk_holders import HolderVerbs
from stillroom.services.desk_kit import KitVerbs
from stillroom.services.desk_known import KnownVerbs
from stillroom.services.desk_mixing import MixingVerbs
from stillroom.services.desk_odd import OddVerbs
from stillroom.services.desk_several import SeveralVerbs
from stillroom.services.desk_sheets import SheetVerbs, expected_of
from stillroom.services.desk_shooting import ShootingVerbs
from stillroom.services.desk_sittings import SittingVerbs
from stillroom.services.desk_stillness import StillnessVerbs
from stillroom.services.desk_ways import WaysVerbs
from stillroom.services.looks import LOOKS, Look
from stillroom.services.marks import sheet_mark
from stillroom.services.next_sitter import SkinQuestion, ToneOption
from stillroom.services.starting import FirstAnswers

__all__ = [
    "LOOKS",
    "Desk",
    "FirstAnswers",
    "Look",
    "Saved",
    "SkinQuestion",
    "ToneOption",
    "expected_of",
    "sheet_mark",
]


class Desk(
    FocusVerbs,
    KitVerbs,
    SittingVerbs,
    DoorVerbs,
    DayVerbs,
    DaylightVerbs,
    ContrastVerbs,
    StillnessVerbs,
    GhostVerbs,
    SheetVerbs,
    HolderVerbs,
    ShootingVerbs,
    BathVerbs,
    BenchVerbs,
    MixingVerbs,
    OddVerbs,
    KnownVerbs,
    SeveralVerbs,
    WaysVerbs,
):
    """Everything that can be done with a book.

    Errors are those of `stillroom.errors`; a verb that fails has written nothing. A form that is
    sent twice gets the first answer again.

    Parameters
    ----------
    store : BookFile
        The open book.
    clock : callable
        The moment now, with its zone.
    planner : Planner, optional
        Who answers; the engine when left out.

    Examples
    --------
    >>> import datetime, pathlib, tempfile
    >>> from stillroom.store import open_book
    >>> noon = datetime.datetime(2026, 11, 14, 12, tzinfo=datetime.UTC)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with open_book(pathlib.Path(folder, "book.db"), clock=lambda: noon) as book:
    ...         desk = Desk(book, lambda: noon)
    ...         desk.first_sheet(FirstAnswers(light="flash", camera="8x10"))
    ...         desk.current_sitting_id()
    'first'
    'first'
    """
