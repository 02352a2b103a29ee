"""Built-in recipes of baths, read once."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from stillroom.documents.recipes import Recipe, Recipes
from stillroom.errors import UnknownName

KINDS = ("bleach", "clear", "developer", "stop", "fixer", "wash_aid")
"""Kinds of baths, in the order in which they are listed."""


@lru_cache(maxsize=1)
def recipes() -> tuple[Recipe, ...]:
    """Every recipe that comes with the tool.

    Examples
    --------
    >>> recipes()[0].id
    'dichromate-strong'
    """
    text = files("stillroom.services").joinpath("data", "recipes.json").read_bytes()
    return Recipes.model_validate_json(text).recipes


def recipe_called(name: str) -> Recipe:
    """The recipe of that id.

    Raises
    ------
    UnknownName
        If there is none.

    Examples
    --------
    >>> recipe_called("permanganate").warmest_c
    22.0
    """
    known = {recipe.id: recipe for recipe in recipes()}
    if name not in known:
        raise UnknownName("recipe", name, known)
    return known[name]


def sheets_per_litre(recipe: Recipe, paper: str, steps: int = 1) -> float | None:
    """8x10 sheets that a litre is good for; None where nothing says.

    Parameters
    ----------
    recipe : Recipe
        The bath.
    paper : str
        ``rc`` or ``fibre``.
    steps : int
        In how many steps of the line it stands.

    Returns
    -------
    float or None
        [1/L]

    Examples
    --------
    >>> sheets_per_litre(recipe_called("permanganate"), "rc")
    12.0
    >>> sheets_per_litre(recipe_called("mq"), "rc", 2)
    20.0
    """
    passes = recipe.capacity.fibre if paper == "fibre" else recipe.capacity.rc
    if passes is None:
        return None
    return passes / (recipe.capacity.passes_a_sheet * max(steps, 1))
