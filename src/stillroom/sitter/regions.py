"""The named parts of the picture."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import BadValue, in_range
from stillroom.sitter.skin import REFLECTANCE_RANGE, SKIN_REFLECTANCE


@dataclass(frozen=True, slots=True)
class Region:
    """A named part of the picture.

    Parameters
    ----------
    id : str
        Name in documents.
    name : str
        Name on pages.
    reflectance : float
        Default reflectance in the paper's band [1], 0.005 to 1; a skin region takes its
        sitter's skin instead.
    sd_stops : float
        Standard uncertainty of that default [stops], 0 to 3.
    is_skin : bool
        Whether the sitter's skin stands for it.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> REGIONS["key"].is_skin
    True
    """

    id: str
    name: str
    reflectance: float
    sd_stops: float
    is_skin: bool = False

    def __post_init__(self) -> None:
        in_range("reflectance", self.reflectance, *REFLECTANCE_RANGE)
        in_range("uncertainty of reflectance", self.sd_stops, 0.0, 3.0, "stops")


_SKIN = SKIN_REFLECTANCE["unknown"]
_ALL = (  # reflectances and uncertainties are invented, for paper that sees blue only
    Region("key", "Key cheek", _SKIN, 0.7, is_skin=True),
    Region("shadow", "Shadow cheek", _SKIN, 0.7, is_skin=True),
    Region("forehead", "Forehead", _SKIN, 0.7, is_skin=True),
    Region("rim", "Rim edge", 0.15, 0.7),
    Region("hair", "Hair", 0.04, 0.8),
    Region("cloth", "Clothing", 0.12, 1.0),
    Region("bg", "Ground", 0.10, 0.8),
)
REGIONS: dict[str, Region] = {region.id: region for region in _ALL}
"""Id to region, in the order they are listed on pages."""


def region_name(region_id: str) -> str:
    """Return the name of a region on pages.

    Parameters
    ----------
    region_id : str
        Id of a region, or a name the user added.

    Returns
    -------
    str
        Trade name, or the user's own name as it stands, with a capital.

    Raises
    ------
    BadValue
        If the id is empty.

    Examples
    --------
    >>> region_name("bg"), region_name("left hand")
    ('Ground', 'Left hand')
    """
    if region_id in REGIONS:
        return REGIONS[region_id].name
    own = region_id.strip().replace("_", " ")
    if not own:
        raise BadValue("region", region_id, "give it a name")
    return own[0].upper() + own[1:]
