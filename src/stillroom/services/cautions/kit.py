"""Cautions beside things of the kit: flash heads and steady lamps."""

from __future__ import annotations

from stillroom.services.cautions.caution import Caution

NEVER_OPEN = Caution(
    "Never open a head",
    "Its capacitors hold a deadly charge, also unplugged and switched off. Keep it dry and away "
    "from the trays. Repairs are for a qualified technician.",
)
NEAR_EYES = Caution(
    "Near eyes",
    "No bare head within a metre of a face, never a baby’s: put cloth in front and say when it "
    "will fire. Ask sitters first about seizures and light; their clinician decides, and daylight "
    "is always offered.",
)
HOT = Caution(
    "Hot",
    "A halogen bulb burns skin, cloth and paper at a touch. Keep gels, cloth and hair well away, "
    "let it cool for twenty minutes, and put no more in a softbox than its maker allows.",
)
ULTRAVIOLET = Caution(
    "Ultraviolet",
    "No lamp made to give ultraviolet on a face, and no tube or bulb without its cover. What the "
    "maker and local rules say goes first.",
)
SENSITIVE_TO_FLASHES = Caution(
    "Flashes",
    "Seizures, migraine, eyes, an implant? Ask before the first pop. What troubles most people "
    "who are sensitive to it are 3 to 30 flashes a second; single pops lie below that, which is "
    "told here and not promised. No stroboscopic mode, no lamp that flickers; stop when they ask. "
    "Their clinician decides; daylight is always offered.",
)
