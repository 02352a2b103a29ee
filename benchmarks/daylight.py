"""How long a year of daylight takes: quarter hours on three planes, beside the library itself.

The library's own calls, for each time and plane in a loop and for all times of a plane at once,
give the same light; how far ours is from it is checked in the run. The loop is run over a sample
of the year, evenly taken, and scaled. All on one thread of arithmetic, in one process.

    python3 run bench daylight
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", MKL_NUM_THREADS="1")

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from pvlib import atmosphere, solarposition, spectrum

from benchmarks.engine import always, times_ms
from stillroom.light.daylight import (
    GROUND_ALBEDO,
    HAZE,
    Place,
    Plane,
    SkyTable,
    day_of_year,
    light_on,
    outdoors,
    sky_table,
    sun_position,
    upright_sky_ratio,
    year_map,
    year_slots,
)
from stillroom.light.daylight.clear_sky import OZONE_ATM_CM, WATER_CM
from stillroom.quantity import FloatArray
from stillroom.quantity.spectra import GRADED, old330, weights_on

YEAR = 2026
PLANES = {
    "level": Plane.level(),
    "upright, facing south": Plane.upright(180),
    "open shade, facing north": Plane.open_shade(0, ground_sunlit=True),
}
PLACES = {
    "52 N": Place(52.0, 0.0, "Europe/London"),
    "35 S": Place(-35.0, 149.0, "Australia/Sydney"),
    "70 N": Place(70.0, 19.0, "Europe/Oslo"),
}
ABOVE_DEG = 2.0
LARGEST_STOPS = 0.02
LOOP_TIMES, WHOLE_TIMES = 5000, 20
PRESSURE_PA = 101325.0


@dataclass(frozen=True, slots=True)
class LibrarySun:
    """Sun positions by the library, those above the horizon only."""

    lit: NDArray[np.int64]
    zenith_deg: FloatArray
    azimuth_deg: FloatArray
    day: NDArray[np.int64]


def library_sun(posix_s: FloatArray, place: Place) -> LibrarySun:
    """The reference algorithm for all times given."""
    times = pd.to_datetime(posix_s, unit="s", utc=True)
    found = solarposition.get_solarposition(times, place.latitude_deg, place.longitude_deg)
    lit = np.flatnonzero(found.apparent_elevation.to_numpy() > 0).astype(np.int64)
    return LibrarySun(
        lit,
        found.apparent_zenith.to_numpy()[lit],
        found.azimuth.to_numpy()[lit],
        day_of_year(posix_s[lit]),
    )


def library_light(sun: LibrarySun, plane: Plane) -> FloatArray:
    """Actinic and photopic light on a plane by one call of the spectral model."""
    zenith = sun.zenith_deg
    made = spectrum.spectrl2(
        apparent_zenith=zenith,
        aoi=zenith,
        surface_tilt=0,
        ground_albedo=GROUND_ALBEDO,
        surface_pressure=PRESSURE_PA,
        relative_airmass=atmosphere.get_relative_airmass(zenith, "kastenyoung1989"),
        precipitable_water=WATER_CM,
        ozone=OZONE_ATM_CM,
        aerosol_turbidity_500nm=HAZE["clear"],
        dayofyear=sun.day,
    )
    nm = made["wavelength"]
    weights = np.stack([weights_on(nm, GRADED, [old330()]), weights_on(nm)])
    beam, sky = weights @ made["dni"], weights @ made["dhi"]
    up = np.cos(np.radians(zenith))
    level = beam * up + sky
    if plane.facing_deg is None:
        return np.asarray(level)
    turn = plane.facing_deg - sun.azimuth_deg
    facing = np.sin(np.radians(zenith)) * np.maximum(np.cos(np.radians(turn)), 0)
    share = upright_sky_ratio(90 - zenith, turn)
    ground = 0.5 * GROUND_ALBEDO * plane.ground_sunlit
    return np.asarray(beam * facing * plane.sun + sky * share + ground * level)


def whole(posix_s: FloatArray, place: Place, planes: Sequence[Plane]) -> FloatArray:
    """All times at once, one call of the spectral model for each plane; planes, two, times."""
    light = np.zeros((len(planes), 2, len(posix_s)))
    sun = library_sun(posix_s, place)
    if sun.lit.size:
        for n, plane in enumerate(planes):
            light[n][:, sun.lit] = library_light(sun, plane)
    return light


def loop(posix_s: FloatArray, place: Place, planes: Sequence[Plane]) -> FloatArray:
    """The same, time by time and plane by plane."""
    light = np.zeros((len(planes), 2, len(posix_s)))
    for t in range(len(posix_s)):
        for n, plane in enumerate(planes):
            light[n, :, t] = whole(posix_s[t : t + 1], place, [plane])[0, :, 0]
    return light


def apart_stops(place: Place, planes: Sequence[Plane], table: SkyTable) -> FloatArray:
    """How far ours is from the library at most, with the sun above two degrees, plane by plane."""
    year = year_map(place, YEAR, planes, table)
    straight = whole(year.slots.posix_s, place, planes)
    high = year.sun.elevation_deg > ABOVE_DEG
    ours = np.stack([year.light.actinic_lx, year.light.photopic_lx], axis=1)
    apart = np.log2(ours[:, :, high] / straight[:, :, high])
    return np.asarray(np.abs(apart).max(axis=(1, 2)))


def timings(sample: int, runs: int) -> list[tuple[str, float]]:
    """What each way takes for the whole year [ms]."""
    place, planes = PLACES["52 N"], list(PLANES.values())
    posix = year_slots(place, YEAR).posix_s
    few = posix[:: len(posix) // sample]
    table, sun = sky_table(GRADED, [old330()]), sun_position(posix, place)
    outside = outdoors(sun, table)
    faces = [plane.facing_deg for plane in planes if plane.facing_deg is not None]

    def all_of_ours() -> object:
        return year_map(place, YEAR, planes, sky_table(GRADED, [old330()]))

    loop_ms, _ = times_ms(always(lambda: loop(few, place, planes)), min(runs, 3))
    rows = [(f"library, in a loop (from {len(few)} times)", loop_ms * len(posix) / len(few))]
    for name, run in (
        ("library, all times of a plane at once", lambda: whole(posix, place, planes)),
        ("ours, from nothing", all_of_ours),
        ("ours, table at hand", lambda: year_map(place, YEAR, planes, table)),
        ("of these: table of the clear sky", lambda: sky_table(GRADED, [old330()])),
        ("clock of the year", lambda: year_slots(place, YEAR)),
        ("sun", lambda: sun_position(posix, place)),
        ("light on the planes, with its spread", lambda: light_on(planes, sun, table)),
        (
            "of that: share of the sky by direction",
            lambda: [outside.upright_sky_ratio(facing) for facing in faces],
        ),
    ):
        rows.append((name, times_ms(always(run), runs)[0]))
    return rows


def main(given: list[str] | None = None) -> None:
    """Print both tables; fail when ours is too far from the library or too slow beside it."""
    parser = argparse.ArgumentParser(prog="benchmarks.daylight", description=__doc__)
    parser.add_argument("--runs", type=int, default=9, help="how often each is run")
    parser.add_argument("--sample", type=int, default=300, help="times the loop is run for")
    asked = parser.parse_args(given)
    for name, least in (("runs", 1), ("sample", 10)):
        if getattr(asked, name) < least:
            parser.error(f"--{name} is {getattr(asked, name)}: give at least {least}")
    missed = []
    rows = timings(asked.sample, asked.runs)
    ours_ms = dict(rows)["ours, from nothing"]
    print(f"| {YEAR}, quarter hours, {len(PLANES)} planes | ms | times ours |")
    print("| --- | ---: | ---: |")
    for name, took in rows:
        print(f"| {name} | {took:.1f} | {took / ours_ms:.2f} |")
    for (name, took), wanted in zip(rows, (LOOP_TIMES, WHOLE_TIMES), strict=False):
        if took / ours_ms < wanted:
            missed.append(f"{name}: {took / ours_ms:.0f} times ours, wanted {wanted}")
    print("\n| " + " | ".join(["most apart, stops", *PLANES]) + " |")
    print("| --- |" + " ---: |" * len(PLANES))
    table = sky_table(GRADED, [old330()])
    for name, place in PLACES.items():
        apart = apart_stops(place, list(PLANES.values()), table)
        print(f"| {name} | " + " | ".join(f"{stops:.4f}" for stops in apart) + " |")
        if apart.max() > LARGEST_STOPS:
            missed.append(f"{name}: {apart.max():.3f} stop apart, wanted {LARGEST_STOPS}")
    print(f"\nTargets: {LOOP_TIMES} and {WHOLE_TIMES} times, {LARGEST_STOPS} stop.", end=" ")
    print("All reached." if not missed else "Missed: " + "; ".join(missed) + ".")
    sys.exit(bool(missed))


if __name__ == "__main__":
    main()
