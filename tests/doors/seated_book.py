"""The example book with a place, seats of daylight, and a sitting by window light alone.

Invented like the rest of the scenario: nothing in it was measured.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from stillroom.documents.book import Book
from stillroom.documents.read import read_book

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import sitting_book  # type: ignore[import-not-found]

PLACE = {
    "id": "quarry",
    "name": "Quarry Lane",
    "latitude_deg": 54.3,
    "longitude_deg": -1.5,
    "zone": "Europe/London",
}
PARLOUR = {
    "id": "parlour",
    "name": "parlour window",
    "place": "quarry",
    "window": {"faces_deg": 45, "width_m": 1.2, "height_m": 1.5, "distance_m": 1.2},
}
YARD = {
    "id": "yard",
    "name": "yard wall",
    "place": "quarry",
    "open_air": {"faces_deg": 0, "sun": False},
}


def seated_book(**of_the_sitting: Any) -> Book:
    """The sitting `KS` at the parlour window, on the morning of the example; no sheet yet."""
    book: dict[str, Any] = json.loads(sitting_book().model_dump_json(exclude_unset=True))
    book["kit"] |= {"places": [PLACE], "seats": [PARLOUR, YARD]}
    om = book["sittings"][0]
    book["sitters"].append({"id": "KS", "initials": "K. S.", "holds_still_s": 8})
    book["sittings"].append(
        {
            "id": "KS",
            "when": "2026-11-14T11:55:00+00:00",
            "paper": om["paper"],
            "camera": om["camera"],
            "lens": om["lens"],
            "sitters": ["KS"],
            "framing": {"magnification": 0.3},
            "lights": [{"role": "key", "kind": "window", "kit_id": "parlour"}],
            "aims": {"key": {"placement_stops": 0.3}},
            "stands": {"f_number": 11, "open_s": 2},
            **of_the_sitting,
        }
    )
    return read_book(json.dumps(book))
