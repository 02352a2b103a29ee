"""How far one reading of a tone scatters, by the way it was read."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

SD_DENSITY: Final[Mapping[str, float]] = MappingProxyType(
    {"densitometer": 0.03, "scan": 0.04, "strip": 0.08}
)
"""Standard uncertainty of one reading of a dry tone [density]; invented, plausible. The strip's
holds steps 0.15 apart. Words have the eye of the kit instead."""
