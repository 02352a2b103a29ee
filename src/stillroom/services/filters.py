"""A filter of the kit as a ledger takes it: for one paper, in the light of one sitting."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from stillroom.camera import Lens
from stillroom.documents import book as doc
from stillroom.documents.filters import Filter
from stillroom.documents.kit import Kit
from stillroom.documents.on_lens import check_goes_with
from stillroom.documents.to_domain import named
from stillroom.exposure import BareFilter
from stillroom.light import light_of_kind
from stillroom.paper import FilterEffect, PaperBatch, contrast_filter
from stillroom.quantity.spectra import PaperResponse, Spectrum

MAIN_ROLE = "key"
"""The light a filter is reckoned in, where it is lit; else the first that is."""
LEAST_LOSS_SD_STOPS = 0.1
LEAST_CONTRAST_LOG_SD = 0.05
"""Filters of one grade are not alike even where the law says that they hardly do anything
(invented)."""
OTHER_LOSS_SD_STOPS = 0.2
OTHER_CONTRAST_LOG_SD = 0.1
"""Of a filter without a grade, where nothing is said of it (invented)."""


class Seen(NamedTuple):
    """What sees the light: a paper as the document and as the engine have it, through a lens."""

    paper: doc.Paper
    batch: PaperBatch
    lens: Lens


def lens_filter(kit: Kit, filter_id: str, sees: Seen, lights: Sequence[doc.Light]) -> BareFilter:
    """A filter on the lens of a sitting.

    Parameters
    ----------
    kit : Kit
        Whose filter it is.
    filter_id : str
        Which one.
    sees : Seen
        The paper behind it, and the lens it hangs on.
    lights : sequence of Light
        Those that are lit.

    Returns
    -------
    BareFilter
        Numbers of the filter; those it leaves out from its grade, for this paper through this
        lens in the main light.

    Raises
    ------
    UnknownName
        If the kit has no such filter.
    BadValue
        If a contrast filter meets graded paper.
    """
    model = named("filter", filter_id, kit.filters)
    check_goes_with(model, sees.paper, "what is set")
    return stated(model, by_grade(model, kit, sees, lights), sees.batch)


def by_grade(
    model: Filter, kit: Kit, sees: Seen, lights: Sequence[doc.Light]
) -> FilterEffect | None:
    """What a filter of that grade does to a paper in the main light; None without a grade."""
    if model.grade is None:
        return None
    kind = main_kind(kit, lights)
    return _effect(model.grade, kind, sees.lens.passes, sees.batch.sees)


@lru_cache(maxsize=64)
def _effect(grade: int, kind: str, lens: Spectrum, response: PaperResponse) -> FilterEffect:
    return contrast_filter(grade, light_of_kind(kind), [lens], response)


def main_kind(kit: Kit, lights: Sequence[doc.Light]) -> str:
    """The kind of light that carries the picture, as `light_of_kind` calls it.

    Examples
    --------
    >>> main_kind(Kit(), [doc.Light(role="sky", kind="window", metered_lx=90)])
    'daylight'
    """
    if not lights:
        return "other"
    main = next((x for x in lights if x.role == MAIN_ROLE), lights[0])
    if main.kind == "lamp":
        return named("lamp", main.kit_id or "", kit.lamps).kind
    return {"head": "flash", "room": "other"}.get(main.kind, "daylight")


def stated(model: Filter, found: FilterEffect | None, batch: PaperBatch) -> BareFilter:
    """A filter's own numbers, those it leaves out from what its grade does."""
    loss, loss_sd = model.loss_stops or 0.0, OTHER_LOSS_SD_STOPS
    log, log_sd = 0.0, 0.0 if batch.response == "graded" else OTHER_CONTRAST_LOG_SD
    if found is not None:
        loss, loss_sd = found.loss.value, max(found.loss.u, LEAST_LOSS_SD_STOPS)
        log = math.log(found.contrast_factor)
        log_sd = max(found.contrast_log_sd, LEAST_CONTRAST_LOG_SD)
    return BareFilter(
        model.id,
        _first(model.loss_stops, loss),
        _first(model.loss_sd_stops, loss_sd),
        _first(model.contrast_log, log),
        _first(model.contrast_log_sd, log_sd),
    )


def _first(said: float | None, otherwise: float) -> float:
    return otherwise if said is None else said
