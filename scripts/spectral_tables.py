#!/usr/bin/env python3
"""Remake the packaged spectral tables, and what tests hold them against, from an open library.

python3 scripts/spectral_tables.py            writes the tables
python3 scripts/spectral_tables.py --check    tells whether they are as this would write them

Needs colour-science (made with 0.4.7), which neither the tool nor its package asks for.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "src/stillroom/quantity/spectra/data"
FROZEN = ROOT / "tests/data/daylight/spectra"
FLUX_OF = ("A", "D50", "D55", "D65", "D75", "FL2", "FL7", "FL11", "LED-B1", "LED-B5", "LED-V2")
VERSION = "colour-science 0.4.7"
CHART = "averaged measurements of a painted 24-patch chart, reflectance, 380 to 730 nm"
PIGMENTS = "skin samples of a pigment-based chart, reflectance, 400 to 700 nm"


class Table(NamedTuple):
    """One file: what it is, and its columns by the names they have here and in the library."""

    file: str
    what: str
    columns: dict[str, Any]


def library() -> Any:
    """The open library, without its asking for a plotting package that is not needed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour  # noqa: PLC0415
    return colour


def frozen() -> Iterator[tuple[str, str]]:
    """What tests compare with: name and content of each file."""
    colour = library()
    lights = colour.SDS_ILLUMINANTS
    printed = Table(
        "illuminants.csv",
        "CIE illuminants as the library tabulates them, relative power",
        {name: lights[name] for name in ("A", "D50", "D55", "D65", "D75")},
    )
    yield printed.file, text(printed)
    flux = [
        "# 683 times the integral of a CIE illuminant and V(lambda) of 1924, by luminous_flux of",
        f"# {VERSION}",
        "light,flux_lm",
        *(f"{name},{colour.luminous_flux(lights[name].copy()):.10g}" for name in FLUX_OF),
    ]
    yield "luminous_flux.csv", "\n".join(flux) + "\n"
    radiators = [
        f"# full radiators, power against 560 nm, by sd_blackbody of {VERSION}",
        "kelvin,nm,power",
    ]
    for kelvin in (1900, 3200, 5500, 10000):
        made = colour.sd_blackbody(kelvin)
        radiators += [f"{kelvin},{nm},{made[nm] / made[560]:.10g}" for nm in range(360, 781, 60)]
    yield "radiators.csv", "\n".join(radiators) + "\n"


def tables() -> Iterator[Table]:
    """Every packaged table, out of the library."""
    colour = library()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour.colorimetry import (  # noqa: PLC0415
            SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES,
        )
        from colour.quality.datasets.tcs import SDS_TCS  # noqa: PLC0415

    lights = colour.SDS_ILLUMINANTS
    charts = colour.SDS_COLOURCHECKERS
    yield Table(
        "photopic_1924.csv",
        "CIE 1924 photopic luminous efficiency V(lambda), 1 nm",
        {"V": colour.SDS_LEFS["CIE 1924 Photopic Standard Observer"]},
    )
    yield Table(
        "daylight_components.csv",
        "CIE components of daylight S0, S1, S2, relative power (CIE 15)",
        {name: SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES[name] for name in ("S0", "S1", "S2")},
    )
    yield Table(
        "fluorescent.csv",
        "CIE fluorescent illuminants, relative power (CIE 15); no table below 380 nm",
        {name: lights[name] for name in (f"FL{number}" for number in range(1, 13))},
    )
    leds = [*(f"LED-B{number}" for number in range(1, 6)), "LED-BH1", "LED-RGB1"]
    yield Table(
        "led.csv",
        "CIE LED illuminants, relative power (CIE 15:2018); no table below 380 nm",
        {name: lights[name] for name in (*leds, "LED-V1", "LED-V2")},
    )
    yield Table(
        "iso_7589_daylight.csv",
        "ISO 7589 photographic daylight and the same behind the standard camera lens",
        {
            "daylight": lights["ISO 7589 Photographic Daylight"],
            "behind_lens": lights["ISO 7589 Sensitometric Daylight"],
        },
    )
    yield Table(
        "test_colour_15.csv",
        "CIE/JIS test colour sample 15 (East Asian complexion), reflectance",
        {"skin": SDS_TCS["CIE 2024"]["TCS15"]},
    )
    pigments = charts["PMC"]
    yield Table(
        "pigment_chart.csv",
        PIGMENTS,
        {
            "fair": pigments["Caucasian"],
            "south_asian": pigments["South Asian"],
            "dark": pigments["African"],
        },
    )
    painted = charts["babel_average"]
    yield Table(
        "painted_chart.csv",
        CHART,
        {
            "light_skin": painted["light skin"],
            "dark_skin": painted["dark skin"],
            "white": painted["white 9.5 (.05 D)"],
            "grey": painted["neutral 5 (.70 D)"],
            "black": painted["black 2 (1.5 D)"],
        },
    )


def text(table: Table) -> str:
    """One table as it stands in its file."""
    columns = list(table.columns.values())
    wavelengths = columns[0].wavelengths
    if any((column.wavelengths != wavelengths).any() for column in columns):
        raise ValueError(f"{table.file}: the columns do not share their wavelengths")
    lines = [
        f"# {table.what}",
        f"# read through the open library {VERSION}; scripts/spectral_tables.py remakes",
        ",".join(["nm", *table.columns]),
    ]
    for row, nm in enumerate(wavelengths):
        lines.append(
            ",".join(f"{value:.10g}" for value in (nm, *(c.values[row] for c in columns)))
        )
    return "\n".join(lines) + "\n"


def main() -> int:
    """Write the tables, or check them; 1 when a check finds one that differs."""
    made = {FOLDER / table.file: text(table) for table in tables()}
    made |= {FROZEN / file: content for file, content in frozen()}
    if "--check" in sys.argv[1:]:
        wrong = [path for path in made if not path.exists() or path.read_text() != made[path]]
        wrong += sorted(set(FOLDER.glob("*.csv")) - set(made))
        names = ", ".join(path.name for path in wrong)
        sys.stdout.write(f"These tables differ: {names}.\n" if wrong else "The tables agree.\n")
        return 1 if wrong else 0
    for path, content in made.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
