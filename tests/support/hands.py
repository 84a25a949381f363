"""Mouse actions on a window."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

NO_KEY = Qt.KeyboardModifier.NoModifier


def on_screen(window, x: float, y: float) -> QPoint:
    """Returns the position of a wall point, mm, on the canvas."""
    return window.canvas.view.to_screen(x, y).toPoint()


def drag(qtbot, window, start: QPoint, end: QPoint, keys: Qt.KeyboardModifier = NO_KEY) -> None:
    """Drags from one point of the canvas to another, with keys held."""
    canvas = window.canvas
    qtbot.mousePress(canvas, Qt.MouseButton.LeftButton, keys, start)
    for share in (0.3, 0.7, 1.0):
        hover(window, start + (end - start) * share, keys, Qt.MouseButton.LeftButton)
    qtbot.mouseRelease(canvas, Qt.MouseButton.LeftButton, keys, end)


def click(qtbot, window, at: QPoint, keys: Qt.KeyboardModifier = NO_KEY) -> None:
    """Clicks at a point of the canvas."""
    qtbot.mouseClick(window.canvas, Qt.MouseButton.LeftButton, keys, at)


def double_click(qtbot, window, at: QPoint) -> None:
    """Double-clicks at a point of the canvas, with the events of a real desktop: the second press is a double-click
    event."""
    click(qtbot, window, at)
    second_click(qtbot, window, at)


def second_click(qtbot, window, at: QPoint) -> None:
    """Sends the second press of a double click, and its release, which QTest omits."""
    qtbot.mouseDClick(window.canvas, Qt.MouseButton.LeftButton, NO_KEY, at)
    qtbot.mouseRelease(window.canvas, Qt.MouseButton.LeftButton, NO_KEY, at)


def hover(window, at: QPoint, keys: Qt.KeyboardModifier = NO_KEY, button=Qt.MouseButton.NoButton) -> None:
    """Moves the pointer to a point of the canvas, with modifier keys, which QTest's moves lack."""
    canvas = window.canvas
    event = QMouseEvent(
        QMouseEvent.Type.MouseMove,
        at.toPointF(),
        canvas.mapToGlobal(at).toPointF(),
        Qt.MouseButton.NoButton,
        button,
        keys,
    )
    QApplication.sendEvent(canvas, event)
