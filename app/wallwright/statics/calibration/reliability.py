"""How well readings check each other: redundancy and the least error that the others are sure to show.

Readings x = A p + e with standard uncertainties σ, and what was known of p before as further observations. With the
covariance C of p after the adjustment, the residual of reading i keeps the share

    r_i = 1 - a_i C a_iᵀ / σ_i²,      its redundancy, 0 to 1,

of an error in it; the rest goes into p unseen. The r_i add up to the readings (and things known before) beyond the
parameters. A residual over its own standard uncertainty σ_i sqrt(r_i) is normal with variance 1. It is examined against a
limit k, and with probability 1 - β an error passes k from

    (k + z_{1-β}) σ_i / sqrt(r_i)      on: the minimal detectable error.

Source: Baarda, "A testing procedure for use in geodetic networks", Netherlands Geodetic Commission 2/5, 1968 (from memory).
A reading that shows errors of GROSS to no other is taken twice. Two takes of one reading share what a tape makes of the
nail's middle or of a plumb line; they differ by what the eye reads, which is why a difference between them shows more.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.statics.calibration.measurement_model import Readings

SUSPECT = 3.3
"""Standard uncertainties beyond which a reading is to be taken again: between honest ones one in a thousand (Baarda's own
choice)."""
SHOWN = 2.05
"""Normal deviate of the probability, 98 %, with which the minimal detectable error shows."""
GROSS = 5.0
"""mm: an error in a reading that is to show in the others. A slip of the tape is one or more of its centimetre lines."""
REPEATED = 0.5
"""mm: standard uncertainty of reading a tape, between two takes of one reading. Common practice, no source."""


def redundancies(rows: Floats, variance: Floats, covariance: Floats) -> Floats:
    """(m,) of readings with derivatives (m, p) and variances (m,), whose adjustment leaves the parameters with (p, p)."""
    result: Floats = 1 - np.einsum("mp,pq,mq->m", rows, covariance, rows) / variance
    return result


def detectable_errors(variance: Floats, redundancy: Floats) -> Floats:
    """(m,) mm: minimal detectable error of readings with variances (m,), mm², and redundancies (m,)."""
    return (SUSPECT + SHOWN) * np.sqrt(variance / np.maximum(redundancy, 1e-9))


def with_one_more(
    rows: Floats, variance: Floats, covariance: Floats, chosen: Floats, chosen_variance: Floats
) -> Floats:
    """(m, n + 1) redundancies of n chosen readings, and of the one more, were each of m candidates taken too.

    rows: (m, p) and variance: (m,) of the candidates; chosen: (n, p) and chosen_variance: (n,); covariance: (p, p) without
    the candidate.
    """
    through = rows @ covariance
    own = np.einsum("mp,mp->m", through, rows)
    shared = through @ chosen.T
    now = redundancies(chosen, chosen_variance, covariance)
    result = np.empty((len(rows), len(chosen) + 1))
    result[:, :-1] = now + shared**2 / (variance + own)[:, None] / chosen_variance
    result[:, -1] = variance / (variance + own)
    return result


def needed_redundancy(variance: Floats) -> Floats:
    """(m,) redundancy with which an error of GROSS in readings with variances (m,), mm², shows; above 1: none is enough."""
    result: Floats = ((SUSPECT + SHOWN) / GROSS) ** 2 * variance
    return result


def differing_repeats(readings: Readings, use: Flags) -> list[int]:
    """Numbers of the readings in use, (m,) bool, that were taken twice and differ by more than reading explains."""
    key = np.column_stack([readings.kind, readings.a, readings.b])[use]
    number, value = np.flatnonzero(use), readings.value[use]
    same = (key[:, None] == key[None]).all(axis=2)
    apart = np.abs(value[:, None] - value[None]) > SUSPECT * np.sqrt(2) * REPEATED
    return [int(k) for k in number[(same & apart).any(axis=1)]]


def detectable_by_repeating() -> float:
    """mm: minimal detectable error of a reading that is taken twice, by the difference of both."""
    return float((SUSPECT + SHOWN) * np.sqrt(2) * REPEATED)
