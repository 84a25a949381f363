"""How much of the tool bar is shown: all titles, those of the main actions, or icons alone, as the window's width takes."""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMainWindow, QToolBar

from wallwright.window.shell.ready_status import ReadyStatus


class Fullness(IntEnum):
    """From the widest on."""

    ALL_TITLES = 0
    MAIN_TITLES = 1
    NO_LABELS = 2
    ICONS = 3


BESIDE = 24
"""Pixels that the bar of the status has beside it."""


class ToolBarFit(QObject):
    """Follows the width of a window. Below ICONS the tool bar's own button holds what has no room."""

    def __init__(
        self,
        window: QMainWindow,
        bar: QToolBar,
        quiet: Sequence[QAction],
        labels: Sequence[QAction],
        status: ReadyStatus,
    ) -> None:
        """quiet: actions that lose their titles first; labels: hidden next, before the other titles go; status: stands in
        the same line and is never hidden; room for its longest text is kept, so that titles do not come and go with it."""
        super().__init__(bar)
        self._window, self._bar, self._status = window, bar, status
        self._quiet, self._labels = quiet, labels
        self._widths: dict[Fullness, int] = {}
        """Pixels that the tool bar asks for."""
        self.fullness = Fullness.ALL_TITLES
        window.installEventFilter(self)
        bar.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._bar and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._widths = {}
        elif watched is self._window and event.type() in (QEvent.Type.Resize, QEvent.Type.Show):
            self.fit()
        return False

    def fit(self) -> None:
        """Shows as much as there is room for."""
        if len(self._widths) < len(Fullness):
            self._measure()
        room = self._window.width() - self._status.most_width()
        self._show(next((f for f in Fullness if self._widths[f] <= room), Fullness.ICONS))
        self._status.give_room(self._window.width() - self._widths[self.fullness] - BESIDE)

    def _measure(self) -> None:
        present = self.fullness
        for fullness in Fullness:
            self._show(fullness)
            if (layout := self._bar.layout()) is not None:
                layout.invalidate()
            self._widths[fullness] = self._bar.sizeHint().width()
        self._show(present)

    def _show(self, fullness: Fullness) -> None:
        if fullness == self.fullness:
            return
        self.fullness = fullness
        style = Qt.ToolButtonStyle.ToolButtonTextBesideIcon
        self._bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonIconOnly if fullness is Fullness.ICONS else style)
        is_full = fullness is Fullness.ALL_TITLES
        for action in self._quiet:
            action.setPriority(QAction.Priority.NormalPriority if is_full else QAction.Priority.LowPriority)
        for label in self._labels:
            label.setVisible(fullness < Fullness.NO_LABELS)
