"""Quantity: stops with uncertainty, constants with sources, lengths, sheet sizes, marks."""

from stillroom.quantity.arrays import FloatArray
from stillroom.quantity.constants import (
    DENSITY_PER_STOP,
    FLASH_EFFICACY_HIGH_LM_S_PER_WS,
    FLASH_EFFICACY_LM_S_PER_WS,
    FLASH_EFFICACY_LOW_LM_S_PER_WS,
    FOOT_CANDLE_LX,
    FOOT_M,
    GUIDE_NUMBER_FT_CONSTANT,
    INCH_MM,
    METER_C_DOME_LX_S,
    METER_C_LX_S,
    METER_K,
    METER_Q,
    MID_TONE_LXS_EI,
    REFERENCE_REFLECTANCE,
    ConstantRow,
    Constants,
)
from stillroom.quantity.f_marks import (
    FULL_STOP_MARKS,
    HALF_STOP_MARKS,
    THIRD_STOP_MARKS,
    f_number_of_av,
)
from stillroom.quantity.formats import SHEET_FORMATS, sheet_size_mm
from stillroom.quantity.lengths import (
    format_length,
    format_offset,
    parse_length_m,
    parse_offset_m,
)
from stillroom.quantity.stop_text import (
    NINE_IN_TEN,
    range_text,
    stops_decimal_text,
    stops_text,
    stops_words,
)
from stillroom.quantity.stops import Stops, light_sum_stops, ratio_of_stops, stops_of_ratio

__all__ = [
    "DENSITY_PER_STOP",
    "FLASH_EFFICACY_HIGH_LM_S_PER_WS",
    "FLASH_EFFICACY_LM_S_PER_WS",
    "FLASH_EFFICACY_LOW_LM_S_PER_WS",
    "FOOT_CANDLE_LX",
    "FOOT_M",
    "FULL_STOP_MARKS",
    "GUIDE_NUMBER_FT_CONSTANT",
    "HALF_STOP_MARKS",
    "INCH_MM",
    "METER_C_DOME_LX_S",
    "METER_C_LX_S",
    "METER_K",
    "METER_Q",
    "MID_TONE_LXS_EI",
    "NINE_IN_TEN",
    "REFERENCE_REFLECTANCE",
    "SHEET_FORMATS",
    "THIRD_STOP_MARKS",
    "ConstantRow",
    "Constants",
    "FloatArray",
    "Stops",
    "f_number_of_av",
    "format_length",
    "format_offset",
    "light_sum_stops",
    "parse_length_m",
    "parse_offset_m",
    "range_text",
    "ratio_of_stops",
    "sheet_size_mm",
    "stops_decimal_text",
    "stops_of_ratio",
    "stops_text",
    "stops_words",
]
