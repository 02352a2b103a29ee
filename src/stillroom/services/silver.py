"""What its silver alone would allow a bleach, mole by mole: never what practice allows."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.documents.mixing import MixPart
from stillroom.documents.recipes import Recipe
from stillroom.services.mixing_words import count_text
from stillroom.wetline import chemistry as chem

_PROTONS = {
    "sulfuric acid": 2.0,
    "sodium bisulfate": 1.0,
    "sodium bisulfate monohydrate": 1.0,
    "nitric acid": 1.0,
}
"""Hydrogen ions of a mole of it that can be used up."""
_NO_SULFATE = {"nitric acid"}
"""Baths in which no sulfate keeps silver from staying dissolved."""


def limits_8x10(parts: Sequence[MixPart], volume_ml: float) -> dict[str, float]:
    """8x10 sheets of a whole bath by each limit on its silver, at a usual coating and portrait.

    Parameters
    ----------
    parts : sequence of MixPart
        What goes in.
    volume_ml : float
        The bath [ml].

    Returns
    -------
    dict of str to float
        ``oxidant``, ``acid`` and ``silver sulfate``, as far as the bath has them [1].
    """
    litres = volume_ml / 1000
    lines = [line for part in parts for line in part.lines]
    grams = {line.substance: line.pure_g or line.amount for line in lines}
    oxidant = next((name for name in grams if _is_oxidant(name)), None)
    if oxidant is None:
        return {}
    silver = {"oxidant": chem.oxidant_limit_g_l(oxidant, grams[oxidant] / litres)}
    acid = next((name for name in grams if name in _PROTONS), None)
    if acid is not None:
        moles_l = grams[acid] / chem.mass_g_mol(acid) / litres
        silver["acid"] = chem.acid_limit_g_l(oxidant, moles_l, _PROTONS[acid])
        if acid not in _NO_SULFATE:
            silver["silver sulfate"] = chem.silver_dissolved_g_l(chem.SULFATE_SOLUBILITY_G_L[1])
    return {what: litres * chem.sheets_for_silver(g_l) for what, g_l in silver.items()}


def from_silver(recipe: Recipe, parts: Sequence[MixPart], volume_ml: float) -> str:
    """The same in one sentence; empty for what is no bleach.

    Parameters
    ----------
    recipe : Recipe
        The bath.
    parts, volume_ml
        As `limits_8x10`.
    """
    if recipe.kind != "bleach":
        return ""
    limits = {what: count_text(sheets) for what, sheets in limits_8x10(parts, volume_ml).items()}
    if not limits:
        return ""
    text = f"Reckoned from silver alone, its {recipe.family} would do {limits['oxidant']} sheets"
    if "acid" in limits:
        text += f", its acid {limits['acid']}"
    if "silver sulfate" in limits:
        text += f", and silver sulfate falls out at {limits['silver sulfate']}"
    if recipe.family == "peroxide":
        return f"{text}; silver makes it fall apart long before."
    return f"{text}. No bath gets near that."


def _is_oxidant(name: str) -> bool:
    found = chem.substance(name)
    return (found.group or found.id) in chem.COUPLES
