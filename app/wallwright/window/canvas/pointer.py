"""Mouse, wheel and touch pad on the canvas: panning, zooming, dragging, hovering."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QInputDevice, QMouseEvent, QNativeGestureEvent, QWheelEvent

from wallwright.window.canvas.artwork_drag import begin_part_drag
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.drag import begin_drag
from wallwright.window.canvas.hit_testing import TargetKind, cursor_at, target_at, text_at
from wallwright.window.canvas.interaction import Drag, Keys, Tool
from wallwright.window.canvas.keep_out_drag import remove_corner

CLICK = 6.0
"""Logical pixels within which a press and its release are a click, and a stroke is under the pointer."""
WHEEL_ZOOM = 1.2
"""Zoom by one step of a wheel, 120 units of QWheelEvent.angleDelta."""


class PointerSurface(CanvasContext, Protocol):
    """The canvas, as far as the pointer moves, edits and repaints it."""

    tool: Tool | None

    def pan(self, by: QPointF) -> None:
        """Moves what is shown by logical pixels."""

    def zoom(self, factor: float, at: QPointF | None = None) -> None:
        """Larger or smaller about a point of the widget."""

    def hover(self, at: QPointF) -> None:
        """The pointer is at a point of the widget."""

    def click(self, at: QPointF, reach: float, with_alt: bool) -> None:
        """A press and a release that dragged nothing; reach: logical pixels."""

    def edit_text(self, placement: str) -> None:
        """The text of a placement is to be typed over."""

    def finish_drag(self) -> None:
        """What was dragged rests where it is."""

    def update(self) -> None:
        """Everything may look different."""

    def setCursor(self, cursor: Qt.CursorShape, /) -> None:
        """Of the widget."""

    def unsetCursor(self) -> None:
        """The widget has the cursor of its parent again."""


class PointerHandler:
    """What the pointer is doing on a canvas."""

    def __init__(self, surface: PointerSurface) -> None:
        self._surface = surface
        self.drag: Drag | None = None
        self.at = QPointF()
        """Where it was last seen on the widget."""
        self._panning: QPointF | None = None
        self._pressed = QPointF()
        self._has_moved = False
        self._holds_space = False

    def press(self, event: QMouseEvent) -> None:
        surface, is_left = self._surface, event.button() == Qt.MouseButton.LeftButton
        self.at, keys = event.position(), Keys.of(event.modifiers())
        if event.button() == Qt.MouseButton.MiddleButton or (is_left and self._holds_space):
            self._panning = self.at
            surface.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif is_left and surface.tool is not None:
            surface.tool.press(surface.view.to_wall(self.at), keys)
            surface.update()
        elif is_left:
            self._begin(begin_drag(surface, self.at, keys))

    def move(self, event: QMouseEvent) -> None:
        surface, at = self._surface, event.position()
        self.at, keys = at, Keys.of(event.modifiers())
        if self._panning is not None:
            surface.pan(at - self._panning)
            self._panning = at
            return
        if surface.tool is not None:
            surface.tool.move(surface.view.to_wall(at), keys)
            surface.update()
        elif self.drag is not None:
            # A hand is not still while it clicks: nothing moves by a pixel or two.
            self._has_moved = self._has_moved or (at - self._pressed).manhattanLength() >= CLICK
            if self._has_moved:
                self.drag.move(surface.view.to_wall(at), keys)
                surface.update()
        else:
            surface.setCursor(self._free_cursor())
        surface.hover(at)

    def release(self, event: QMouseEvent) -> None:
        surface, at = self._surface, event.position()
        if self._panning is not None:
            self._panning = None
            surface.unsetCursor()
            return
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if surface.tool is not None:
            surface.tool.release(surface.view.to_wall(at), Keys.of(event.modifiers()))
            surface.update()
            return
        if self.drag is None:
            return
        self.drag.finish(self._has_moved)
        self._end()
        if (at - self._pressed).manhattanLength() < CLICK:
            surface.click(at, CLICK, bool(event.modifiers() & Qt.KeyboardModifier.AltModifier))

    def double_click(self, event: QMouseEvent) -> None:
        """The second click at a place: on a text it goes to its words, on other ink it selects the part there, a corner of
        a keep-out it removes."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        surface, at = self._surface, event.position()
        self.at = at
        target = target_at(surface, at)
        if surface.tool is not None:
            surface.tool.double_click(surface.view.to_wall(at))
        elif target.kind is TargetKind.CORNER:
            remove_corner(surface.models, target.number)
        elif text := text_at(surface, at):
            surface.edit_text(text)
        elif (drag := begin_part_drag(surface, at)) is not None:
            self._begin(drag)
        else:
            self.press(event)

    def _begin(self, drag: Drag) -> None:
        self._pressed, self._has_moved, self.drag = self.at, False, drag
        self._surface.update()

    def abandon(self) -> None:
        """Ends a drag as if it had not been begun."""
        self._surface.models.project.abandon_step()
        self._end()

    def _end(self) -> None:
        self.drag = None
        self._surface.models.project.close_step()
        self._surface.finish_drag()

    def wheel(self, event: QWheelEvent) -> None:
        """A wheel zooms at the pointer, a touch pad pans; with Ctrl both zoom. Sideways, or with Shift, both pan."""
        surface, modifiers = self._surface, event.modifiers()
        zooms = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
        is_sideways = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        device = event.device()
        is_pad = device is not None and device.type() == QInputDevice.DeviceType.TouchPad
        pixels, angle = event.pixelDelta(), event.angleDelta()
        if not zooms and (is_pad or not pixels.isNull()):
            surface.pan(QPointF(pixels) if not pixels.isNull() else QPointF(angle) / 4)
        elif not zooms and (is_sideways or not angle.y()):
            surface.pan(QPointF(angle.x() or angle.y(), 0) / 2)
        elif angle.y():
            surface.zoom(WHEEL_ZOOM ** (angle.y() / 120), event.position())

    def gesture(self, event: QNativeGestureEvent) -> bool:
        """Two fingers on a touch pad: zooming at the pointer."""
        if event.gestureType() != Qt.NativeGestureType.ZoomNativeGesture:
            return False
        self._surface.zoom(1.0 + event.value(), event.position())
        return True

    def hold_space(self, is_held: bool) -> None:
        """While the space bar is held the pointer pans."""
        self._holds_space = is_held
        self._surface.setCursor(self._free_cursor())

    def _free_cursor(self) -> Qt.CursorShape:
        """The cursor while no button is held."""
        return Qt.CursorShape.OpenHandCursor if self._holds_space else cursor_at(self._surface, self.at)

    def position_text(self) -> str:
        """Where the pointer is, for the status bar."""
        x, y = self._surface.view.to_wall(self.at)
        return self._surface.models.origin.present.text(x, y)
