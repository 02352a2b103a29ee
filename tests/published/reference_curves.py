"""The two sensitivity curves of the published sums: shapes from memory, for tests only."""

from __future__ import annotations

import numpy as np

from stillroom.quantity.spectra import PaperResponse, Spectrum

# log10 of the response per unit energy, 0 at its peak; linear in between, nothing beyond.
_GRADED = {380: 0.0, 400: -0.05, 420: -0.1, 440: -0.25, 460: -0.5, 480: -1.1, 500: -2.2, 510: -3.0}
_MULTIGRADE_TO_500 = {380: 0.0, 400: -0.05, 420: -0.1, 440: -0.2, 460: -0.3, 480: -0.6, 500: -0.85}
_MULTIGRADE = _MULTIGRADE_TO_500 | {
    520: -0.6, 540: -0.45, 550: -0.55, 560: -1.0, 570: -1.7, 580: -2.5, 590: -3.0,
}  # fmt: skip


def _response(name: str, nodes: dict[int, float]) -> PaperResponse:
    wavelengths = np.arange(min(nodes), max(nodes) + 1, dtype=np.float64)
    logs = np.interp(wavelengths, np.array(list(nodes)), np.array(list(nodes.values())))
    return PaperResponse(name, Spectrum(name, wavelengths, 10.0**logs))


G1 = _response("G1", _GRADED)
V1 = _response("V1", _MULTIGRADE)
