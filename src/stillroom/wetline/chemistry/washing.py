"""How much of what a sheet carries is left after washing."""

from __future__ import annotations

import math

from stillroom.errors import NotPossible, in_range

FIBRE_RELEASE_MIN = (2.0, 5.0)
"""Time in which the base of fibre paper gives up two thirds of what it holds (common practice, no
source) [min]."""


def left_after_changes(carry_ml: float, volume_ml: float, changes: float) -> float:
    """Share that is left after full changes of water, each stirred until it is even.

    Parameters
    ----------
    carry_ml : float
        What the sheet holds [ml].
    volume_ml : float
        Water of each change [ml].
    changes : float
        How many [1].

    Returns
    -------
    float
        (c / (V + c))^N.

    Examples
    --------
    >>> f"{left_after_changes(10, 500, 3):.2g}"
    '7.5e-06'
    """
    carried = in_range("carry_ml", carry_ml, 0, 1000, "ml")
    water = in_range("volume_ml", volume_ml, 1, 1e6, "ml")
    share = carried / (water + carried)
    return float(share ** in_range("changes", changes, 0, 1000))


def left_after_flow(flow_ml_min: float, minutes: float, volume_ml: float) -> float:
    """Share that is left in a stirred tray with water running through it.

    Parameters
    ----------
    flow_ml_min : float
        Water [ml/min].
    minutes : float
        How long [min].
    volume_ml : float
        What the tray holds [ml].

    Returns
    -------
    float
        exp(-Q t / V).

    Examples
    --------
    >>> round(left_after_flow(1000, 3, 1000), 3)
    0.05
    """
    flow = in_range("flow_ml_min", flow_ml_min, 0, 1e6, "ml/min")
    time = in_range("minutes", minutes, 0, 10_000, "min")
    return math.exp(-flow * time / in_range("volume_ml", volume_ml, 1, 1e6, "ml"))


def changes_for(carry_ml: float, volume_ml: float, share: float) -> int:
    """Full changes until no more than a share is left.

    Parameters
    ----------
    carry_ml, volume_ml : float
        As `left_after_changes` [ml].
    share : float
        What may be left [1].

    Examples
    --------
    >>> changes_for(10, 500, 1e-5)
    3
    """
    wanted = in_range("share", share, 1e-12, 1)
    each = left_after_changes(carry_ml, volume_ml, 1)
    if each == 0 or wanted == 1:
        return 0
    return math.ceil(math.log(wanted) / math.log(each) - 1e-9)


def left_in_fibre(minutes: float, release_min: float) -> float:
    """Share that the base of fibre paper still holds, however often the water is changed.

    Parameters
    ----------
    minutes : float
        Time in water [min].
    release_min : float
        Its time constant, 2 to 5 (common practice, no source) [min].

    Returns
    -------
    float
        exp(-t / constant).

    Examples
    --------
    >>> round(left_in_fibre(20, 5), 3)
    0.018
    """
    time = in_range("minutes", minutes, 0, 10_000, "min")
    return math.exp(-time / in_range("release_min", release_min, 0.1, 100, "min"))


def minutes_for_fibre(share: float, release_min: float) -> float:
    """Time in water until the base holds no more than a share [min].

    Parameters
    ----------
    share : float
        What may be left [1].
    release_min : float
        As `left_in_fibre` [min].

    Raises
    ------
    NotPossible
        If nothing at all may be left.

    Examples
    --------
    >>> round(minutes_for_fibre(0.01, 5))
    23
    """
    if share <= 0:
        raise NotPossible("No washing leaves nothing at all: say a share such as 0.01.")
    wanted = in_range("share", share, 1e-12, 1)
    return -math.log(wanted) * in_range("release_min", release_min, 0.1, 100, "min")
