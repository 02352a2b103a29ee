"""What is known on one camera and counts on another, and what does not."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from stillroom.advice import Table
from stillroom.belief import exposures, still_stops, with_veil
from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.to_domain import named
from stillroom.documents.ways import Carried
from stillroom.exposure import BareSettings
from stillroom.quantity import NINE_IN_TEN, range_text
from stillroom.services.ways.asked import Other
from stillroom.services.ways.limits import Limits
from stillroom.services.ways.search import Exact
from stillroom.services.ways.words import head_called
from stillroom.sitter import region_name

WORTH_STOPS = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class InUse:
    """What is believed on the camera in use.

    Attributes
    ----------
    table : Table
        On its layout.
    settings : BareSettings
        How it stands.
    key : str
        Role of the key light.
    """

    table: Table
    settings: BareSettings
    key: str


def carried(other: Other, in_use: InUse, limits: Limits, way: Exact) -> tuple[Carried, ...]:
    """What carries over to the other camera, and what does not, with ranges.

    Parameters
    ----------
    other : Other
        Both cameras.
    in_use : InUse
        What is believed on the camera in use.
    limits : Limits
        For what is not known of the back.
    way : Exact
        The way that stands first: what is new in it is told.
    """
    found = [_chain(other, in_use)]
    sitting = other.in_use.sitting
    if other.other.sitting.paper != sitting.paper:
        found.append(
            Carried(
                what="paper",
                carries=False,
                range_stops=_nine(_sd_of(way, f"paper/{other.other.sitting.paper}/speed")),
                text="The speed of another paper, as far as its own sheets tell.",
            )
        )
    found.append(_lens(other, way))
    flare = _flare(way)
    if flare is not None:
        found.append(flare)
    back = NINE_IN_TEN * limits.back_sd_mm
    same = other.other.camera.id == other.in_use.camera.id
    found.append(
        Carried(
            what="back",
            carries=same,
            range_stops=None,
            range_mm=back,
            text=(
                f"Its back: where the sheet stands behind the glass is known to ±{back:.0f} mm "
                "at the eye, until it is checked."
            ),
        )
    )
    found += _new_things(other.book, way)
    return tuple(found)


def _chain(other: Other, in_use: InUse) -> Carried:
    """The light of the key on its region, from lamp to paper, in the camera in use."""
    table, settings, key = in_use.table, in_use.settings, in_use.key
    region = table.aimed[0] if table.aimed else table.layout.regions[0]
    region = "key" if "key" in table.layout.regions else region
    row, column = table.layout.regions.index(region), table.layout.roles.index(key)
    still = still_stops(table.states, table.layout)
    stops = np.log2(exposures(table.states, table.layout, settings, still)[:, 0, row, column])
    half = _nine(float(stops.std()))
    paper = (
        "this paper" if other.other.sitting.paper == other.in_use.sitting.paper else "its paper"
    )
    return Carried(
        what="chain",
        carries=True,
        range_stops=half,
        text=(
            f"The chain of the key light with {paper} at the {region_name(region).lower()}, "
            f"{range_text(half)}."
        ),
    )


def _lens(other: Other, way: Exact) -> Carried:
    lens = other.other.lens
    half = _nine(_sd_of(way, f"lens/{lens.id}/transmission"))
    same = lens.id == other.in_use.lens.id
    name = lens.name or lens.id
    text = f"The glass of the {name}, {range_text(half)}" if half >= WORTH_STOPS else f"The {name}"
    return Carried(
        what="lens",
        carries=same,
        range_stops=half,
        text=f"{text}." if same else f"{text}, till the first piece or sheet.",
    )


def _flare(way: Exact) -> Carried | None:
    """How far the veil that lands everywhere leaves the darkest aimed tone open."""
    table = way.odds
    if table.layout.veil is None or not table.aimed:
        return None
    light = exposures(table.states, table.layout, way.settled.settings)[:, 0].sum(axis=2)
    veiled = with_veil(table.states, table.layout, light)
    lift = np.log2(veiled / np.maximum(light, 1e-30))[:, table.rows]
    at = int(lift.std(axis=0).argmax())
    half = _nine(float(lift[:, at].std()))
    return Carried(
        what="flare",
        carries=False,
        range_stops=half,
        text=(
            f"Its flare, worth {range_text(half)} at the {region_name(table.aimed[at]).lower()}."
        ),
    )


def _new_things(book: doc.Book, way: Exact) -> list[Carried]:
    found = []
    for role in way.lit.together[1:]:
        light = next(x for x in way.lit.lights if x.role == role)
        head: kit.Head = named("head", light.kit_id or "", (*book.kit.heads, *way.lit.hired))
        half = _nine(_sd_of(way, f"head/{head.id}/output"))
        called = "The hired head" if head.is_hired else f"Head {head_called(head)}"
        found.append(
            Carried(
                what="second_head",
                carries=False,
                range_stops=half,
                text=f"{called} in the same modifier, {range_text(half)} by itself.",
            )
        )
    for less in way.lit.modifiers:
        half = _nine(_sd_of(way, f"modifier/{less.id}/loss"))
        found.append(
            Carried(
                what="cloth",
                carries=False,
                range_stops=half,
                text=f"What a cloth less gives, {range_text(half)}.",
            )
        )
    return found


def _sd_of(way: Exact, term: str) -> float:
    index = way.odds.layout.index
    if term not in index:
        return 0.0
    return float(way.odds.states.theta[:, index[term]].std())


def _nine(sd: float) -> float:
    return NINE_IN_TEN * sd if math.isfinite(sd) else 0.0
