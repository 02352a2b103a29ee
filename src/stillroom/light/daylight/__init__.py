"""Daylight as the paper sees it: sun, clear sky, cloud, planes, a year of it."""

from stillroom.light.daylight.clear_sky import (
    GROUND_ALBEDO,
    HAZE,
    SNOW_ALBEDO,
    Atmosphere,
    SkyTable,
    sky_table,
    spectra,
)
from stillroom.light.daylight.cloud import (
    PLANNED,
    CloudedRows,
    Sky,
    SunWord,
    cloud_factor,
    clouded,
    diffuse_share,
)
from stillroom.light.daylight.level import (
    LOW_SUN,
    LOW_SUN_DEG,
    PlaneLight,
    YearMap,
    daylight,
    light_on,
    year_map,
)
from stillroom.light.daylight.outdoors import Outdoors, outdoors
from stillroom.light.daylight.place import (
    Instants,
    Place,
    Slots,
    posix_seconds,
    slots,
    year_slots,
)
from stillroom.light.daylight.planes import (
    OVERCAST_UPRIGHT_RATIO,
    Plane,
    upright_parts,
    upright_sky_ratio,
)
from stillroom.light.daylight.sun import (
    SunDays,
    SunPosition,
    day_of_year,
    local_noon,
    sun_days,
    sun_position,
)

__all__ = [
    "GROUND_ALBEDO",
    "HAZE",
    "LOW_SUN",
    "LOW_SUN_DEG",
    "OVERCAST_UPRIGHT_RATIO",
    "PLANNED",
    "SNOW_ALBEDO",
    "Atmosphere",
    "CloudedRows",
    "Instants",
    "Outdoors",
    "Place",
    "Plane",
    "PlaneLight",
    "Sky",
    "SkyTable",
    "Slots",
    "SunDays",
    "SunPosition",
    "SunWord",
    "YearMap",
    "cloud_factor",
    "clouded",
    "day_of_year",
    "daylight",
    "diffuse_share",
    "light_on",
    "local_noon",
    "outdoors",
    "posix_seconds",
    "sky_table",
    "slots",
    "spectra",
    "sun_days",
    "sun_position",
    "upright_parts",
    "upright_sky_ratio",
    "year_map",
    "year_slots",
]
