"""Compiled loops in packages without a compiler: the machine code is built with the package.

`packaging/kernels.py` builds an extension module with one exported function for each loop and each list of argument types
it is called with. The self-contained packages carry it in place of numba and LLVM, which weigh more than all the rest.
"""

from __future__ import annotations

import importlib
import importlib.util
import inspect
import logging
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

EXTENSION = "wallwright_kernels"
"""Name of the extension module, and prefix of the name of its table's module."""
TABLE = f"{EXTENSION}_table"
"""Name of the Python module beside the extension. Its TABLE is {"module:function": {(argument types): exported name}}."""


def type_key(value: object) -> str:
    """Returns the table's name for an argument's type: `float64`, `int32[2C]` (dimensions and order), `(…)` for a tuple.

    A read-only array has the suffix `r`; one in neither C nor Fortran order has the letter A. Raises TypeError for other
    types.
    """
    if isinstance(value, np.ndarray):
        order = "C" if value.flags.c_contiguous else "F" if value.flags.f_contiguous else "A"
        return f"{value.dtype.name}[{value.ndim}{order}]{'' if value.flags.writeable else 'r'}"
    if isinstance(value, tuple):
        return f"({', '.join(map(type_key, value))})"
    if isinstance(value, bool | np.bool_):
        return "bool"
    if isinstance(value, int):
        return "int64"
    if isinstance(value, float):
        return "float64"
    if isinstance(value, np.generic):
        return value.dtype.name
    raise TypeError(f"a compiled loop takes no {type(value).__name__}")


class Loop:
    """A compiled loop that calls the machine code for the types of its arguments.

    Argument types that the package was not built for run as Python: same result, slower, with a line in the log.
    """

    def __init__(self, function: Callable[..., Any], exported: Mapping[tuple[str, ...], Callable[..., Any]]) -> None:
        self._function = function
        self._by_types = dict(exported)
        parameters = inspect.signature(function).parameters
        self._count = len(parameters)
        self._defaults = tuple(p.default for p in parameters.values())
        self.__doc__ = function.__doc__

    def __call__(self, *arguments: Any) -> Any:
        arguments += self._defaults[len(arguments) : self._count]
        types = tuple(map(type_key, arguments))
        code = self._by_types.get(types)
        if code is None:
            logging.getLogger("wallwright").warning(
                "%s.%s was not built for (%s): it runs as Python",
                self._function.__module__,
                self._function.__name__,
                ", ".join(types),
            )
            code = self._by_types[types] = self._function
        return code(*arguments)


def loop_from_package(function: Callable[..., Any]) -> Loop | None:
    """Returns the package's compiled loop for this function, or None where numba compiles it."""
    if importlib.util.find_spec(EXTENSION) is None:
        return None
    table = importlib.import_module(TABLE).TABLE
    extension = importlib.import_module(EXTENSION)
    exported = table.get(f"{function.__module__}:{function.__name__}", {})
    return Loop(function, {types: getattr(extension, name) for types, name in exported.items()})
