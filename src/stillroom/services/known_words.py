"""How well something is known, said plainly: alone, in a chain, held, or as entered."""

from __future__ import annotations

from stillroom.documents.book import Paper
from stillroom.documents.known import Standing
from stillroom.quantity import NINE_IN_TEN, range_text, stops_text
from stillroom.services.forecasts import KNOWN_FROM_SHARE
from stillroom.services.ledger_names import paper_name
from stillroom.sitter import region_name

UNTOUCHED = 0.97
"""A spread above this share of the entered one has not been told apart by sheets."""
LEAST_SHIFT = 0.05


def standing_of(sd: float, entered_sd: float, *, held: bool, forgotten: bool) -> Standing:
    """How a term stands: alone only when its spread has fallen by a third.

    Examples
    --------
    >>> standing_of(0.15, 0.3, held=False, forgotten=False)
    'alone'
    >>> standing_of(0.25, 0.3, held=False, forgotten=False)
    'in_a_chain'
    """
    if held:
        return "held"
    if forgotten:
        return "forgotten"
    if entered_sd == 0 or sd >= UNTOUCHED * entered_sd:
        return "entered"
    return "alone" if sd < KNOWN_FROM_SHARE * entered_sd else "in_a_chain"


def term_sentence(
    standing: Standing, shift: float, sd: float, unit: str, tells: tuple[str, str] | None
) -> str:
    """One line on a term; `tells` says what it is in a chain with, and what would tell.

    Examples
    --------
    >>> term_sentence("alone", 0.34, 0.2, "stops", None)
    'known from sheets to ±⅓, +⅓ from what was entered'
    >>> term_sentence("in_a_chain", 0.7, 0.2, "stops", None)
    'in a chain, not alone, +⅔ from what was entered'
    """
    far = NINE_IN_TEN * sd
    reach = range_text(far) if unit == "stops" else f"±{far:.2f}"
    moved = ""
    if abs(shift) >= LEAST_SHIFT or (unit != "stops" and abs(shift) >= 0.005):
        by = stops_text(shift) if unit == "stops" else f"{shift:+.2f}".replace("-", "−")
        moved = f", {by} from what was entered" if by != "0" else ""
    if standing == "held":
        return f"held by you{moved}; sheets do not move it"
    if standing == "forgotten":
        return "forgotten: as entered, until the next sheets teach it"
    if standing == "entered":
        return "as entered; sheets have not told it apart yet"
    if standing == "alone":
        return f"known from sheets to {reach}{moved}"
    if tells is None:
        return f"in a chain, not alone{moved}"
    return f"in a chain with {tells[0]}{moved}; {tells[1]}"


def chain_title(role: str, region: str, paper: Paper) -> str:
    """A chain by its ends: the light, the region, the paper.

    Examples
    --------
    >>> chain_title("key", "key", Paper(id="s/7", name="Sorrel", batch="7", ei=5))
    'Key light on the key cheek, with Sorrel, batch 7'
    """
    light = role if role.endswith(("light", "lamp")) else f"{role} light"
    where = region_name(region).lower()
    return f"{light[:1].upper()}{light[1:]} on the {where}, with {paper_name(paper)}"


def chain_sentence(shift: float, sd: float, entered_sd: float) -> str:
    """One line on a chain.

    Examples
    --------
    >>> chain_sentence(-0.4, 0.2, 1.2)
    'known from sheets to ±⅓, −⅓ from what was entered; it was ±2'
    """
    reach, was = range_text(NINE_IN_TEN * sd), range_text(NINE_IN_TEN * entered_sd)
    moved = "" if stops_text(shift) == "0" else f", {stops_text(shift)} from what was entered"
    if sd < KNOWN_FROM_SHARE * entered_sd:
        return f"known from sheets to {reach}{moved}; it was {was}"
    return f"still wide, {reach}{moved}; it was {was}"
