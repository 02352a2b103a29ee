"""Stillroom: plan, expose and read direct-positive portraits, and learn from every sheet."""

__version__ = "0.1.0"
