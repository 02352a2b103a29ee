"""Books with a small and a bigger camera. Everything here is invented."""

from __future__ import annotations

from typing import Any

from stillroom.documents.book import Book
from tests.unit.book_cases import book_of, head_and_shoulders


def data(**sitting: Any) -> dict[str, Any]:
    """A 4x5 test with one key light close to the face, an 8x10 beside it, a second head idle."""
    found = head_and_shoulders(
        **{
            "lights": [
                {"role": "key", "kit_id": "A", "modifiers": ["box"], "distance_m": 0.7},
            ],
            "aims": {"key": {"placement_stops": 0.6}},
            "stands": {"f_number": 5.6, "lights": {"key": {"dial": 0}}},
            "holding": {"support": "head_rest"},
        }
        | sitting
    )
    kit = found["kit"]
    kit["cameras"].append({"id": "8x10", "format_mm": [203.2, 254], "draw_max_mm": 700})
    kit["lenses"].append({"id": "360", "focal_mm": 360, "f_numbers": [5.6, 8, 11, 16, 22, 32]})
    kit["heads"] = [{"id": i, "energy_ws": 1000, "output_sd_stops": 0.2} for i in "AB"]
    found["papers"][0] |= {"ei": 3.0, "ei_sd_stops": 0.3}
    return found


def book(**sitting: Any) -> Book:
    """The same, checked."""
    return book_of(data(**sitting))


def with_kit(**more: Any) -> Book:
    """The same with other things in the kit."""
    found = data()
    found["kit"] |= more
    return book_of(found)
