"""Every kind of thing in the kit, in the order of the page."""

from __future__ import annotations

from stillroom.errors import UnknownName
from stillroom.web.views.kit_camera import CAMERAS, LENSES, METERS, SCANNERS
from stillroom.web.views.kit_filter import FILTERS
from stillroom.web.views.kit_holder import HOLDERS
from stillroom.web.views.kit_kind import Kind
from stillroom.web.views.kit_light import HEADS, LAMPS, MODIFIERS
from stillroom.web.views.kit_place import PLACES, SEATS
from stillroom.web.views.kit_process import PROCESSES
from stillroom.web.views.kit_room import ROOMS

KINDS: dict[str, Kind] = {
    kind.key: kind
    for kind in (
        HEADS, LAMPS, METERS, MODIFIERS, LENSES, FILTERS, CAMERAS, SCANNERS, ROOMS, PLACES,
        SEATS, HOLDERS, PROCESSES,
    )
}  # fmt: skip


def kind_called(key: str) -> Kind:
    """Kind by its name in addresses.

    Raises
    ------
    UnknownName
        If there is no such kind.
    """
    if key not in KINDS:
        raise UnknownName("kind of thing", key, KINDS)
    return KINDS[key]
