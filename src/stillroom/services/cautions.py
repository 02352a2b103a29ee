"""Cautions that stand beside plans, wherever they are shown."""

FLASH_CAUTION = (
    "Flash heads hold a charge that can kill, also unplugged: never open one; have it serviced by "
    "someone qualified. Do not fire close to open eyes."
)
