"""Aims to start from: three looks, or a sheet she loves."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from stillroom.documents.book import (
    Aim,
    Book,
    Paper,
    RegionReading,
    Sheet,
    Sitter,
    Sitting,
)
from stillroom.errors import NotPossible, UnknownName
from stillroom.services.marks import sheet_marked
from stillroom.services.readings import best_regions
from stillroom.sitter import REGIONS, SKIN_REFLECTANCE

# Placements are invented: a face lit from one side on a dark, a middle and a light ground, kept
# within the five stops that a paper of normal contrast holds.
_STOPS = {
    "low": ("Low key", {"key": 1 / 3, "shadow": -5 / 3, "rim": 5 / 3, "bg": -8 / 3}),
    "middle": ("Middle key", {"key": 2 / 3, "shadow": -2 / 3, "rim": 5 / 3, "bg": -4 / 3}),
    "high": ("High key", {"key": 1.0, "shadow": 1 / 3, "rim": 2.0, "bg": 4 / 3}),
}
_TOL_STOPS = {"key": 1 / 3, "shadow": 1 / 2, "rim": 1.0, "bg": None}
_EYE_TOL_DENSITY = {"key": 0.15, "shadow": 0.22}
_OWN_LIGHT = {"rim": "rim", "bg": "ground"}  # without a light of its own no hand can turn it


@dataclass(frozen=True, slots=True)
class Look:
    """One look to start from.

    Parameters
    ----------
    id : str
        ``low``, ``middle`` or ``high``.
    name : str
        What a page calls it.
    aims : dict
        Region to aim; face regions against the sitter's own skin. The ground is shown, not
        aimed at, until a light is turned on it.
    """

    id: str
    name: str
    aims: dict[str, Aim]


def _look(look_id: str) -> Look:
    name, stops = _STOPS[look_id]
    return Look(
        look_id,
        name,
        {
            region: Aim(
                placement_stops=placement,
                relative_to="skin" if REGIONS[region].is_skin else "paper",
                tol_stops=_TOL_STOPS[region],
                eye_tol_density=_EYE_TOL_DENSITY.get(region, 0.22),
            )
            for region, placement in stops.items()
        },
    )


LOOKS: dict[str, Look] = {look_id: _look(look_id) for look_id in _STOPS}
"""Id to look, from dark to light."""


def aims_of_look(look_id: str, roles: Collection[str]) -> dict[str, Aim]:
    """Aims of a look for a set with certain lights.

    Parameters
    ----------
    look_id : str
        ``low``, ``middle`` or ``high``.
    roles : collection of str
        Roles of the lights; a rim edge is aimed at only where a light of its own makes one, and
        the ground too.

    Returns
    -------
    dict
        Region to aim.

    Raises
    ------
    UnknownName
        If there is no such look.

    Examples
    --------
    >>> list(aims_of_look("low", ["key", "rim"]))
    ['key', 'shadow', 'rim', 'bg']
    """
    if look_id not in LOOKS:
        raise UnknownName("look", look_id, LOOKS)
    aims = dict(LOOKS[look_id].aims)
    if _OWN_LIGHT["rim"] not in roles:
        del aims["rim"]
    if _OWN_LIGHT["bg"] in roles:
        aims["bg"] = aims["bg"].model_copy(update={"tol_stops": 1.0})
    return aims


def reflectance_of(sitter: Sitter | None) -> float:
    """Skin of a sitter as the paper sees it, as far as it is known [1]."""
    if sitter is None:
        return SKIN_REFLECTANCE["unknown"]
    if sitter.skin.actinic_reflectance is not None:
        return sitter.skin.actinic_reflectance
    return SKIN_REFLECTANCE[sitter.skin.guess or "unknown"]


def first_sitter(book: Book, sitting: Sitting) -> Sitter | None:
    """Whose skin a sitting's face aims are kept against: the first sitter."""
    named = sitting.sitters[0] if sitting.sitters else None
    return next((sitter for sitter in book.sitters if sitter.id == named), None)


def aims_like_sheet(book: Book, sitting: Sitting, mark: str) -> dict[str, Aim]:
    """Aims of a sitting after a sheet: what it read becomes the aim.

    A region read as a density aims at that density, a face region against the skin of that
    sheet's sitter. A region read *as wanted* keeps the aim it had there. Every other region keeps
    the aim this sitting has.

    Parameters
    ----------
    book : Book
        The book.
    sitting : Sitting
        The sitting whose aims are set.
    mark : str
        Mark of the sheet, such as ``OM 3``.

    Returns
    -------
    dict
        Region to aim.

    Raises
    ------
    UnknownName
        If no sheet has the mark.
    NotPossible
        If nothing on the sheet can be aimed at.
    """
    there, sheet = sheet_marked(book, mark, sitting)
    skin = reflectance_of(first_sitter(book, there))
    paper = next(paper for paper in book.papers if paper.id == sitting.paper)
    aims = dict(sitting.aims)
    taken = 0
    for region, seen in wanted_of(sheet).items():
        wanted = _aim_of(region, seen, there.aims, skin, paper)
        if wanted is not None:
            tolerant = sitting.aims.get(region) or there.aims.get(region)
            if tolerant is not None:
                same = {
                    "tol_stops": tolerant.tol_stops,
                    "eye_tol_density": tolerant.eye_tol_density,
                }
                wanted = wanted.model_copy(update=same)
            aims[region] = wanted
            taken += 1
    if not taken:
        raise NotPossible(
            f"{mark} has no density and nothing read as wanted: read it by the strip or a scan "
            "first, then aim like it."
        )
    return aims


def wanted_of(sheet: Sheet) -> dict[str, RegionReading]:
    """What each region of a plain sheet shows: its density, else that it was as wanted."""
    found: dict[str, RegionReading] = {}
    for usable in (_has_density, _is_as_wanted):
        parts = tuple(
            reading.model_copy(
                update={"regions": {k: v for k, v in reading.regions.items() if usable(v)}}
            )
            for reading in sheet.readings
        )
        for _, regions in best_regions(parts):
            found = {**regions, **found}
    return found


def _has_density(seen: RegionReading) -> bool:
    return seen.density is not None


def _is_as_wanted(seen: RegionReading) -> bool:
    return seen.verdict == "as_wanted"


def _aim_of(
    region: str, seen: RegionReading, there: Mapping[str, Aim], skin: float, paper: Paper
) -> Aim | None:
    face = region in REGIONS and REGIONS[region].is_skin
    if seen.density is not None:
        # What read beyond the paper's black or white is its black or white.
        within = min(max(seen.density, paper.dmin), paper.dmax)
        if face:
            return Aim(density=within, relative_to="skin", for_reflectance=skin)
        return Aim(density=within)
    if region not in there:
        return None
    aim = there[region]
    if aim.relative_to == "skin" and aim.for_reflectance is None:
        return aim.model_copy(update={"for_reflectance": skin})
    return aim
