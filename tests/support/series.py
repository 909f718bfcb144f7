"""Statistics of a series of deviations, by the published definitions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Series = NDArray[np.float64]


def dfa_exponent(series: Series) -> float:
    """Return the exponent of detrended fluctuation analysis, order 1.

    Peng et al., Physical Review E 49 (1994): windows from 4 to a quarter of the series.
    """
    profile = np.cumsum(series - series.mean())
    sizes = np.unique(np.round(np.geomspace(4, len(series) // 4, 14)).astype(int))
    fluctuations = []
    for size in sizes:
        windows = profile[: len(profile) // size * size].reshape(-1, size)
        at = np.arange(size)
        residual = windows - np.array([np.polyval(np.polyfit(at, w, 1), at) for w in windows])
        fluctuations.append(np.sqrt(np.mean(residual**2)))
    return float(np.polyfit(np.log(sizes), np.log(fluctuations), 1)[0])


def lag_1(series: Series) -> float:
    """Return the autocorrelation at lag 1."""
    centred = series - series.mean()
    return float(np.sum(centred[1:] * centred[:-1]) / np.sum(centred**2))
