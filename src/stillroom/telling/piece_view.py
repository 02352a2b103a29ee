"""A test piece beside a sheet: which of the two is planned, and how the other is offered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stillroom.documents.answers import Advice, Forecast, PieceAdvice
from stillroom.telling.odds import odds

Plan = Literal["", "stepped", "piece", "sheet"]
"""What is planned: as advised, or what was chosen instead."""


@dataclass(frozen=True, slots=True)
class PieceOffer:
    """A test piece beside a sheet, or the sheet beside a test piece."""

    title: str
    text: str
    worth: str
    button: str
    href: str


def piece_planned(advice: Advice, plan: Plan) -> PieceAdvice | None:
    """The test piece that is planned: chosen, or the next step as advised."""
    if advice.piece is None or plan in ("stepped", "sheet"):
        return None
    return advice.piece if advice.piece.first or plan == "piece" else None


def offer(
    href: str, advice: Advice, forecast: Forecast, planned: PieceAdvice | None
) -> PieceOffer | None:
    """The other of the two, with its address under that of the sitting."""
    piece = advice.piece
    if piece is None:
        return None
    if planned is None:
        there = href if piece.first else f"{href}?plan=piece"
        title, button = "First a test piece?", "Plan the test piece"
        return PieceOffer(title, piece.text, piece.worth, button, there)
    button = "Straight to a stepped sheet"
    if advice.settings.steps_pops is None:
        p = forecast.p_keeper
        button = f"Straight to a sheet{f': tones land, {odds(p)}' if p is not None else ''}"
    return PieceOffer("", "", piece.worth, button, f"{href}?plan=sheet" if piece.first else href)
