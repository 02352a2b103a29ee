"""What everything in the kit has."""

from __future__ import annotations

from stillroom.documents.base import Line, Name, Strict, Text


class Thing(Strict):
    """Anything in the kit: an id, a name to show, and whether it is still in use."""

    id: Name
    name: Line = ""
    note: Text = ""
    retired: bool = False
