"""The answer about contrast of one sitting: how far apart, what the paper holds, what helps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stillroom.advice import Search, Table, how_it_stands
from stillroom.documents import book as doc
from stillroom.documents.contrast import Contrast, StopsRange
from stillroom.errors import NotPossible
from stillroom.quantity import FloatArray, Stops
from stillroom.services.advising import policy_at
from stillroom.services.contrast import Fitting, apart_by
from stillroom.services.contrast_words import apart_sentence
from stillroom.services.remembered import BeliefMemo
from stillroom.services.worktable import worktable


def contrast(
    book: doc.Book,
    sitting_id: str,
    settings: doc.Settings | None = None,
    *,
    memo: BeliefMemo | None = None,
) -> Contrast:
    """How far two aims of a sitting lie apart, what the paper holds, and what helps.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings, optional
        How the next sheet would be set; left out, what is likeliest to land is searched for.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    Contrast

    Raises
    ------
    UnknownName
        If the sitting or something it names is not in the book.
    NotPossible
        If fewer than two regions are aimed.
    """
    table = worktable(book, sitting_id, memo=memo)
    sitting, standing, posterior = table.sitting, table.standing(), table.posterior()
    policy = policy_at(table)
    layout = posterior.layout
    begun = bool(sitting.sheets) or sitting.stands is not None
    stands = how_it_stands(layout, table.bare_settings(standing) if begun else None)
    odds, fresh = Table(posterior.states(), layout), not sitting.sheets
    if len(odds.aimed) < 2:
        raise NotPossible(
            f"Sitting {sitting.id} has fewer than two aims, so none lies apart from another: aim "
            "a second region."
        )
    if settings is None:
        best = Search(odds, stands, policy, fresh=fresh).best().settings
    else:
        best = replace(table.bare_settings(settings), steps_pops=None)
    apart = apart_by(odds, best)
    assert apart is not None  # noqa: S101 - two are aimed
    fitting = Fitting(
        table,
        standing,
        odds_table=odds,
        posterior=posterior,
        stands=stands,
        policy=policy,
        fresh=fresh,
    )
    return Contrast(
        sitting=sitting.id,
        paper=table.paper.id,
        lighter=apart.lighter,
        darker=apart.darker,
        aims_apart_stops=apart.aims_stops,
        light_apart_stops=_range(apart.light_stops),
        held=_range(apart.held_stops),
        beyond_stops=apart.beyond_stops,
        darker_fits_stops=apart.darker_fits_stops,
        settings=table.document_settings(best, standing),
        p_keeper=odds.odds(best).p_keeper,
        ways=fitting.ways(apart),
        sentence=apart_sentence(
            apart.lighter,
            apart.darker,
            apart.asked_stops,
            _spread(apart.held_stops),
            by_light=apart.asked_stops > apart.aims_stops,
        ),
    )


def _range(values: FloatArray) -> StopsRange:
    low, high = np.quantile(values, (0.05, 0.95))
    return StopsRange(mean=float(values.mean()), q05=float(low), q95=float(high))


def _spread(values: FloatArray) -> Stops:
    return Stops(float(values.mean()), float(values.std()))
