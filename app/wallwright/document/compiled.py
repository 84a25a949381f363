"""Compiled loops: numba's njit with the settings all of them share, typed so that the functions keep their signatures."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

import numba

Parameters = ParamSpec("Parameters")
Result = TypeVar("Result")


def compiled(function: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """The function as machine code, kept on disk between starts and run without Python's lock."""
    return cast("Callable[Parameters, Result]", numba.njit(cache=True, nogil=True)(function))


def compiled_dividing_by_zero(function: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """As `compiled`, for functions where a division by zero gives infinity, as in numpy, and not an exception."""
    return cast("Callable[Parameters, Result]", numba.njit(cache=True, nogil=True, error_model="numpy")(function))
