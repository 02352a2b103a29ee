"""Cautions: beside plans, beside the kit, before steps of the wet line, by place in the work.

This is general information, no medical, legal or electrical advice: safety data sheets, makers'
words, local rules and licensed people go first.
"""

from stillroom.services.cautions.caution import Caution
from stillroom.services.cautions.kit import (
    HOT,
    NEAR_EYES,
    NEVER_OPEN,
    SENSITIVE_TO_FLASHES,
    ULTRAVIOLET,
)
from stillroom.services.cautions.mixing import COLLECT, NOT_CHECKED, WEAR
from stillroom.services.cautions.places import FIRST, PLACES, Place
from stillroom.services.cautions.plans import (
    BATH_CAUTION,
    FLASH_CAUTION,
    LAMP_CAUTION,
    no_flash_wanted,
)
from stillroom.services.cautions.steps import (
    AT_THE_TRAYS,
    FAMILIES,
    every_bleach,
    step_caution,
)

__all__ = [
    "AT_THE_TRAYS",
    "BATH_CAUTION",
    "COLLECT",
    "FAMILIES",
    "FIRST",
    "FLASH_CAUTION",
    "HOT",
    "LAMP_CAUTION",
    "NEAR_EYES",
    "NEVER_OPEN",
    "NOT_CHECKED",
    "PLACES",
    "SENSITIVE_TO_FLASHES",
    "ULTRAVIOLET",
    "WEAR",
    "Caution",
    "Place",
    "every_bleach",
    "no_flash_wanted",
    "step_caution",
]
