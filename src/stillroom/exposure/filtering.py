"""What a filter on the lens and a pre-flash add to a ledger: lines, and the terms they name.

A filter stands between every light and the paper. What it takes and what it does to the contrast
hang on paper and light, so they stand in the ledger as fixed figures; what is learned of the
filter is how far it is off from them, on whatever paper.

A pre-flash never passes the lens. How strong it is was found by test, as so many stops below the
mid-tone of that paper: the paper's speed is in that figure already, and does not count again.
The test was made in baths as they usually are, so weaker baths take from it what they take from
all light, once.
"""

from __future__ import annotations

from collections.abc import Callable

from stillroom.exposure.bare import BareFilter, BareKit, BareSitting, BareSource
from stillroom.exposure.chain import Chain, named
from stillroom.exposure.terms import Life, Stage, Term


def filter_on(kit: BareKit, sitting: BareSitting) -> BareFilter | None:
    """The filter on the lens of a sitting, if there is one.

    Raises
    ------
    UnknownName
        If the kit does not have it.
    """
    if sitting.filter is None:
        return None
    return named("filter", sitting.filter, {x.id: x for x in kit.filters})


def contrast_term(found: BareFilter, called: str) -> Term:
    """How far a filter is off in contrast (natural log)."""
    name = f"filter/{found.id}/contrast"
    label = f"how far the contrast with {called} is off (log)"
    return Term(name, label, 0.0, found.contrast_log_sd, Life.KIT, "filter")


def through_filter(chain: Chain, found: BareFilter, called: str) -> None:
    """Add what a filter takes, and how far that is off."""
    chain.fixed(Stage.CAMERA, called, -found.loss_stops, "filter")
    label = f"how far the loss of {called} is off"
    off = Term(f"filter/{found.id}/loss", label, 0.0, found.loss_sd_stops, Life.KIT, "filter")
    chain.term(Stage.CAMERA, off, -1.0)


def pre_flash_level(
    chain: Chain, source: BareSource, paper_id: str, name_of: Callable[[str, str], str]
) -> None:
    """Add a level from the mid-tone of the paper it was found on, and how far it is off."""
    known = "test on this paper"
    chain.fixed(Stage.PAPER, "pre-flash, from the mid-tone", source.log2_lx or 0.0, known)
    label = f"how far the pre-flash on {name_of('paper', paper_id)} is off"
    name = f"preflash/{paper_id}/level"
    chain.term(Stage.PAPER, Term(name, label, 0.0, source.sd_stops, Life.PAPER, known))
