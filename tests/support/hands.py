"""What a person's hands do to a window in tests."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

NO_KEY = Qt.KeyboardModifier.NoModifier


def on_screen(window, x: float, y: float) -> QPoint:
    """Where a point of the wall, mm, is on the canvas."""
    return window.canvas.view.to_screen(x, y).toPoint()


def drag(qtbot, window, start: QPoint, end: QPoint, keys: Qt.KeyboardModifier = NO_KEY) -> None:
    """Presses at one point of the canvas, moves and lets go at another, with keys held."""
    canvas = window.canvas
    qtbot.mousePress(canvas, Qt.MouseButton.LeftButton, keys, start)
    for share in (0.3, 0.7, 1.0):
        hover(window, start + (end - start) * share, keys, Qt.MouseButton.LeftButton)
    qtbot.mouseRelease(canvas, Qt.MouseButton.LeftButton, keys, end)


def click(qtbot, window, at: QPoint, keys: Qt.KeyboardModifier = NO_KEY) -> None:
    """Presses and lets go at a point of the canvas."""
    qtbot.mouseClick(window.canvas, Qt.MouseButton.LeftButton, keys, at)


def double_click(qtbot, window, at: QPoint) -> None:
    """Two clicks at a point of the canvas, as a desktop tells them: the second press comes as a double click."""
    click(qtbot, window, at)
    second_click(qtbot, window, at)


def second_click(qtbot, window, at: QPoint) -> None:
    """The second press of a double click, and its release, which QTest leaves out."""
    qtbot.mouseDClick(window.canvas, Qt.MouseButton.LeftButton, NO_KEY, at)
    qtbot.mouseRelease(window.canvas, Qt.MouseButton.LeftButton, NO_KEY, at)


def hover(window, at: QPoint, keys: Qt.KeyboardModifier = NO_KEY, button=Qt.MouseButton.NoButton) -> None:
    """Moves the pointer to a point of the canvas; QTest's own moves carry no keys."""
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
