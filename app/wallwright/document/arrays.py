"""Array types by content. The docstring of each function gives shapes and units."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Floats: TypeAlias = npt.NDArray[np.float64]
"""Real numbers, any shape."""
Points: TypeAlias = npt.NDArray[np.float64]
"""(n, 2) x and y of each point, mm, y down; in the wall frame unless stated otherwise."""
Integers: TypeAlias = npt.NDArray[np.integer[Any]]
"""Whole numbers of any width, any shape."""
Indices: TypeAlias = npt.NDArray[np.intp]
"""Positions in another array, as numpy's searches return them."""
Flags: TypeAlias = npt.NDArray[np.bool_]
"""True or false for each element, any shape."""
Objects: TypeAlias = npt.NDArray[np.object_]
"""Python objects, such as shapely's geometries."""
