"""Figures in what the hand turns: dials, wheels, and forecasts with their range."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.documents.answers import Spread
from stillroom.documents.kit import Dial
from stillroom.quantity import THIRD_STOP_MARKS, range_text, stops_text
from stillroom.telling.words import figure

_FRACTIONS = {2: "½", 4: "¼", 8: "⅛"}
MOST_ON_A_WHEEL = 81


def stops_figure(value: float) -> str:
    """Stops from the middle tone in thirds; the middle itself is named.

    Examples
    --------
    >>> stops_figure(0.7), stops_figure(0.05)
    ('+⅔', 'middle')
    """
    text = stops_text(value)
    return "middle" if text == "0" else text


def spread_range(spread: Spread) -> str:
    """The range of a forecast as *±*, or as *from ... to ...* where its sides differ.

    Examples
    --------
    >>> spread_range(Spread(mean=0, sd=0.2, q05=-0.33, q25=-0.1, q50=0, q75=0.1, q95=0.33))
    '±⅓'
    >>> spread_range(Spread(mean=1, sd=1, q05=0, q25=0.5, q50=0.5, q75=1.5, q95=3))
    '0 to +3'
    """
    below, above = spread.q50 - spread.q05, spread.q95 - spread.q50
    if abs(above - below) > 0.5:
        return f"{stops_text(spread.q05)} to {stops_text(spread.q95)}"
    return range_text((below + above) / 2)


def dial_figure(dial: Dial, value: float) -> tuple[str, str]:
    """What a head's own dial shows, and what that number is.

    Parameters
    ----------
    dial : Dial
        The head's scale.
    value : float
        The setting on that scale.

    Returns
    -------
    tuple of str
        Figure and caption.

    Examples
    --------
    >>> dial_figure(Dial(kind="stops"), -1.9)
    ('1.9', 'below full')
    >>> dial_figure(Dial(kind="fraction", min=1 / 64, max=1, step=1 / 64), 0.25)
    ('¼', 'of full')
    >>> dial_figure(Dial(kind="energy", min=15, max=600, step=5), 300)
    ('300', 'W·s')
    """
    if dial.kind == "energy":
        return figure(value), "W·s"
    if dial.kind == "fraction":
        return ("full", "on the dial") if value >= 1 else (_fraction(value), "of full")
    if abs(value) < dial.step / 2:
        return "full", "on the dial"
    digits = max(0, min(2, -math.floor(math.log10(dial.step) + 1e-9)))
    return f"{abs(value):.{digits}f}", "below full" if value < 0 else "above full"


def _fraction(value: float) -> str:
    if value > 0 and math.isclose(n := round(1 / value), 1 / value, rel_tol=0.02):
        return _FRACTIONS.get(n, f"1/{n}")
    return f"{value:.2f}"


def wheel(low: float, high: float, step: float, at: float) -> tuple[float, ...]:
    """The values a wheel offers: every step near the present one, a thinned choice further off.

    Parameters
    ----------
    low, high, step : float
        Scale of the knob [its own unit]; `step` above 0.
    at : float
        Where it stands now; always among the values.

    Returns
    -------
    tuple of float
        Ascending, at most 82 values.

    Examples
    --------
    >>> wheel(-0.3, 0.0, 0.1, -0.2)
    (-0.3, -0.2, -0.1, 0.0)
    >>> len(wheel(1, 1200, 1, 600)) <= 82
    True
    """
    first, last = round(low / step), round(high / step)
    here = min(max(round(at / step), first), last)
    span = last - first
    if span < MOST_ON_A_WHEEL:
        marks = set(range(first, last + 1))
    else:
        near = MOST_ON_A_WHEEL // 4
        marks = set(range(max(first, here - near), min(last, here + near) + 1))
        far = MOST_ON_A_WHEEL - len(marks)
        marks |= {first + round(span * i / (far - 1)) for i in range(far)}
    values = {min(high, max(low, round(mark * step, 9))) for mark in marks}
    if not any(math.isclose(at, v, abs_tol=step / 4) for v in values):
        values.add(at)
    return tuple(sorted(values))


def third_stop_marks(at: float, stops_each_way: float = 3.0) -> tuple[float, ...]:
    """Marks of a meter's f-scale round a reading, smallest f-number first.

    Examples
    --------
    >>> third_stop_marks(8.0, 0.4)
    (7.1, 8.0, 9.0)
    """
    av = THIRD_STOP_MARKS.get(at, 2 * math.log2(at))
    return tuple(
        mark
        for mark, mark_av in sorted(THIRD_STOP_MARKS.items(), key=lambda pair: pair[1])
        if abs(mark_av - av) <= stops_each_way + 1e-9
    )


def nearest_mark(at: float) -> float:
    """The third-stop mark a meter would show.

    Examples
    --------
    >>> nearest_mark(11.9), nearest_mark(4.1)
    (11.0, 4.0)
    """
    av = 2 * math.log2(at)
    return min(THIRD_STOP_MARKS, key=lambda mark: abs(THIRD_STOP_MARKS[mark] - av))


def listed(names: Sequence[str], last: str = "and") -> str:
    """Names in a sentence.

    Examples
    --------
    >>> listed(["A"]), listed(["A", "B"]), listed(["A", "B", "C"])
    ('A', 'A and B', 'A, B and C')
    """
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"
