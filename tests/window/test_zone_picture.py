"""The zone's kept picture, copied while the wall is panned."""

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from app.planning.demo import demo_document
from app.window.canvas.live_zone import LiveZone
from app.window.canvas.view import View


def test_a_moved_zone_is_the_zone_painted_anew():
    """Two pictures of one view, one of them copied while panning, differ by no more than a pixel's rounding."""
    document = demo_document()
    zone = LiveZone(lambda: None, None)
    layer = zone.of(document, coarse=False)

    def picture(view: View) -> np.ndarray:
        image = QImage(500, 400, QImage.Format.Format_ARGB32)
        image.fill(Qt.GlobalColor.white)
        painter = QPainter(image)
        layer.paint(painter, view, QApplication.palette())
        painter.end()
        return np.frombuffer(image.constBits(), np.uint8).reshape(400, 500, 4).astype(int)

    view = View(300.0, 100.0, 0.35)
    picture(view)
    picture(view)  # from here on a picture is kept
    copied = picture(view.moved(-37, 21))
    far = picture(view.moved(-900, -700))
    layer._at = None
    fresh = picture(view.moved(-37, 21))
    assert (np.abs(copied - fresh).max(axis=2) > 8).mean() < 0.001
    layer._at = None
    assert (np.abs(far - picture(view.moved(-900, -700))).max(axis=2) > 8).mean() < 0.001
