"""What a sitter said at the door: what they agree to, and whether flash is all right."""

from __future__ import annotations

from typing import Literal, Self, get_args

from pydantic import model_validator

from stillroom.documents.base import Strict

SaidYes = Literal["portrait", "scan_kept", "may_be_shown", "guardian"]
SAID_YES: tuple[SaidYes, ...] = get_args(SaidYes)
"""What can be agreed to, each by itself: sitting for a portrait, keeping a scan, showing it; and
for a child that a guardian agrees."""
FlashAllRight = Literal["yes", "no"]


class SitterCard(Strict):
    """Nothing is taken for a yes that was not said: what is left out was not agreed to."""

    said_yes_to: tuple[SaidYes, ...] = ()
    flash_all_right: FlashAllRight | None = None
    """Left out: not asked. What is right for them is for their clinician to say."""

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        if len(set(self.said_yes_to)) < len(self.said_yes_to):
            msg = "said_yes_to names each thing once"
            raise ValueError(msg)
        return self


def with_earlier(card: SitterCard, before: SitterCard) -> SitterCard:
    """A card taken at the door of somebody who has one: what was agreed to before stands.

    Examples
    --------
    >>> before = SitterCard(said_yes_to=("may_be_shown",), flash_all_right="no")
    >>> with_earlier(SitterCard(said_yes_to=("portrait",)), before).said_yes_to
    ('portrait', 'may_be_shown')
    """
    said = {*card.said_yes_to, *before.said_yes_to}
    return SitterCard(
        said_yes_to=tuple(one for one in SAID_YES if one in said),
        flash_all_right=card.flash_all_right or before.flash_all_right,
    )
