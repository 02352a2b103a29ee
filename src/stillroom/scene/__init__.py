"""What each light gives each region of the picture, as numbers only."""

from stillroom.scene.on_axis import RegionLight, StandingLight, light_on_regions

__all__ = ["RegionLight", "StandingLight", "light_on_regions"]
