"""Ways to the aims of a sitting on another camera."""

from stillroom.services.ways.answer import ways
from stillroom.services.ways.asked import POPS_MOST, Asked

__all__ = ["POPS_MOST", "Asked", "ways"]
