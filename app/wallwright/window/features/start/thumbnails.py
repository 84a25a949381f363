"""Pictures of recent projects: the artwork between its anchors as each was last left, without rulers and zone."""

from __future__ import annotations

import contextlib
import hashlib
from pathlib import Path

import numpy as np
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPixmap, QPolygonF

from wallwright.document.document import Document
from wallwright.document.log import state_folder
from wallwright.document.placing import placement_corners
from wallwright.strokes.strokes import Strokes
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import ANCHOR, PAPER
from wallwright.window.ink.miniature import ink_image
from wallwright.window.widgets.theme import OnWall, on_wall

SIZE = QSize(264, 176)
"""Pixels: twice as many as are shown, for fine screens."""
AROUND = 0.06
"""Of the picture's longer side, left around what it shows."""
FAINTEST = 1.4
"""Pixels of the thinnest line."""
MOST_KEPT = 24
"""Files; the oldest go."""


def _file(project: Path) -> Path:
    name = hashlib.sha256(str(project.resolve()).encode()).hexdigest()[:24]
    return state_folder() / "pictures" / f"{name}.png"


def keep_picture(project: Path, document: Document, strokes: Strokes) -> None:
    """Keeps a small picture. A folder that cannot be written costs the picture only."""
    file = _file(project)
    with contextlib.suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        painted(document, strokes).save(str(file))
        for old in sorted(file.parent.glob("*.png"), key=lambda f: f.stat().st_mtime)[:-MOST_KEPT]:
            old.unlink()


def painted(document: Document, strokes: Strokes) -> QImage:
    """What of the wall lies between anchors and artwork, with the strokes on it; transparent beyond the wall."""
    image = QImage(SIZE, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    wall, view = document.wall, View.fitting(shown_box(document), SIZE.width(), SIZE.height(), 2)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    room = view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor)
    room = room.intersected(QRectF(0.5, 0.5, SIZE.width() - 1, SIZE.height() - 1))
    painter.setPen(QPen(on_wall(OnWall.EDGE), 1.0))
    painter.setBrush(PAPER)
    painter.drawRect(room)
    painter.setClipRect(room)
    painter.setBrush(QColor(214, 210, 200))
    for keep_out in wall.keep_outs:
        painter.drawPolygon(QPolygonF([view.to_screen(*p) for p in keep_out.outline]))
    ink = ink_image(strokes, document.pens, SIZE, (view.left, view.top), view.scale, FAINTEST)
    painter.drawImage(0, 0, ink)
    painter.setPen(QPen(QColor("#ffffff"), 1.5))
    painter.setBrush(ANCHOR)
    for hanging in document.hangings:
        for anchor in (hanging.left, hanging.right):
            painter.drawEllipse(view.to_screen(anchor.x, anchor.y), 5.0, 5.0)
    painter.end()
    return image


def shown_box(document: Document) -> tuple[float, float, float, float]:
    """Left, top, right, bottom, mm, of the picture: artwork and anchors with room around, no further than the wall."""
    wall = document.wall
    points = [corner for p in document.placements if p.visible for corner in placement_corners(p).tolist()]
    if not points:
        return wall.left, wall.top, wall.right, wall.floor
    points += [(a.x, a.y) for h in document.hangings for a in (h.left, h.right)]
    low, high = np.min(points, axis=0), np.max(points, axis=0)
    room = AROUND * float((high - low).max())
    return (
        max(low[0] - room, wall.left),
        max(low[1] - room, wall.top),
        min(high[0] + room, wall.right),
        min(high[1] + room, wall.floor),
    )


def picture_of(project: Path) -> QPixmap:
    """The picture kept of a project; a null one when there is none."""
    return QPixmap(str(_file(project)))


def empty_picture() -> QPixmap:
    """A wall with nothing on it, of the same size."""
    pixmap = QPixmap(SIZE)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setPen(QPen(on_wall(OnWall.EDGE), 1.0))
    painter.setBrush(PAPER)
    painter.drawRect(QRectF(0.5, 0.5, SIZE.width() - 1, SIZE.height() - 1))
    painter.end()
    return pixmap
