"""Stillroom: plan, expose and read direct-positive portraits on paper, and learn from every sheet."""

__version__ = "0.1.0"
