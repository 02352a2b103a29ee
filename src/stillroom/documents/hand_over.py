"""What was seen to before a sheet leaves the house, and where it is now."""

from __future__ import annotations

from typing import Literal, Self, get_args

from pydantic import AwareDatetime, model_validator

from stillroom.documents.base import Strict

SeenTo = Literal["dry_scan", "fixed_or_told", "back_copied", "scan_turned"]
SEEN_TO: tuple[SeenTo, ...] = get_args(SeenTo)
"""Scanned dry; fixed and washed, or told to keep from light; the line copied on its back; the
copy of the scan turned left to right for them."""
Whereabouts = Literal["here", "promised", "given", "binned"]
WHEREABOUTS: tuple[Whereabouts, ...] = get_args(Whereabouts)


class HandOver(Strict):
    """How a sheet stands on its way out of the house; a later word adds to the book's history."""

    state: Whereabouts = "here"
    seen_to: tuple[SeenTo, ...] = ()
    when: AwareDatetime | None = None
    """Left out: not known."""

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        if len(set(self.seen_to)) < len(self.seen_to):
            msg = "seen_to names each thing once"
            raise ValueError(msg)
        return self
