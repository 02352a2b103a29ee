"""Contrast in sentences: how far apart, what the paper takes, what each way does and costs."""

from __future__ import annotations

from stillroom.paper import FillWay, FilterWay, PreFlashWay, Way
from stillroom.paper.contrast import WORTH_STOPS
from stillroom.quantity import NINE_IN_TEN, Stops, range_text, stops_decimal_text, stops_text
from stillroom.services.reasons import size
from stillroom.sitter import region_name

EQUAL_STOPS = 1 / 6
"""What prints as nothing in thirds."""


def thirds(stops: float) -> str:
    """A size in thirds, without its sign.

    Examples
    --------
    >>> thirds(3.4), thirds(-0.35), thirds(0.1)
    ('3⅓', '⅓', '0')
    """
    return stops_text(abs(stops)).lstrip("+")


def apart_sentence(
    lighter: str, darker: str, apart_stops: float, held: Stops, *, by_light: bool
) -> str:
    """How far two regions lie apart, and what the paper takes with its range.

    Examples
    --------
    >>> apart_sentence("key", "shadow", 3.5, Stops(3.0, 0.3), by_light=False)
    'Key cheek and shadow cheek are wanted 3⅔ stops apart, this paper takes 3 (±½).'
    >>> apart_sentence("key", "shadow", 2.0, Stops(4.0, 0.3), by_light=False)
    'Key cheek and shadow cheek are wanted 2 stops apart, this paper takes 4 (±½): they fit.'
    """
    names = f"{region_name(lighter)} and {region_name(darker).lower()}"
    start = (
        f"By the light {names[0].lower()}{names[1:]} are" if by_light else f"{names} are wanted"
    )
    fits = ": they fit" if apart_stops - held.value < WORTH_STOPS else ""
    spread = range_text(NINE_IN_TEN * held.u)
    return (
        f"{start} {thirds(apart_stops)} stops apart, this paper takes "
        f"{thirds(held.value)} ({spread}){fits}."
    )


def way_text(
    way: Way, darker: str, held_stops: float, called: str, aim_stops: float | None = None
) -> str:
    """What one way is, what it does, and what it costs.

    Parameters
    ----------
    way : Way
        The way.
    darker : str
        The region that is too dark for the paper.
    held_stops : float
        What the paper then holds [stops].
    called : str
        Name of the filter, where it is one.
    aim_stops : float, optional
        Where the region is then to be aimed, where that is not where it is aimed now [stops].

    Examples
    --------
    >>> from stillroom.paper import ways_to_fit
    >>> fill, flash = ways_to_fit(5.0, 4.0, light_end_stops=2.5)
    >>> print(way_text(fill, "key", 4.0, ""))
    A card or lamp that adds as much light as the key cheek has: it lifts it by 1, keeping detail.
    """
    region = region_name(darker).lower()
    match way:
        case FillWay():
            said = (
                f"A card or lamp that adds {_over(way.fill_stops, region)}: it lifts it by "
                f"{size(way.lift_stops)}, keeping detail"
            )
        case PreFlashWay():
            below = stops_decimal_text(way.below_mid_stops, 1).lstrip("+")
            said = (
                f"A pre-flash {below} stops below the mid-tone, found by test on this paper: it "
                f"lifts the {region} by {size(way.lift_stops)}, and differences there keep "
                f"{_strength(way.detail_share)}"
            )
        case FilterWay() if called:
            said = (
                f"{called[:1].upper()}{called[1:]} on the lens: the paper takes "
                f"{thirds(held_stops)}, differences keep {_strength(way.detail_share)}"
            )
        case _:
            said = f"The filter off the lens: the paper takes {thirds(held_stops)}"
    aim = "" if aim_stops is None else f"; aim it at {stops_text(aim_stops)} then"
    return f"{said}{_costs(way.cost.value)}{_left(way.beyond.value)}{aim}."


def _strength(share: float) -> str:
    return "nearly all their strength" if share > 0.95 else f"{share:.1f} of their strength"


def _over(fill_stops: float, region: str) -> str:
    if abs(fill_stops) < EQUAL_STOPS:
        return f"as much light as the {region} has"
    more = "more" if fill_stops > 0 else "less"
    return f"{thirds(fill_stops)} {more} than the {region} has"


def _costs(stops: float) -> str:
    if abs(stops) < EQUAL_STOPS:
        return ""
    return f"; it {'costs' if stops > 0 else 'saves'} {thirds(stops)} of light"


def _left(stops: float) -> str:
    return "" if stops < EQUAL_STOPS else f"; {thirds(stops)} is still left over"
