"""Drawing of arrays of lines with QPainter in worker threads.

The binding holds the GIL while QPainter draws, so that threads paint one after the other. Calling the same exported
function through ctypes releases it: after a jump of the view 100,000 segments are rendered in 52 ms instead of 72 to 103 ms
on two cores (tests/benchmarks/bench_canvas.py). It is used if the function is found by name and draws a test picture
like the binding; else the binding draws, a few lines at a time.
"""

from __future__ import annotations

import ctypes
import functools
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import cast

import numpy as np
import numpy.typing as npt
import PySide6
import shiboken6
from PySide6.QtCore import QLineF
from PySide6.QtGui import QImage, QPainter

from wallwright.document.arrays import Floats

BATCH = 500
"""Number of lines that the binding draws at a time: about 0.3 ms."""
ITANIUM_NAME = "_ZN8QPainter9drawLinesEPK6QLineFi"
MSVC_NAME = "?drawLines@QPainter@@QEAAXPEBVQLineF@@H@Z"
"""Mangled names of QPainter::drawLines(QLineF const *, int) by C++ compiler."""

DrawLines = Callable[[int, int, int], None]
"""Takes the addresses of a QPainter and of the lines, and their number."""


def draw_lines(painter: QPainter, lines: npt.NDArray[np.floating]) -> None:
    """Draws lines (n, 4), x1 y1 x2 y2 in the painter's coordinates, each with its own caps."""
    as_qt: Floats = np.ascontiguousarray(lines, dtype=np.float64)  # the memory layout of an array of QLineF
    native = native_function()
    if native is None:
        draw_through_binding(painter, as_qt)
    elif len(as_qt):
        native(shiboken6.getCppPointer(painter)[0], as_qt.ctypes.data, len(as_qt))


def draw_through_binding(painter: QPainter, lines: Floats) -> None:
    """Draws contiguous lines (n, 4). Other threads run between batches, so that a worker does not block the window."""
    for start in range(0, len(lines), BATCH):
        batch = lines[start : start + BATCH]
        first = cast("QLineF", shiboken6.wrapInstance(batch.ctypes.data, QLineF))
        painter.drawLines(first, len(batch))
        time.sleep(0)


@functools.cache
def native_function() -> DrawLines | None:
    """Returns QPainter's own function; None if it is not found or does not draw like the binding."""
    function = exported_function(*_library())
    return function if function is not None and draws_as_the_binding(function) else None


def exported_function(library: str, name: str) -> DrawLines | None:
    """Returns a function of a loaded library by its C++ name; None if there is none."""
    try:
        function = ctypes.CDLL(library)[name]
    except (OSError, AttributeError):
        return None
    function.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int]
    function.restype = None
    return cast(DrawLines, function)


def draws_as_the_binding(function: DrawLines) -> bool:
    """Whether a function draws a test picture like the binding."""
    lines = np.array([[1.0, 1.0, 14.0, 3.0], [2.0, 14.0, 13.0, 6.0]])

    def native(painter: QPainter) -> None:
        function(shiboken6.getCppPointer(painter)[0], lines.ctypes.data, len(lines))

    own, wanted = _picture(native), _picture(lambda painter: draw_through_binding(painter, lines))
    return own == wanted and own != _picture(lambda painter: None)


def _picture(draw: Callable[[QPainter], None]) -> QImage:
    image = QImage(16, 16, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    draw(painter)
    painter.end()
    return image


def _library() -> tuple[str, str]:
    """Returns the names of the loaded QtGui library and of the function in it."""
    if sys.platform == "win32":
        return "Qt6Gui.dll", MSVC_NAME
    if sys.platform == "darwin":
        framework = Path(PySide6.__file__).parent / "Qt/lib/QtGui.framework/Versions/A/QtGui"
        return str(framework), ITANIUM_NAME
    return "libQt6Gui.so.6", ITANIUM_NAME
