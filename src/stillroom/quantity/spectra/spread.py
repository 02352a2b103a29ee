"""A shift and how sure it is, and the EI to set on an ordinary meter."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from stillroom.errors import BadValue, in_range
from stillroom.quantity.spectra.actinic import actinic_shift_stops
from stillroom.quantity.spectra.named import KINDS, Light, light_named
from stillroom.quantity.spectra.response import PaperResponse
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.stops import Stops, ratio_of_stops

TUBE_LINE_NM = 365.0
TUBE_LINE_MOST_STOPS = 0.2
"""What the line at 365 nm, which the tables lack, may add to a tube: 0 to this [stops]."""
UNKNOWN_SD_STOPS = 3.0
"""Spread where a slightly other curve would see nothing of the light (invented)."""
EI_RANGE = (0.01, 3200.0)
LUX_RANGE_LX = (1e-6, 1e6)


def shift_with_spread(
    light: Light, response: PaperResponse, through: Sequence[Spectrum] = ()
) -> Stops:
    """Return how much more a paper gets from a light than a meter says, and how sure that is.

    Parameters
    ----------
    light : Light
        The light at the meter.
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        What stands between the meter and the paper: the lens, a filter on it.

    Returns
    -------
    Stops
        Shift against CIE D55, with one sigma [stops].

    Raises
    ------
    BadValue
        If the light gives the eye nothing, or the paper.

    Notes
    -----
    Three things add up: how well a table stands for the lamp, how well the curve for the paper
    (moved along the wavelengths, and with more or less ultraviolet, by its own spreads), and for
    tubes a line at 365 nm that their tables lack: 0 to 0.2 stop, all alike, as far as glass and
    lens let it pass.

    References
    ----------
    JCGM 100:2008, 4.3.7, for the spread of what lies evenly between two bounds (from memory).

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, light_named
    >>> shift_with_spread(light_named("flash"), GRADED).text()
    '+0.54 ± 0.33'
    """
    line, line_sd = _missing_line(light, through)

    def shift(by: PaperResponse) -> float:
        return actinic_shift_stops(light.at_meter, by, through)

    spread = math.hypot(KINDS[light.kind].sd_stops, line_sd, spread_over_curve(shift, response))
    return Stops(shift(response) + line, spread)


def shift_between(
    light: Light,
    known_under: Light,
    response: PaperResponse,
    through: Sequence[Spectrum] = (),
    known_through: Sequence[Spectrum] = (),
) -> Stops:
    """Return the shift of one light against that of another, and how sure that is.

    Parameters
    ----------
    light : Light
        The light at the meter now.
    known_under : Light
        The light under which something was found out.
    response : PaperResponse
        What the paper sees.
    through, known_through : sequence of Spectrum
        What stands between meter and paper now, and what stood there then.

    Returns
    -------
    Stops
        Difference of the two shifts, with one sigma [stops].

    Raises
    ------
    BadValue
        If a light gives the eye nothing, or the paper.

    Notes
    -----
    What is not known of the curve cancels as far as the two lights are alike; two lamps of one
    name count as the same lamp.

    References
    ----------
    As `shift_with_spread`.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, light_named
    >>> flash = light_named("flash")
    >>> shift_between(flash, flash, GRADED).text()
    '0.00'
    """
    (line, line_sd), (line_then, line_sd_then) = (
        _missing_line(light, through),
        _missing_line(known_under, known_through),
    )

    def difference(by: PaperResponse) -> float:
        now = actinic_shift_stops(light.at_meter, by, through)
        return now - actinic_shift_stops(known_under.at_meter, by, known_through)

    spreads = [spread_over_curve(difference, response)]
    if light.spectrum.name != known_under.spectrum.name:
        kinds = (KINDS[light.kind], KINDS[known_under.kind])
        spreads += [*(kind.sd_stops for kind in kinds), line_sd, line_sd_then]
    return Stops(difference(response) + line - line_then, math.hypot(*spreads))


def spread_over_curve(figure: Callable[[PaperResponse], float], response: PaperResponse) -> float:
    """Return how much a figure changes when the paper's curve changes by its own spreads.

    Parameters
    ----------
    figure : callable
        What is worked out from a response, in stops or as a logarithm; it may refuse a paper that
        sees nothing of the light.
    response : PaperResponse
        What the paper sees, with how far off it may be.

    Returns
    -------
    float
        One sigma [as the figure]; `UNKNOWN_SD_STOPS` for a paper that would see nothing.

    References
    ----------
    JCGM 100:2008, 5.1.2 (from memory), with half the difference for each of the two slopes.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED
    >>> spread_over_curve(lambda paper: 1.0, GRADED)
    0.0
    """
    edge, ultraviolet = response.edge_sd_nm, response.ultraviolet_sd_stops
    changes = [
        [response.moved(by) for by in (-edge, edge)],
        [response.with_ultraviolet(by) for by in (-ultraviolet, ultraviolet)],
    ]
    return math.hypot(*(_half_way_apart(figure, both) for both in changes))


def ei_for_light(
    ei: float,
    light: Light,
    response: PaperResponse,
    through: Sequence[Spectrum] = (),
    *,
    known_under: Light | None = None,
    known_through: Sequence[Spectrum] = (),
) -> float:
    """Return the EI to use with an ordinary meter under a light.

    Parameters
    ----------
    ei : float
        EI of the paper as it is known [1], 0.01 to 3200.
    light : Light
        The light at the meter now.
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        What stands between meter and paper now: the lens, a filter.
    known_under : Light, optional
        The light under which the EI was found; D55 when left out.
    known_through : sequence of Spectrum
        What stood between meter and paper then: an EI found through a lens holds that lens.

    Returns
    -------
    float
        ``ei 2**shift_between`` [1].

    Raises
    ------
    OutOfRange
        If the EI lies outside its range.
    BadValue
        If a light gives the eye nothing, or the paper.

    References
    ----------
    Ours: EI = 10 / H of the mid-tone, with H in actinic lux-seconds.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED
    >>> round(ei_for_light(6, light_named("LED-B3"), GRADED), 1)
    2.5
    """
    known = in_range("EI", ei, *EI_RANGE)
    then = known_under or light_named("D55")
    shift = shift_between(light, then, response, through, known_through)
    return known * ratio_of_stops(shift.value)


def actinic_from_lux(illuminance_lx: float, shift_stops: float) -> float:
    """Return the actinic lux behind a reading of a lux meter.

    Parameters
    ----------
    illuminance_lx : float
        Illuminance on the meter [lx], 0.000001 to 1000000.
    shift_stops : float
        Actinic shift of the light [stops], -100 to 100.

    Returns
    -------
    float
        Actinic illuminance [lx].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    Definition of the shift.

    Examples
    --------
    >>> actinic_from_lux(1000, -1)
    500.0
    """
    shown = in_range("illuminance", illuminance_lx, *LUX_RANGE_LX, "lx")
    return shown * ratio_of_stops(shift_stops)


def metered_lux(actinic_lx: float, shift_stops: float) -> float:
    """Return what a lux meter must show for the paper to get so many actinic lux.

    Parameters
    ----------
    actinic_lx : float
        Actinic lux wanted [lx], 0.000001 to 1000000.
    shift_stops : float
        Actinic shift of the light [stops], -100 to 100.

    Returns
    -------
    float
        Illuminance on the meter [lx].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    Definition of the shift.

    Examples
    --------
    >>> metered_lux(500, -1)
    1000.0
    """
    wanted = in_range("actinic lux", actinic_lx, *LUX_RANGE_LX, "lx")
    return wanted / ratio_of_stops(shift_stops)


def _missing_line(light: Light, through: Sequence[Spectrum]) -> tuple[float, float]:
    """What a tube's line adds that its table lacks, and one sigma of it [stops]."""
    if light.kind != "tube":
        return 0.0, 0.0
    passed = math.prod(one.at(TUBE_LINE_NM) for one in (*light.behind, *through))
    most = TUBE_LINE_MOST_STOPS * passed
    return most / 2, most / math.sqrt(12)


def _half_way_apart(
    figure: Callable[[PaperResponse], float], both: Sequence[PaperResponse]
) -> float:
    try:
        one, other = (figure(response) for response in both)
    except BadValue:  # such a paper sees nothing of the light at all
        return UNKNOWN_SD_STOPS
    return abs(one - other) / 2
