"""True size: a mm on the wall is a mm on this screen, as the screen says or as a person has measured."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QDialogButtonBox

from wallwright.window.features.screen_scale.measure_dialog import CARD, EDGE, STEPS, MeasureScreen
from wallwright.window.model import screen_scale


@pytest.fixture
def dialog(qtbot, window):
    dialog = MeasureScreen(window)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitExposed(dialog)
    return dialog


def press(dialog, which) -> None:
    dialog.findChild(QDialogButtonBox).button(which).click()


def test_without_a_measurement_the_screen_is_believed(window):
    screen = window.screen()
    window.parts.actions["actual-size"].trigger()
    reported = screen.physicalDotsPerInch() / 25.4
    assert window.canvas.view.scale == pytest.approx(reported) and reported > 1
    assert "Measure this screen" in window.statusBar().currentMessage()


def test_a_card_held_against_the_screen_makes_true_size_true(qtbot, window, dialog):
    """The card's right edge lies at 300 logical pixels from its left: whatever the screen says, that is 85.6 mm,
    the width of an ID-1 card (ISO/IEC 7810:2019, 5.1: 85.60 mm; from memory)."""
    gauge = dialog.gauge
    edge = QPoint(round(gauge.right), 40)
    qtbot.mousePress(gauge, Qt.MouseButton.LeftButton, pos=edge)
    qtbot.mouseMove(gauge, QPoint(round(EDGE) + 300, 40))
    qtbot.mouseRelease(gauge, Qt.MouseButton.LeftButton, pos=QPoint(round(EDGE) + 300, 40))
    assert gauge.right == pytest.approx(EDGE + 300)
    press(dialog, QDialogButtonBox.StandardButton.Ok)
    window.parts.actions["actual-size"].trigger()
    view = window.canvas.view
    assert (view.to_screen(CARD[0], 0) - view.to_screen(0, 0)).x() == pytest.approx(300, abs=0.01)
    assert window.statusBar().currentMessage() == ""
    # The next dialog begins there, and can forget it.
    again = MeasureScreen(window)
    qtbot.addWidget(again)
    assert again.gauge.right == pytest.approx(EDGE + 300, abs=0.5)
    again.forget.click()
    assert screen_scale.measured(window.screen()) is None


def test_given_up_nothing_is_kept(window, dialog):
    dialog.slider.setValue(1300)
    press(dialog, QDialogButtonBox.StandardButton.Cancel)
    assert screen_scale.measured(window.screen()) is None


def test_keys_move_the_line_finely_from_half_to_twice(qtbot, dialog):
    dialog.slider.setValue(STEPS // 2)
    before = dialog.gauge.right
    qtbot.keyClick(dialog.slider, Qt.Key.Key_Right)
    assert 0 < dialog.gauge.right - before < 0.0008 * CARD[0] * dialog.gauge.scale
    reported = screen_scale.reported(dialog.screen())
    for step, share in ((0, 0.5), (STEPS, 2.0)):
        dialog.slider.setValue(step)
        assert dialog.value == pytest.approx(reported * share)
        assert dialog.gauge.minimumWidth() > dialog.gauge.right


def test_a_ruler_is_100_mm_long(dialog):
    scale = dialog.gauge.scale
    before = dialog.gauge.grab().toImage()
    dialog.ruler.setChecked(True)
    assert dialog.gauge.right == pytest.approx(EDGE + 100 * scale)
    assert dialog.gauge.grab().toImage() != before


def test_what_is_kept_is_of_one_screen_and_nonsense_is_not_believed(window):
    screen = window.screen()
    screen_scale.keep(screen, 5.25)
    assert screen_scale.pixels_per_mm(screen) == 5.25
    screen_scale.keep(screen, 0.001)
    assert screen_scale.pixels_per_mm(screen) == screen_scale.reported(screen)
    screen_scale.keep(screen, None)
    assert screen_scale.measured(screen) is None
