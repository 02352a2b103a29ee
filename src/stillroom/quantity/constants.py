"""Constants of exposure with their sources; those that sources disagree about can be set."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

from stillroom.errors import in_range

METER_C_LX_S = 250.0  # flat receptor, usual value in ISO 2720:1974 (range 240-400 from memory)
METER_C_DOME_LX_S = 330.0  # dome, 330-340 usual, ISO 2720:1974 range 320-540 (from memory)
METER_K = 12.5  # cd·s/m², ISO 2720:1974 allows 10.6-13.4; meters use 12.5 or 14
METER_Q = 0.65  # ISO 2720 / ISO 12232 lens factor: (pi/4) 0.9 0.98 cos4(10 deg) = 0.652
MID_TONE_LXS_EI = 10.0  # ISO 12232 output-based rating, H_m = 10/S (from memory)
REFERENCE_REFLECTANCE = 0.30  # fixed reference of the bare ledger; a convention, not skin
FLASH_EFFICACY_LM_S_PER_WS = 40.0  # makers' technical pages: 15-45, one unit measured near 40
FLASH_EFFICACY_LOW_LM_S_PER_WS = 15.0  # studio packs, lower end of the same pages
FLASH_EFFICACY_HIGH_LM_S_PER_WS = 45.0  # studio packs, upper end of the same pages
GUIDE_NUMBER_FT_CONSTANT = 0.05  # GN_ft = sqrt(0.05 BCPS S), textbook c = 20 (15-25) (from memory)
FOOT_M = 0.3048  # international foot, exact
INCH_MM = 25.4  # international inch, exact
FOOT_CANDLE_LX = 1 / FOOT_M**2  # one lumen per square foot, exact: 10.7639 lx
DENSITY_PER_STOP = 0.3010299956639812  # log10(2)


class ConstantRow(NamedTuple):
    """One constant as it is printed."""

    name: str
    value: float
    unit: str
    source: str


class _Rule(NamedTuple):
    label: str
    low: float
    high: float
    unit: str
    source: str


_RULES = {
    "meter_c_lx_s": _Rule(
        "incident constant C, flat receptor", 200, 600, "lx·s", "ISO 2720:1974 (240 to 400)"
    ),
    "meter_c_dome_lx_s": _Rule(
        "incident constant C, dome", 200, 600, "lx·s", "ISO 2720:1974 (320 to 540), from memory"
    ),
    "meter_k_cd_s_m2": _Rule(
        "reflected constant K", 9, 16, "cd·s/m²", "ISO 2720:1974 (10.6 to 13.4)"
    ),
    "meter_q": _Rule("lens factor q of meters", 0.5, 0.8, "1", "ISO 2720, ISO 12232, from memory"),
    "mid_tone_lxs_ei": _Rule(
        "mid-tone exposure times EI", 5, 20, "lx·s", "ISO 12232 (H = 10/S), from memory"
    ),
    "reference_reflectance": _Rule(
        "reference reflectance", 0.01, 1, "1", "convention of the bare ledger"
    ),
    "flash_efficacy_lm_s_per_ws": _Rule(
        "flash efficacy", 5, 80, "lm·s/(W·s)", "makers' technical pages (15 to 45)"
    ),
    "guide_number_ft_constant": _Rule(
        "guide number constant, feet", 0.03, 0.08, "1", "textbook (c = 15 to 25), from memory"
    ),
}


@dataclass(frozen=True, slots=True)
class Constants:
    """The constants that sources disagree about, so that a book can set its own.

    Parameters
    ----------
    meter_c_lx_s, meter_c_dome_lx_s : float
        Incident meter constant C for a flat receptor and for a dome [lx s].
    meter_k_cd_s_m2 : float
        Reflected meter constant K [cd s/m2].
    meter_q : float
        Lens factor q of the meter standards [1].
    mid_tone_lxs_ei : float
        Product of mid-tone exposure and EI [lx s].
    reference_reflectance : float
        Reflectance the ledger counts from [1].
    flash_efficacy_lm_s_per_ws : float
        Luminous energy per stored energy [lm s/(W s)].
    guide_number_ft_constant : float
        Constant of the older guide number in feet [1].

    Raises
    ------
    OutOfRange
        If a constant lies well outside what any source prints.

    Examples
    --------
    >>> Constants(meter_c_lx_s=340).table()[0].value
    340
    """

    meter_c_lx_s: float = METER_C_LX_S
    meter_c_dome_lx_s: float = METER_C_DOME_LX_S
    meter_k_cd_s_m2: float = METER_K
    meter_q: float = METER_Q
    mid_tone_lxs_ei: float = MID_TONE_LXS_EI
    reference_reflectance: float = REFERENCE_REFLECTANCE
    flash_efficacy_lm_s_per_ws: float = FLASH_EFFICACY_LM_S_PER_WS
    guide_number_ft_constant: float = GUIDE_NUMBER_FT_CONSTANT

    def __post_init__(self) -> None:
        for name, rule in _RULES.items():
            in_range(rule.label, getattr(self, name), rule.low, rule.high, rule.unit)

    def table(self) -> list[ConstantRow]:
        """Rows to print: name, value, unit and source of each constant.

        Returns
        -------
        list of ConstantRow
            In the order of the fields.

        Examples
        --------
        >>> Constants().table()[0].name
        'incident constant C, flat receptor'
        """
        return [
            ConstantRow(rule.label, getattr(self, field.name), rule.unit, rule.source)
            for field in fields(self)
            for rule in [_RULES[field.name]]
        ]
