"""Compiled loops: numba's njit with shared settings, typed so that functions keep their signatures.

Packages built without numba include the machine code (`ahead_of_time`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar, cast

from wallwright.document.ahead_of_time import loop_from_package

Parameters = ParamSpec("Parameters")
Result = TypeVar("Result")


def compiled(function: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """Compiles a function to machine code, cached on disk, that releases the GIL."""
    return _compiled(function)


def compiled_dividing_by_zero(function: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """Like `compiled`, but a division by zero gives infinity, as in numpy, instead of an exception."""
    return _compiled(function, error_model="numpy")


def _compiled(function: Callable[Parameters, Result], **options: Any) -> Callable[Parameters, Result]:
    if (loop := loop_from_package(function)) is not None:
        return cast("Callable[Parameters, Result]", loop)
    import numba  # heavy, and not in every package

    return cast("Callable[Parameters, Result]", numba.njit(cache=True, nogil=True, **options)(function))
