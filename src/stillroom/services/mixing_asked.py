"""What was typed of a bath, on a page or after a command, made into what is asked."""

from __future__ import annotations

import re
from collections.abc import Mapping

from stillroom.errors import BadValue, NotPossible
from stillroom.services.mixing import Asked, liquid_of
from stillroom.services.recipes import recipe_called
from stillroom.wetline.chemistry import parse_bottle, substance

_VOLUME = re.compile(
    r"^\s*(?P<figure>[-−]?\d*[.,]?\d+)\s*(?P<unit>ml|millilit(?:re|er)s?|l|lit(?:re|er)s?|g|)\s*$",
    re.IGNORECASE,
)


def parse_volume_ml(text: str, name: str = "volume") -> float:
    """Read a volume as people write it; without a unit it is millilitres.

    Parameters
    ----------
    text : str
        ``800ml``, ``1.5 L``, ``0,5 litre``, ``800``.
    name : str
        What it is called in a message.

    Returns
    -------
    float
        [ml]; whether it can be mixed is for whoever mixes it to say.

    Raises
    ------
    BadValue
        If it is no volume.

    Examples
    --------
    >>> parse_volume_ml("1,5 L"), parse_volume_ml("800")
    (1500.0, 800.0)
    """
    found = _VOLUME.match(text)
    if found is None:
        raise BadValue(name, text, "write it like 800ml or 1.5L")
    figure = float(found["figure"].replace("−", "-").replace(",", "."))
    return figure * (1000 if found["unit"].lower().startswith("l") else 1)


def asked_for(
    recipe: str,
    *,
    bottle: str = "",
    density_g_ml: float | None = None,
    forms: Mapping[str, str] | None = None,
    dilution: str = "",
    bisulfate: bool = False,
) -> Asked:
    """How a bath is to be mixed, from what was typed.

    Parameters
    ----------
    recipe : str
        Its id.
    bottle : str
        The label of the acid or peroxide: ``37 %``, ``3 % w/v``, ``nitric acid 65 %``.
    density_g_ml : float, optional
        What the label says besides [g/ml].
    forms : mapping of str to str, optional
        Another form of a salt.
    dilution : str
        Parts, such as ``1+9``.
    bisulfate : bool
        In the place of sulfuric acid.

    Raises
    ------
    UnknownName
        If there is no such recipe or substance.
    BadValue
        If the label cannot be, or a density stands alone.
    NotPossible
        If the recipe takes nothing out of a bottle.
    """
    found = recipe_called(recipe)
    liquid = liquid_of(found)
    stock = None
    if bottle:
        if liquid is None and not re.search(r"[A-Za-z]{4}", bottle):
            raise NotPossible(
                f"{found.name} takes no acid or peroxide out of a bottle: leave the strength out."
            )
        otherwise = "sulfuric acid" if liquid is None else liquid.substance
        stock = parse_bottle(bottle, otherwise, density_g_ml)
    elif density_g_ml is not None:
        raise BadValue(
            "density", density_g_ml, "it goes with the strength of a bottle; say that too"
        )
    named = {
        substance(written).id: substance(bought).id for written, bought in (forms or {}).items()
    }
    return Asked(stock=stock, forms=named, bisulfate=bisulfate, dilution=dilution)
