"""What each light gives each region of the picture, as numbers only."""

from stillroom.scene.frame import KEY_SIDE_DEG, clear_of_frame_mm, nearest_out_of_frame_m
from stillroom.scene.on_axis import RegionLight, StandingLight, light_on_regions

__all__ = [
    "KEY_SIDE_DEG",
    "RegionLight",
    "StandingLight",
    "clear_of_frame_mm",
    "light_on_regions",
    "nearest_out_of_frame_m",
]
