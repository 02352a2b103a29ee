"""Cautions beside mixing lists and labels."""

from __future__ import annotations

WEAR = (
    "Goggles, gloves and apron on; moving air; the suppliers' data sheets and local rules first."
)
COLLECT = (
    "Collect it, and what rinses it: rules differ by place, so ask the local water and waste "
    "authority, and follow label and data sheet."
)
"""What becomes of every bath; nothing here ever says that one may go down a drain."""
NOT_CHECKED = (
    "Nothing here was measured on your materials. Data sheets of your suppliers and local rules "
    "go first; this is general information, no medical or legal advice."
)
