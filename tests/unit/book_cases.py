"""Books for the engine's tests: the small one of Quarry Lane, and plain ones made on the spot.

All data are invented.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from stillroom.documents.book import Book
from stillroom.documents.checks import check_references
from stillroom.documents.read import read_book

SMALL = (Path(__file__).parents[1] / "data/quarry_lane_small.json").read_text(encoding="utf-8")


def small_data() -> dict[str, Any]:
    """The small book as JSON, free to be altered."""
    return dict(json.loads(SMALL))


def book_of(data: dict[str, Any]) -> Book:
    """A book that has passed every check of the exchange."""
    book = read_book(json.dumps(data))
    check_references(book)
    return book


def head_and_shoulders(**sitting: Any) -> dict[str, Any]:
    """One sitting on 4x5 with a key, a fill and a little room light; no sheets yet."""
    return {
        "stillroom": "book/1",
        "kit": {
            "cameras": [{"id": "4x5", "format_mm": [102, 127], "flare_share": 0.02}],
            "lenses": [{"id": "210", "focal_mm": 210, "f_numbers": [5.6, 8, 11, 16, 22, 32]}],
            "heads": [
                {"id": "A", "energy_ws": 1000},
                {"id": "B", "energy_ws": 1000},
                {
                    "id": "E",
                    "energy_ws": 1000,
                    "dial": {"kind": "energy", "min": 20, "max": 1000, "step": 5},
                },
            ],
            "modifiers": [
                {
                    "id": "box",
                    "kind": "softbox",
                    "width_m": 0.9,
                    "height_m": 0.9,
                    "layers": 2,
                    "loss_stops": 2.5,
                },
                {"id": "umbrella", "kind": "umbrella", "width_m": 0.8, "loss_stops": 1.75},
                {"id": "grid", "kind": "fabric_grid", "loss_stops": 0.75, "loss_sd_stops": 0.4},
            ],
            "meters": [{"id": "flat", "kind": "incident_flat"}],
        },
        "papers": [{"id": "sorrel/7", "name": "Sorrel", "batch": "7", "ei": 3.0}],
        "sitters": [{"id": "OM", "initials": "O. M.", "skin": {"actinic_reflectance": 0.19}}],
        "sittings": [
            {
                "id": "S1",
                "when": "2026-11-14T10:00:00+00:00",
                "paper": "sorrel/7",
                "camera": "4x5",
                "lens": "210",
                "sitters": ["OM"],
                "framing": {"magnification": 0.25},
                "lights": [
                    {
                        "role": "key",
                        "kit_id": "A",
                        "modifiers": ["box"],
                        "distance_m": 0.9,
                    },
                    {
                        "role": "fill",
                        "kit_id": "B",
                        "modifiers": ["umbrella"],
                        "distance_m": 1.8,
                    },
                    {"role": "room", "kind": "room", "metered_lx": 60},
                ],
                "aims": {
                    "key": {"placement_stops": 0.6},
                    "shadow": {"placement_stops": -1.2, "tol_stops": 0.5, "eye_tol_density": 0.22},
                },
            }
            | sitting
        ],
    }


def scanned(number: int, key: float | None, shadow: float | None, **more: Any) -> dict[str, Any]:
    """A sheet with its settings and a dry scan; dials in `more` under `dials`."""
    dials = more.pop("dials", {"key": 0.0, "fill": -1.0})
    regions = {
        region: {"density": value}
        for region, value in (("key", key), ("shadow", shadow))
        if value is not None
    }
    reading = [{"state": "dry", "by": "scan", "regions": regions}] if regions else []
    return {
        "number": number,
        "settings": {
            "lights": {role: {"dial": dial} for role, dial in dials.items()},
            "f_number": 5.6,
            "pops": 1,
        },
        "readings": reading,
    } | more
