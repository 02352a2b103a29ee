"""The tables beside the tests, and the papers and lenses they were made with."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

from stillroom.light.daylight import SkyTable, sky_table
from stillroom.quantity.spectra import GRADED, VARIABLE_CONTRAST, old330, uvcut370

FOLDER = Path(__file__).parents[3] / "data" / "daylight" / "sun_and_sky"
PAPERS = {
    "graded": (GRADED, ()),
    "graded_old330": (GRADED, (old330(),)),
    "graded_uvcut370": (GRADED, (uvcut370(),)),
    "variable_old330": (VARIABLE_CONTRAST, (old330(),)),
}


def rows(name: str) -> list[dict[str, str]]:
    text = (FOLDER / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def clear(paper: str = "graded_old330") -> SkyTable:
    response, through = PAPERS[paper]
    return sky_table(response, through)
