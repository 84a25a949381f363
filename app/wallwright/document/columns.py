"""Reductions of long arrays with few columns, done by column. numpy iterates over short rows one by one, which takes twenty
times as long."""

from __future__ import annotations

from functools import reduce

import numpy as np

from wallwright.document.arrays import Flags, Floats


def column_max(values: Floats) -> Floats:
    """Returns the (k,) maximum of each column of (n, k) values, n > 0, in their unit; nan where one is nan."""
    return np.array([column.max() for column in values.T])


def column_min(values: Floats) -> Floats:
    """Returns the (k,) minimum of each column of (n, k) values, n > 0, in their unit; nan where one is nan."""
    return np.array([column.min() for column in values.T])


def row_max(values: Floats) -> Floats:
    """Returns the (n,) maximum of each row of (n, k) values, k > 0, in their unit; nan where one is nan."""
    largest: Floats = reduce(np.maximum, values.T)
    return largest


def row_min(values: Floats) -> Floats:
    """Returns the (n,) minimum of each row of (n, k) values, k > 0, in their unit; nan where one is nan."""
    smallest: Floats = reduce(np.minimum, values.T)
    return smallest


def row_all(flags: Flags) -> Flags:
    """Returns (n,) bool: whether all flags of each row of (n, k) are true, k > 0."""
    every: Flags = reduce(np.logical_and, flags.T)
    return every
