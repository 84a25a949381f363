"""Pictures of recent projects: the artwork between its anchors as each was last left, without rulers and zone."""

from __future__ import annotations

import contextlib
import hashlib
from pathlib import Path

import numpy as np
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPen, QPixmap, QPolygonF

from wallwright.document.document import Document
from wallwright.document.log import state_folder
from wallwright.document.placing import placement_corners
from wallwright.strokes.strokes import Strokes
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import ANCHOR, PAPER
from wallwright.window.ink.thinning import kept_points, segments_of
from wallwright.window.ink.tile import draw_pen
from wallwright.window.widgets.theme import OnWall, on_wall

SIZE = QSize(264, 176)
"""Pixels: twice as many as are shown, for fine screens."""
AROUND = 0.06
"""Of the picture's longer side, left around what it shows."""
FAINTEST = 1.4
"""Pixels of the thinnest line."""
FINER = 4
"""Times that ink is painted enlarged."""
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
    _paint_strokes(painter, view, document, strokes)
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


def _paint_strokes(painter: QPainter, view: View, document: Document, strokes: Strokes) -> None:
    start, end = segments_of(strokes, kept_points(strokes, 0.7 / view.scale))
    if not len(end):
        return
    # Enlarged and averaged: side by side in one pixel, soft edges leave much of a fill's ink out.
    ink = QImage(SIZE * FINER, QImage.Format.Format_ARGB32_Premultiplied)
    ink.fill(Qt.GlobalColor.transparent)
    fine = QPainter(ink)
    fine.setRenderHint(QPainter.RenderHint.Antialiasing)
    places = (strokes.points - (view.left, view.top)) * view.scale * FINER
    lines = np.hstack([places[start], places[end]]).T
    counts = np.diff(strokes.offsets)
    pens, is_fill = np.repeat(strokes.pen, counts)[end], np.repeat(strokes.is_fill, counts)[end]
    for pen in np.unique(pens).tolist():
        if pen < len(document.pens):
            brush, width = QBrush(QColor(document.pens[pen].colour)), document.pens[pen].width * view.scale
            # Fills keep their true width, so that their tone is right; single lines must be seen.
            for of, wide in ((is_fill, width), (~is_fill, max(FAINTEST, width))):
                draw_pen(fine, lines[:, (pens == pen) & of], brush, wide * FINER, FINER)
    fine.end()
    smooth = Qt.TransformationMode.SmoothTransformation
    painter.drawImage(0, 0, ink.scaled(SIZE, Qt.AspectRatioMode.IgnoreAspectRatio, smooth))


def picture_of(project: Path) -> QPixmap:
    """The picture kept of a project; a null one when there is none."""
    return QPixmap(str(_file(project)))
