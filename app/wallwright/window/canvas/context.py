"""What drags, tools and hit testing know of the canvas they work on."""

from __future__ import annotations

from typing import Protocol

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF

from wallwright.window.canvas.view import View
from wallwright.window.model.models import Models


class CanvasContext(Protocol):
    """The canvas, as far as they need it."""

    view: View

    @property
    def models(self) -> Models:
        """The document with its history, the selection, and what planning has answered."""

    @property
    def pointer_at(self) -> QPointF:
        """Where the pointer was last seen on the widget, logical pixels."""

    @property
    def zone_edge(self) -> npt.NDArray[np.float64] | None:
        """(m, 2, 2) segments of the draw zone's edge as it is shown, mm; None when it is hidden."""

    def end_tool(self) -> None:
        """The pointer selects and drags again."""
