"""Window light: daylight factors, panes at a slant, the sun's beam, gaps, moving the chair."""

from stillroom.light.window.bounce import SURFACES, Reflectance, Room, bounced
from stillroom.light.window.chair import ChairAnswer, distance_for, factors_along
from stillroom.light.window.factor import DaylightFactor, daylight_factor, under_clear_sky
from stillroom.light.window.glass import Glass
from stillroom.light.window.leak import Leak, Outside, leak
from stillroom.light.window.opening import Bare, Opening, Spot
from stillroom.light.window.sky import (
    BOUNCE_SD_STOPS,
    CLEAR_SKY_SD_STOPS,
    GROUND_SD_STOPS,
    HAZY_SKY_SD_STOPS,
    OBSTRUCTION_SD_STOPS,
    OVERCAST,
    OVERCAST_TYPE_1,
    SUNBEAM_SD_STOPS,
    UNIFORM,
    Sky,
)
from stillroom.light.window.sunbeam import (
    SUN_RADIUS_DEG,
    sun_flux_factor_m2,
    sun_seen,
    sunbeam_factor,
)

__all__ = [
    "BOUNCE_SD_STOPS",
    "CLEAR_SKY_SD_STOPS",
    "GROUND_SD_STOPS",
    "HAZY_SKY_SD_STOPS",
    "OBSTRUCTION_SD_STOPS",
    "OVERCAST",
    "OVERCAST_TYPE_1",
    "SUNBEAM_SD_STOPS",
    "SUN_RADIUS_DEG",
    "SURFACES",
    "UNIFORM",
    "Bare",
    "ChairAnswer",
    "DaylightFactor",
    "Glass",
    "Leak",
    "Opening",
    "Outside",
    "Reflectance",
    "Room",
    "Sky",
    "Spot",
    "bounced",
    "daylight_factor",
    "distance_for",
    "factors_along",
    "leak",
    "sun_flux_factor_m2",
    "sun_seen",
    "sunbeam_factor",
    "under_clear_sky",
]
