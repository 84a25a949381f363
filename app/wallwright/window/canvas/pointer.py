"""Mouse, wheel and touch pad on the canvas: panning, zooming, dragging, hovering."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QInputDevice, QMouseEvent, QNativeGestureEvent, QWheelEvent

from wallwright.document.language import tr
from wallwright.window.canvas.artwork_drag import begin_part_drag
from wallwright.window.canvas.drag import Drag, Keys, begin_drag
from wallwright.window.canvas.hit_testing import cursor_at, words_at
from wallwright.window.canvas.keep_out_drag import remove_corner_at

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas

CLICK = 6.0
"""Pixels within which a press and its release are a click, and a stroke is under the pointer."""


class PointerHandler:
    """What the pointer is doing on a canvas."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas = canvas
        self.drag: Drag | None = None
        self.at = QPointF()
        """Where it was last seen on the widget."""
        self._panning: QPointF | None = None
        self._pressed = QPointF()
        self._has_moved = False
        self._space = False

    def press(self, event: QMouseEvent) -> None:
        canvas, left = self.canvas, event.button() == Qt.MouseButton.LeftButton
        self.at = event.position()
        if event.button() == Qt.MouseButton.MiddleButton or (left and self._space):
            self._panning = event.position()
            self.canvas.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif left and canvas.tool is not None:
            canvas.tool.press(canvas.view.to_wall(self.at), Keys.of(event.modifiers()))
            canvas.update()
        elif left:
            self._pressed, self._has_moved = event.position(), False
            self.drag = begin_drag(self.canvas, event.position(), Keys.of(event.modifiers()))
            self.canvas.update()

    def move(self, event: QMouseEvent) -> None:
        canvas, at = self.canvas, event.position()
        self.at = at
        if self._panning is not None:
            canvas.pan(at - self._panning)
            self._panning = at
            return
        if canvas.tool is not None:
            canvas.tool.move(canvas.view.to_wall(at), Keys.of(event.modifiers()))
            canvas.update()
        elif self.drag is not None:
            # A hand is not still while it clicks: nothing moves by a pixel or two.
            self._has_moved = self._has_moved or (at - self._pressed).manhattanLength() >= CLICK
            if self._has_moved:
                self.drag.move(canvas.view.to_wall(at), Keys.of(event.modifiers()))
                canvas.update()
        else:
            canvas.setCursor(Qt.CursorShape.OpenHandCursor if self._space else cursor_at(canvas, at))
        canvas.hover(at)

    def release(self, event: QMouseEvent) -> None:
        canvas = self.canvas
        if self._panning is not None:
            self._panning = None
            canvas.unsetCursor()
            return
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if canvas.tool is not None:
            canvas.tool.release(canvas.view.to_wall(event.position()), Keys.of(event.modifiers()))
            canvas.update()
            return
        if self.drag is None:
            return
        self.drag.finish(self._has_moved)
        self._end()
        if (event.position() - self._pressed).manhattanLength() < CLICK:
            alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
            canvas.clicked.emit(*canvas.view.to_wall(event.position()), CLICK / canvas.view.scale, alt)

    def double(self, event: QMouseEvent) -> None:
        """The second click at a place: on words it goes to their text, on other ink it selects the part there, on a corner
        of a keep-out it takes that away."""
        canvas = self.canvas
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if canvas.tool is not None:
            canvas.tool.double(canvas.view.to_wall(event.position()))
        elif remove_corner_at(canvas, event.position()):
            pass
        elif words := words_at(canvas, event.position()):
            canvas.session.select(f"placement:{words}")
            canvas.words_wanted.emit()
        elif drag := begin_part_drag(canvas, event.position()):
            self._pressed, self._has_moved, self.drag = event.position(), False, drag
            canvas.update()
        else:
            self.press(event)

    def give_up(self) -> None:
        """Ends a drag as if it had not been begun."""
        self.canvas.session.abandon_step()
        self._end()

    def _end(self) -> None:
        self.drag = None
        self.canvas.session.history.close_step()
        self.canvas.zone.refine_soon()
        self.canvas.update()

    def wheel(self, event: QWheelEvent) -> None:
        """A wheel zooms at the pointer, a touch pad pans; with Ctrl both zoom. Sideways, or with Shift, both pan."""
        zooms = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        across = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        pad = event.device() is not None and event.device().type() == QInputDevice.DeviceType.TouchPad
        pixels, angle = event.pixelDelta(), event.angleDelta()
        if not zooms and (pad or not pixels.isNull()):
            self.canvas.pan(QPointF(pixels if not pixels.isNull() else angle / 4))
        elif not zooms and (across or not angle.y()):
            self.canvas.pan(QPointF(angle.x() or angle.y(), 0) / 2)
        elif angle.y():
            self.canvas.zoom(1.2 ** (angle.y() / 120), event.position())

    def gesture(self, event: QNativeGestureEvent) -> bool:
        """Two fingers on a touch pad: zooming at the pointer."""
        if event.gestureType() != Qt.NativeGestureType.ZoomNativeGesture:
            return False
        self.canvas.zoom(1.0 + event.value(), event.position())
        return True

    def hold_space(self, held: bool) -> None:
        """While the space bar is held the pointer pans."""
        self._space = held
        self.canvas.setCursor(
            Qt.CursorShape.OpenHandCursor if held else cursor_at(self.canvas, self.at)
        )  # fmt: skip

    def words(self) -> str:
        """Where the pointer is, for the status bar."""
        x, y = self.canvas.view.to_wall(self.at)
        return tr("{0:.0f} mm right, {1:.0f} mm down", x, y)
