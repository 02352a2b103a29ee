"""Every kind of thing in the kit, in the order of the page."""

from __future__ import annotations

import re
from collections.abc import Collection

from stillroom.errors import UnknownName
from stillroom.web.views.kit_camera import CAMERAS, LENSES, METERS, SCANNERS
from stillroom.web.views.kit_kind import Kind
from stillroom.web.views.kit_light import HEADS, LAMPS, MODIFIERS

KINDS: dict[str, Kind] = {
    kind.key: kind for kind in (HEADS, LAMPS, METERS, MODIFIERS, LENSES, CAMERAS, SCANNERS)
}


def new_id(kind: Kind, name: str, taken: Collection[str]) -> str:
    """Short id for a new thing: its name where that can be one, else the kind's and a number.

    Examples
    --------
    >>> new_id(KINDS["heads"], "Old barn head!", ["A"])
    'Old barn head'
    >>> new_id(KINDS["heads"], "", ["A", "flash head 1"])
    'flash head 2'
    """
    cleaned = re.sub(r"[^A-Za-z0-9 ._+-]+", " ", name).strip(" ._+-")
    start = " ".join(cleaned.split())[:48]
    if start and start not in taken:
        return start
    stem = start or kind.one
    number = 2 if start else 1
    while f"{stem} {number}" in taken:
        number += 1
    return f"{stem} {number}"


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
