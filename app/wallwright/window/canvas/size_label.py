"""The size of the selected artwork, painted below its frame."""

from __future__ import annotations

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from wallwright.document.document import Placement
from wallwright.document.language import tr
from wallwright.document.placing import placement_corners
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import tag

BELOW = 18.0
"""Pixels from the frame to the middle of the text."""


def size_text(placement: Placement) -> str:
    return tr("{0:.0f} × {1:.0f} mm", placement.width, placement.height)


def size_place(view: View, placement: Placement) -> QPointF:
    """The middle of the text on the widget."""
    corners = [view.to_screen(*corner) for corner in placement_corners(placement).tolist()]
    across = sum(corner.x() for corner in corners) / len(corners)
    return QPointF(across, max(corner.y() for corner in corners) + BELOW)


def paint_size(painter: QPainter, view: View, placement: Placement) -> None:
    tag(painter, size_place(view, placement), size_text(placement))
