"""Cautions that stand beside plans, wherever they are shown."""

FLASH_CAUTION = (
    "Flash heads hold a charge that can kill, also unplugged: never open one; have it serviced by "
    "someone qualified. Do not fire close to open eyes."
)
LAMP_CAUTION = (
    "Modelling and hot lamps burn skin, cloth and paper: let them cool before you touch them, and "
    "hang nothing over them."
)
BATH_CAUTION = (
    "Developers can make skin allergic; acid bleaches burn, and dichromate in them can cause "
    "cancer. Gloves, goggles, moving air, acid into water, no food near. Safety data sheets and "
    "local rules go first, for used baths too: collect them until you have asked."
)
