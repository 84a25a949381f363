"""Kept pictures of the canvas: copied while the wall is panned or the pointer moves, and never an old one."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter, QPalette

from wallwright.document import edits
from wallwright.planning.demo import demo_document
from wallwright.window.canvas.pixmap_cache import PixmapCache
from wallwright.window.canvas.rulers import Rulers
from wallwright.window.canvas.view import View
from wallwright.window.canvas.zone_layer import LiveZone

SEEN = QRectF(0, 0, 500, 400)


def pixels(image: QImage) -> np.ndarray:
    image = image.convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4).astype(int)


def differing(a: np.ndarray, b: np.ndarray) -> float:
    return float((np.abs(a - b).max(axis=2) > 8).mean())


def test_a_moved_picture_is_the_same_as_one_painted_anew():
    """Two pictures of one view, one of them copied while panning, differ by no more than a pixel's rounding."""
    layer = LiveZone(lambda: None, None).of(demo_document(), coarse=False)

    def paint(painter: QPainter, view: View, area: QRectF) -> None:
        painter.fillRect(area, "#ffffff")
        layer.paint(painter, view)

    def picture(kept: PixmapCache, view: View) -> np.ndarray:
        image = QImage(500, 400, QImage.Format.Format_RGB32)
        painter = QPainter(image)
        kept.paint(painter, view, SEEN, (layer,), paint)
        painter.end()
        return pixels(image)

    kept, view = PixmapCache(), View(300.0, 100.0, 0.35)
    picture(kept, view)
    picture(kept, view)  # from here on a picture is kept
    for moved in (view.moved(-37, 21), view.moved(-900, -700)):
        assert differing(picture(kept, moved), picture(PixmapCache(), moved)) < 0.001


def test_rulers_are_the_same_however_they_came_about():
    def picture(rulers: Rulers, view: View) -> np.ndarray:
        image = QImage(500, 400, QImage.Format.Format_RGB32)
        image.fill("#ffffff")
        painter = QPainter(image)
        rulers.paint(painter, view, 500, 400, QPalette())
        painter.end()
        return pixels(image)

    rulers, view = Rulers(), View(300.0, 100.0, 0.5)
    for shift in (0, 0, -13, -700):  # the wall's mm are on whole pixels in all of them
        moved = view.moved(shift, 2 * shift)
        assert differing(picture(rulers, moved), picture(Rulers(), moved)) < 0.002


def test_the_machine_over_a_kept_picture_is_as_if_all_was_painted(window, qtbot):
    """The same pointer after a scene was kept, and in a canvas that has just forgotten it."""
    canvas = window.canvas
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: window.models.planning.preview is not None and canvas.ink.is_complete, timeout=30_000
    )
    window.models.cancel()
    for x in (700.0, 800.0, 900.0):
        canvas.show_machine((x, 900.0))
        kept = pixels(canvas.grab().toImage())
        canvas.update()
        assert differing(kept, pixels(canvas.grab().toImage())) == 0
    placement = window.models.project.document.placements[0]
    for moved in (50.0, 100.0):  # an edit is seen at once
        before = pixels(canvas.grab().toImage())
        document = edits.set_placement(window.models.project.document, placement.id, x=placement.x + moved)
        window.models.project.edit("Move", document)
        assert differing(before, pixels(canvas.grab().toImage())) > 0.002
    before = canvas.grab().toImage()
    canvas.pan(QPointF(9, 0))
    assert before != canvas.grab().toImage()
