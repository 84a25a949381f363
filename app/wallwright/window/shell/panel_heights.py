"""Heights of the contents and the checks: while there are no checks, they need no room."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QDockWidget, QMainWindow

from wallwright.window.model.models import Models
from wallwright.window.model.settings import settings
from wallwright.window.panels.checks_panel import ChecksPanel

USUAL = (260, 440)
"""Default heights of the contents and the checks, px; only their ratio matters."""
LINES = 3
"""Height of the checks while there are none, in lines of text."""
LEAST = 40
"""Least height of a panel, px."""
LEAST_SHARE = 0.2
"""Least share of both heights that a panel gets back: smaller ones come from a window that was hardly open."""
HEIGHTS = "window/panel heights"
MOST = 16_777_215
"""Qt's largest size of a widget, px (QWIDGETSIZE_MAX)."""


class PanelHeights(QObject):
    """Gives the contents nearly all the height while there are no checks, later the heights that the person chose."""

    def __init__(self, window: QMainWindow, models: Models, contents: QDockWidget, checks: ChecksPanel) -> None:
        super().__init__(window)
        self._window, self._contents, self._checks = window, contents, checks
        self._kept = kept_heights()
        self._is_low = False
        models.planning.plan_changed.connect(self.share)  # after the panel, which was made before this
        self.share()

    def share(self) -> None:
        """Sets both heights."""
        is_low = not self._checks.rows()
        dock = self._checks.parentWidget()
        if is_low == self._is_low or not isinstance(dock, QDockWidget):
            return
        if is_low:
            self._look()
            self._checks.setMaximumHeight(LINES * self._checks.fontMetrics().lineSpacing())
        else:
            self._checks.setMaximumHeight(MOST)
            self._window.resizeDocks([self._contents, dock], list(self._kept), Qt.Orientation.Vertical)
        self._is_low = is_low

    def keep(self) -> None:
        """Saves the heights of both with checks, for the next start."""
        self._look()
        settings().setValue(HEIGHTS, [str(height) for height in self._kept])

    def _look(self) -> None:
        dock = self._checks.parentWidget()
        if not self._is_low and isinstance(dock, QDockWidget) and self._contents.isVisible() and dock.isVisible():
            self._kept = self._contents.height(), dock.height()


def kept_heights() -> tuple[int, int]:
    """Returns the saved heights; the default ones if there are none or they are damaged."""
    value = settings().value(HEIGHTS)
    if isinstance(value, list) and len(value) == 2 and all(isinstance(v, str) and v.isdigit() for v in value):
        heights = int(value[0]), int(value[1])
        if all(LEAST <= height < MOST and height >= LEAST_SHARE * sum(heights) for height in heights):
            return heights
    return USUAL
