"""Drawing an array of lines with QPainter while other threads run.

The binding keeps the interpreter locked while QPainter draws, which stops the window for as long as a worker
paints. A call of the same exported function through ctypes releases the lock. Where the function's exported name is
not found, the binding is used, a few lines at a time.
"""

from __future__ import annotations

import ctypes
import sys
import time
from pathlib import Path

import numpy as np
import PySide6
import shiboken6
from PySide6.QtCore import QLineF
from PySide6.QtGui import QPainter

# QPainter::drawLines(QLineF const *, int) as the C++ compilers of each platform spell it.
_ITANIUM_NAME = "_ZN8QPainter9drawLinesEPK6QLineFi"
_MSVC_NAME = "?drawLines@QPainter@@QEAAXPEBVQLineF@@H@Z"

_BATCH = 500
"""Lines per locked call of the slower way: about 0.3 ms."""


def _library() -> tuple[str, str]:
    """Name of the loaded QtGui library and of the function in it."""
    if sys.platform == "win32":
        return "Qt6Gui.dll", _MSVC_NAME
    if sys.platform == "darwin":
        framework = Path(PySide6.__file__).parent / "Qt/lib/QtGui.framework/Versions/A/QtGui"
        return str(framework), _ITANIUM_NAME
    return "libQt6Gui.so.6", _ITANIUM_NAME


def _native_function():
    library, name = _library()
    try:
        function = ctypes.CDLL(library)[name]
    except (OSError, AttributeError):
        return None
    function.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int]
    function.restype = None
    return function


_native = _native_function()


def draw_lines(painter: QPainter, lines: np.ndarray) -> None:
    """Draws lines (n, 4) float64, x1 y1 x2 y2 in the painter's coordinates, each with its own caps."""
    lines = np.ascontiguousarray(lines, dtype=np.float64)  # the memory layout of an array of QLineF
    if len(lines) == 0:
        return
    if _native is not None:
        _native(shiboken6.getCppPointer(painter)[0], lines.ctypes.data, len(lines))
    else:
        draw_lines_locked(painter, lines)


def draw_lines_locked(painter: QPainter, lines: np.ndarray) -> None:
    """The same through the binding, letting other threads in between batches."""
    for start in range(0, len(lines), _BATCH):
        batch = lines[start : start + _BATCH]
        painter.drawLines(shiboken6.wrapInstance(batch.ctypes.data, QLineF), len(batch))
        time.sleep(0)
