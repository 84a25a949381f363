"""How the contents and the checks share their side of the window: checks that are not there yet need no room."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QDockWidget, QMainWindow

from wallwright.window.model.models import Models
from wallwright.window.model.settings import settings
from wallwright.window.panels.checks_panel import ChecksPanel

USUAL = (260, 440)
"""Pixels of the contents and the checks: what matters is their proportion."""
LINES = 3
"""Of text, that the checks are high while there are none."""
LEAST = 40
"""Pixels of a panel."""
HEIGHTS = "window/panel heights"
MOST = 16_777_215
"""Pixels: Qt's own largest size of a widget (QWIDGETSIZE_MAX)."""


class PanelHeights(QObject):
    """While there are no checks the contents have nearly all the height; then both are as high as the person had them."""

    def __init__(self, window: QMainWindow, models: Models, contents: QDockWidget, checks: ChecksPanel) -> None:
        super().__init__(window)
        self._window, self._contents, self._checks = window, contents, checks
        self._kept = kept_heights()
        self._is_low = False
        models.planning.plan_changed.connect(self.share)  # after the panel, which was made before this
        self.share()

    def share(self) -> None:
        """Gives each its height."""
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
        """Keeps the heights that both have while there are checks, for the next start."""
        self._look()
        settings().setValue(HEIGHTS, [str(height) for height in self._kept])

    def _look(self) -> None:
        dock = self._checks.parentWidget()
        if not self._is_low and isinstance(dock, QDockWidget) and self._contents.isVisible() and dock.isVisible():
            self._kept = self._contents.height(), dock.height()


def kept_heights() -> tuple[int, int]:
    """Those of the last start, else the usual ones; what is damaged counts as none."""
    value = settings().value(HEIGHTS)
    if isinstance(value, list) and len(value) == 2 and all(isinstance(v, str) and v.isdigit() for v in value):
        heights = int(value[0]), int(value[1])
        if all(LEAST <= height < MOST for height in heights):
            return heights
    return USUAL
