"""The one array type of the core."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
