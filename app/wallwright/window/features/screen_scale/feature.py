"""True size on screen, and measuring the screen so that it is true."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from wallwright.document.language import tr
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.model import screen_scale
from wallwright.window.model.messages import Messages


class ScreenScaleFeature:
    """Of one window."""

    def __init__(self, messages: Messages, canvas: Canvas, parent: QWidget) -> None:
        self._messages, self._canvas, self._parent = messages, canvas, parent

    def show_true_size(self) -> None:
        """A mm on the wall as a mm on this screen; says how sure that is."""
        self._canvas.actual_size()
        if screen_scale.measured(self._parent.screen()) is None:
            self._messages.remark(
                tr("Size as reported by the screen. For exact size choose “View › Measure this screen”.")
            )

    def show_from_distance(self) -> None:
        """The drawing as large as it looks from some way off, with a slider for that."""
        from wallwright.window.features.screen_scale.distance_view import DistanceView

        tool = DistanceView(self._canvas)
        self._canvas.use_tool(tool)
        tool.bar.place()
        tool.bar.show()

    def measure(self) -> None:
        """Asks for the size of the screen."""
        from wallwright.window.features.screen_scale.measure_dialog import MeasureScreen

        dialog = MeasureScreen(self._parent)
        if dialog.exec():
            self._canvas.actual_size()
        dialog.deleteLater()
