"""Moving about on the wall: wheel, touch pad, pinch, space bar and middle button; ink keeps its width in mm."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QInputDevice, QNativeGestureEvent, QPointingDevice, QWheelEvent
from PySide6.QtWidgets import QApplication

from tests.support.hands import NO_KEY, hover
from wallwright.window.model.items import WALL, PlacementItem

AT, NO_PIXELS = QPointF(300, 250), QPoint()
LEFT, MIDDLE = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton


def turn_wheel(window, angle: QPoint, pixels: QPoint = NO_PIXELS, keys=NO_KEY, device=None) -> None:
    canvas = window.canvas
    device = device or QPointingDevice.primaryPointingDevice()
    event = QWheelEvent(
        AT,
        canvas.mapToGlobal(AT),
        pixels,
        angle,
        Qt.MouseButton.NoButton,
        keys,
        Qt.ScrollPhase.NoScrollPhase,
        False,
        Qt.MouseEventSource.MouseEventNotSynthesized,
        device,
    )
    QApplication.sendEvent(canvas, event)


@pytest.fixture
def pad():
    return QPointingDevice(
        "pad",
        7,
        QInputDevice.DeviceType.TouchPad,
        QPointingDevice.PointerType.Finger,
        QInputDevice.Capability.PixelScroll | QInputDevice.Capability.Scroll,
        5,
        3,
    )


def test_the_wheel_zooms_at_the_pointer_smoothly(window):
    """A fine wheel tells parts of a notch: so many parts make as much as the notch."""
    before, there = window.canvas.view, window.canvas.view.to_wall(AT)
    turn_wheel(window, QPoint(0, 120))
    whole = window.canvas.view
    assert whole.scale == pytest.approx(1.2 * before.scale) and whole.to_wall(AT) == pytest.approx(there)
    window.canvas.view = before
    for _ in range(8):
        turn_wheel(window, QPoint(0, 15))
    assert window.canvas.view.scale == pytest.approx(whole.scale)
    turn_wheel(window, QPoint(0, -120))
    assert window.canvas.view.scale == pytest.approx(before.scale)


def test_a_touch_pad_pans_and_with_control_zooms(window, pad):
    before, there = window.canvas.view, window.canvas.view.to_wall(AT)
    turn_wheel(window, QPoint(40, -60), QPoint(20, -30), device=pad)
    assert window.canvas.view.to_screen(*there) == AT + QPointF(20, -30)
    assert window.canvas.view.scale == before.scale
    turn_wheel(window, QPoint(0, 60), QPoint(0, 30), Qt.KeyboardModifier.ControlModifier, pad)
    assert window.canvas.view.scale > before.scale


def test_a_sideways_wheel_and_shift_pan_across(window):
    there = window.canvas.view.to_wall(AT)
    turn_wheel(window, QPoint(120, 0))
    moved = window.canvas.view.to_screen(*there)
    assert moved.x() > AT.x() + 10 and moved.y() == pytest.approx(AT.y())
    turn_wheel(window, QPoint(0, -120), keys=Qt.KeyboardModifier.ShiftModifier)
    back = window.canvas.view.to_screen(*there)
    assert (back.x(), back.y()) == pytest.approx((AT.x(), AT.y()))


def test_a_pinch_zooms_at_the_pointer(window, pad):
    canvas, before = window.canvas, window.canvas.view
    there = before.to_wall(AT)
    for kind, value in (
        (Qt.NativeGestureType.BeginNativeGesture, 0.0),
        (Qt.NativeGestureType.ZoomNativeGesture, 0.25),
        (Qt.NativeGestureType.EndNativeGesture, 0.0),
    ):
        event = QNativeGestureEvent(kind, pad, 2, AT, AT, canvas.mapToGlobal(AT), value, QPointF())
        QApplication.sendEvent(canvas, event)
    assert canvas.view.scale == pytest.approx(1.25 * before.scale)
    assert canvas.view.to_wall(AT) == pytest.approx(there)


@pytest.mark.parametrize("by_space", [True, False])
def test_space_and_the_middle_button_pan_and_change_nothing_else(qtbot, window, by_space):
    canvas, before = window.canvas, window.models.project.document
    start, end = QPoint(400, 300), QPoint(340, 390)
    there = canvas.view.to_wall(start.toPointF())
    button = LEFT if by_space else MIDDLE
    canvas.setFocus()
    if by_space:
        qtbot.keyPress(canvas, Qt.Key.Key_Space)
    qtbot.mousePress(canvas, button, pos=start)
    hover(window, end, button=button)
    qtbot.mouseRelease(canvas, button, pos=end)
    if by_space:
        qtbot.keyRelease(canvas, Qt.Key.Key_Space)
    shown = canvas.view.to_screen(*there)
    assert (shown.x(), shown.y()) == pytest.approx((end.x(), end.y()))
    assert window.models.project.document is before and window.models.selection.item == WALL
    # Afterwards the left button selects again.
    qtbot.mouseClick(canvas, LEFT, pos=canvas.view.to_screen(1050, 1000).toPoint())
    assert window.models.selection.item == PlacementItem("placement-1")


def test_ink_is_as_wide_as_the_pen_at_every_zoom(qtbot, yard):
    """A plumb edge of the house, drawn with a pen of 2 mm: dark over so many pixels as 2 mm are."""
    canvas = yard.canvas
    canvas.show_zone("")
    yard.models.project.set_field("Fill", "settings.fill.kind", "none")
    yard.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: not yard.models.planning.plan_is_stale and not yard.models.planning.is_planning,
        timeout=60_000,
    )
    for scale in (4.0, 10.0):
        canvas.look_at((800, 740, 830, 760))
        canvas.zoom(scale / canvas.view.scale)
        canvas.view = type(canvas.view)(811 - 150 / scale, 750 - 150 / scale, scale)
        qtbot.waitUntil(lambda: (canvas.repaint(), canvas.ink.is_complete)[1], timeout=10_000)
        image = canvas.grab().toImage()
        dark = []
        for y in range(140, 160):
            greens = np.array([image.pixelColor(x, y).green() for x in range(110, 150 + int(1.4 * scale))])
            dark.append((greens < 140).sum())
        assert dark == pytest.approx([2 * scale] * 20, abs=1)
