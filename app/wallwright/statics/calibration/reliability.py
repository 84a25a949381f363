"""How well readings check each other: redundancy and minimal detectable error.

Readings x = A p + e with standard uncertainties σ, and the priors of p as further observations. With the covariance C of p
after the adjustment, the residual of reading i keeps the share

    r_i = 1 - a_i C a_iᵀ / σ_i²,      its redundancy, 0 to 1,

of an error in it; the rest is absorbed by p unnoticed. The r_i add up to the number of readings and priors in excess of the
parameters. A residual over its own standard uncertainty σ_i sqrt(r_i) is normal with variance 1. It is tested against a
limit k; with probability 1 - β an error exceeds k if it is at least

    (k + z_{1-β}) σ_i / sqrt(r_i)      (the minimal detectable error).

Source: Baarda, "A testing procedure for use in geodetic networks", Netherlands Geodetic Commission 2/5, 1968 (from memory).
A reading in which no other reveals an error of GROSS is taken twice. Two repeats share the errors of locating the nail's
middle or of a plumb line and differ only by what the eye reads, so their difference is a sharper test.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.statics.calibration.measurement_model import Readings

SUSPECT = 3.3
"""Standardised residual from which a reading should be taken again; one correct reading in a thousand exceeds it
(Baarda's own choice)."""
DETECTION_QUANTILE = 2.05
"""Normal quantile of the probability, 98 %, with which the minimal detectable error is detected."""
GROSS = 5.0
"""Size of an error that other readings must reveal, mm. A misread tape is off by at least one of its centimetre lines."""
REPEATED = 0.5
"""Standard uncertainty of reading a tape, between two repeats of one reading, mm. Common practice, no source."""


def redundancies(rows: Floats, variance: Floats, covariance: Floats) -> Floats:
    """Returns (m,) redundancies of readings with derivatives (m, p), variances (m,) and parameter covariance (p, p) after
    the adjustment."""
    result: Floats = 1 - np.einsum("mp,pq,mq->m", rows, covariance, rows) / variance
    return result


def detectable_errors(variance: Floats, redundancy: Floats) -> Floats:
    """(m,) mm: minimal detectable error of readings with variances (m,), mm², and redundancies (m,)."""
    return (SUSPECT + DETECTION_QUANTILE) * np.sqrt(variance / np.maximum(redundancy, 1e-9))


def with_one_more(
    rows: Floats, variance: Floats, covariance: Floats, chosen: Floats, chosen_variance: Floats
) -> Floats:
    """Returns (m, n + 1) redundancies of n chosen readings and of the added one, for each of m candidates.

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
    """Returns (m,): redundancy needed to detect an error of GROSS in readings with variances (m,), mm²; above 1: none is
    enough."""
    result: Floats = ((SUSPECT + DETECTION_QUANTILE) / GROSS) ** 2 * variance
    return result


def differing_repeats(readings: Readings, use: Flags) -> list[int]:
    """Returns the indices of readings in use, (m,) bool, whose repeats differ by more than reading errors explain."""
    key = np.column_stack([readings.kind, readings.a, readings.b])[use]
    number, value = np.flatnonzero(use), readings.value[use]
    same = (key[:, None] == key[None]).all(axis=2)
    apart = np.abs(value[:, None] - value[None]) > SUSPECT * np.sqrt(2) * REPEATED
    return [int(k) for k in number[(same & apart).any(axis=1)]]


def detectable_by_repeating() -> float:
    """Returns the minimal detectable error, mm, of a reading taken twice, from the difference of both."""
    return float((SUSPECT + DETECTION_QUANTILE) * np.sqrt(2) * REPEATED)
