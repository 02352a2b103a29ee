"""Spectra: lights, glasses and responses, and lux as the eye and as a paper sees them."""

from stillroom.quantity.spectra.actinic import (
    actinic_lux,
    actinic_shift_stops,
    photopic_lux,
    weights_on,
)
from stillroom.quantity.spectra.grid import GRID_NM, folded, integral, on_grid
from stillroom.quantity.spectra.lights import (
    D_ILLUMINANTS,
    LEDS,
    TUBES,
    blackbody,
    cie_a,
    d_illuminant,
    daylight_chromaticity,
    daylight_phase,
    flash,
    tabulated,
)
from stillroom.quantity.spectra.passing import (
    GLASSES,
    LENSES,
    cut_on,
    float_glass,
    glass,
    iso_lens,
    laminated_glass,
    lens,
    old330,
    uvcut370,
)
from stillroom.quantity.spectra.response import (
    EDGE_SD_NM,
    GRADED,
    LUMENS_PER_WATT,
    VARIABLE_CONTRAST,
    PaperResponse,
)
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.spectra.tables import from_table, photopic

__all__ = [
    "D_ILLUMINANTS",
    "EDGE_SD_NM",
    "GLASSES",
    "GRADED",
    "GRID_NM",
    "LEDS",
    "LENSES",
    "LUMENS_PER_WATT",
    "TUBES",
    "VARIABLE_CONTRAST",
    "PaperResponse",
    "Spectrum",
    "actinic_lux",
    "actinic_shift_stops",
    "blackbody",
    "cie_a",
    "cut_on",
    "d_illuminant",
    "daylight_chromaticity",
    "daylight_phase",
    "flash",
    "float_glass",
    "folded",
    "from_table",
    "glass",
    "integral",
    "iso_lens",
    "laminated_glass",
    "lens",
    "old330",
    "on_grid",
    "photopic",
    "photopic_lux",
    "tabulated",
    "uvcut370",
    "weights_on",
]
