"""An array of lines is drawn alike by QPainter's own function, by the binding, and by QPainter from a list of lines."""

import sys
import threading

import numpy as np
import pytest
from PySide6.QtCore import QLineF
from PySide6.QtGui import QColor, QImage, QPainter, QPen

from wallwright.window.ink import line_drawing
from wallwright.window.ink.line_drawing import (
    BATCH,
    ITANIUM_NAME,
    draw_lines,
    draw_through_binding,
    draws_as_the_binding,
    exported_function,
    native_function,
)

LINES = np.random.default_rng(1).random((2 * BATCH + 234, 4)) * 200


def picture(draw) -> QImage:
    image = QImage(200, 200, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(0, 0, 0), 1.5))
    draw(painter)
    painter.end()
    return image


@pytest.fixture(scope="module")
def wanted(qapp):
    """QPainter.drawLines of QLineF objects is the judge."""
    found = picture(lambda painter: painter.drawLines([QLineF(*line) for line in LINES.tolist()]))
    assert found != picture(lambda painter: None)
    return found


@pytest.fixture
def without_native(monkeypatch):
    monkeypatch.setattr(line_drawing, "native_function", lambda: None)


def test_lines_of_an_array_are_drawn_as_qt_draws_a_list_of_them(wanted):
    assert picture(lambda painter: draw_lines(painter, LINES)) == wanted
    turned = np.asfortranarray(LINES).astype(np.float32).astype(np.float64)
    assert picture(lambda painter: draw_lines(painter, turned)) == picture(
        lambda painter: draw_lines(painter, turned.copy("C"))
    )


def test_the_binding_draws_the_same_where_the_function_is_not_found(wanted, without_native):
    assert picture(lambda painter: draw_lines(painter, LINES)) == wanted


def test_no_lines_draw_nothing(qapp):
    none = picture(lambda painter: None)
    assert picture(lambda painter: draw_lines(painter, LINES[:0])) == none
    assert picture(lambda painter: draw_through_binding(painter, LINES[:0])) == none


@pytest.mark.skipif(sys.platform != "linux", reason="tried on Linux only")
def test_the_function_of_this_platform_is_found_and_tried():
    function = native_function()
    assert function is not None and draws_as_the_binding(function)


def test_a_function_that_is_not_there_or_draws_otherwise_is_not_used(qapp):
    assert exported_function("libQt6Gui.so.6", ITANIUM_NAME.replace("Lines", "Spirals")) is None
    assert exported_function("no such library", ITANIUM_NAME) is None
    assert not draws_as_the_binding(lambda painter, lines, count: None)


def test_several_threads_draw_at_once(wanted):
    found = {}

    def draw(number: int) -> None:
        found[number] = picture(lambda painter: draw_lines(painter, LINES))

    threads = [threading.Thread(target=draw, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [found[number] == wanted for number in range(4)] == [True] * 4
