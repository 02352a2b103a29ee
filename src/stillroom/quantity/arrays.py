"""The one array type of the core, and its range checked."""

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import OutOfRange

FloatArray = NDArray[np.float64]


def all_in_range(
    name: str, values: FloatArray | float, low: float, high: float, unit: str = ""
) -> FloatArray:
    """Return values as an array, or raise `OutOfRange` for the first that is not in the range."""
    found = np.asarray(values, dtype=np.float64)
    wrong = ~((found >= low) & (found <= high))
    if np.any(wrong):
        raise OutOfRange(name, float(found[wrong].flat[0]), low, high, unit)
    return found
