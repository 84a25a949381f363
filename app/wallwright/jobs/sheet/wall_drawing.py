"""The picture of the wall on the hanging sheet: to scale, with anchors, machine, strokes and measures."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QPolygonF, QTransform

from wallwright.artwork.colour import pale
from wallwright.document.language import tr
from wallwright.document.wall import Wall
from wallwright.jobs.job import Job
from wallwright.jobs.sheet.ink_picture import ink_picture
from wallwright.statics.pose import span_curve
from wallwright.strokes.strokes import Strokes


def paint_wall(painter: QPainter, job: Job, frame: QRectF) -> float:
    """Paints the wall into a frame (device units) and returns the scale, device units per mm."""
    wall = job.document.wall
    scale = min(frame.width() / wall.width, frame.height() / wall.height)
    painter.save()
    painter.translate(frame.center().x(), frame.top() + wall.height * scale / 2)
    painter.scale(scale, scale)
    painter.translate(-(wall.left + wall.width / 2), -(wall.top + wall.height / 2))
    thin = 0.35 * _mm_on_paper(painter) / scale
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor("#666666"), thin))
    painter.drawRect(QRectF(wall.left, wall.top, wall.width, wall.height))
    painter.setBrush(QColor("#dddddd"))
    for keep_out in wall.keep_outs:
        painter.drawPolygon(QPolygonF([QPointF(*p) for p in keep_out.outline]))
        box = QPolygonF([QPointF(*p) for p in keep_out.outline]).boundingRect()
        _label_box(painter, keep_out.name, box, wall, scale)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    _neighbours(painter, job, thin, scale)
    _ink(painter, job, thin, scale)
    _goes_on(painter, job, thin)
    _machine(painter, job, thin)
    _measures(painter, job, thin, scale)
    _page(painter, job, thin, scale)
    painter.restore()
    return scale


def _neighbours(painter: QPainter, job: Job, thin: float, scale: float) -> None:
    """The other hangings' anchors with their names, and the crosses that this one is lined up by."""
    painter.setPen(QPen(QColor("#888888"), 0.8 * thin))
    for number, hanging in enumerate(job.document.hangings):
        if number == job.hanging_index:
            continue
        for anchor in (hanging.left, hanging.right):
            painter.drawEllipse(QPointF(anchor.x, anchor.y), 2.5 * thin, 2.5 * thin)
        middle = (hanging.left.x + hanging.right.x) / 2, (hanging.left.y + hanging.right.y) / 2
        _label(painter, hanging.name, middle[0], middle[1] + 14 * thin, scale)
    painter.setPen(QPen(QColor("#a00000"), 0.8 * thin))
    arm = max(job.document.settings.joining.arm, 5 * thin)
    for mark in job.seeks:
        painter.drawLine(QLineF(mark.x - arm, mark.y, mark.x + arm, mark.y))
        painter.drawLine(QLineF(mark.x, mark.y - arm, mark.x, mark.y + arm))
        _label(painter, mark.name, mark.x + 2 * arm, mark.y - 2 * arm, scale)


def _mm_on_paper(painter: QPainter) -> float:
    return painter.device().logicalDpiX() / 25.4


def _ink(painter: QPainter, job: Job, thin: float, scale: float) -> None:
    parts: list[tuple[Strokes, Callable[[str], str]]] = [(job.strokes, str)]
    if job.before is not None:
        parts.insert(0, (job.before.drawn, pale))
    for strokes, shade in parts:
        found = ink_picture(strokes, job.document.pens, scale, 0.4 * thin, shade)
        if found is not None:
            picture, place = found
            painter.setRenderHints(
                QPainter.RenderHint.SmoothPixmapTransform | QPainter.RenderHint.LosslessImageRendering
            )
            painter.drawImage(place, picture, QRectF(picture.rect()))


def _goes_on(painter: QPainter, job: Job, thin: float) -> None:
    """A ring around the place where a rest begins."""
    if job.before is not None:
        x, y = job.strokes.points[0]
        painter.setPen(QPen(QColor("#a00000"), 1.5 * thin))
        painter.drawEllipse(QPointF(x, y), 7 * thin, 7 * thin)


def _machine(painter: QPainter, job: Job, thin: float) -> None:
    pose = job.start_pose
    painter.setPen(QPen(QColor("#1f4e8c"), 1.5 * thin))
    for side in (0, 1):
        curve = span_curve(job.rig, pose, 0, side)
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in curve.tolist()]))
        x, y = job.rig.anchors[side]
        painter.setBrush(QColor("#1f4e8c"))
        painter.drawEllipse(QPointF(x, y), 3 * thin, 3 * thin)
        painter.setBrush(Qt.BrushStyle.NoBrush)
    turn = QTransform()
    turn.translate(*pose.pen[0])
    turn.rotateRadians(pose.tilt[0])
    outline = turn.map(QPolygonF([QPointF(*p) for p in job.document.machine.body.outline]))
    painter.drawPolygon(outline)
    x, y = pose.pen[0]
    painter.drawLine(QLineF(x - 6 * thin, y, x + 6 * thin, y))
    painter.drawLine(QLineF(x, y - 6 * thin, x, y + 6 * thin))


def _measures(painter: QPainter, job: Job, thin: float, scale: float) -> None:
    """Dimension lines: anchor distance, and down to the starting point."""
    painter.setPen(QPen(QColor("#333333"), 0.6 * thin))
    (lx, ly), (rx, ry) = job.rig.anchors
    above = min(ly, ry) - 14 * thin
    painter.drawLine(QLineF(lx, above, rx, above))
    for x, y in ((lx, ly), (rx, ry)):
        painter.drawLine(QLineF(x, above - 4 * thin, x, y))
    _label(painter, f"{np.hypot(rx - lx, ry - ly):.0f} mm", (lx + rx) / 2, above - 8 * thin, scale)
    x, y = job.hanging.start_point
    painter.drawLine(QLineF(lx, ly, lx, y))
    painter.drawLine(QLineF(lx, y, x - 8 * thin, y))
    _label(painter, tr("{0:.0f} mm down", y - ly), lx, (ly + y) / 2, scale)
    _label(painter, tr("{0:.0f} mm right", x - lx), lx + (x - lx) * 0.3, y, scale)
    if len(job.strokes):
        low, high = job.strokes.points.min(axis=0), job.strokes.points.max(axis=0)
        painter.setPen(QPen(QColor("#333333"), 0.6 * thin, Qt.PenStyle.DashLine))
        painter.drawRect(QRectF(QPointF(*low), QPointF(*high)))
        size = tr("drawing {0:.0f} × {1:.0f} mm", high[0] - low[0], high[1] - low[1])
        _label(painter, size, (low[0] + high[0]) / 2, high[1] + 12 * thin, scale)


def _page(painter: QPainter, job: Job, thin: float, scale: float) -> None:
    """The frame that a machine's own page shows, by its numbers from the left anchor."""
    if job.drawing is None:
        return
    left, top, right, bottom = job.drawing.layout.box
    anchor = job.hanging.left
    frame = QRectF(QPointF(anchor.x + left, anchor.y + top), QPointF(anchor.x + right, anchor.y + bottom))
    painter.setPen(QPen(QColor("#7a3db8"), thin, Qt.PenStyle.DotLine))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(frame)
    text = tr("page {0:.0f} x {1:.0f} mm", right - left, bottom - top)
    _label(painter, text, frame.center().x(), frame.top() - 6 * thin, scale)


def _label_box(painter: QPainter, text: str, box: QRectF, wall: Wall, scale: float) -> None:
    """A name in the middle of a box; beside one that is too small for it, on the side where the wall has more room."""
    painter.save()
    painter.setFont(_font())
    size = painter.boundingRect(QRectF(0, 0, 1e4, 1e4), Qt.AlignmentFlag.AlignLeft, text).size() / scale
    painter.restore()
    x, y = box.center().x(), box.center().y()
    if size.width() > box.width() or size.height() > box.height():
        aside = 0.55 * size.width()
        x = box.right() + aside if box.center().x() < wall.left + wall.width / 2 else box.left() - aside
    _label(painter, text, x, y, scale)


def _font() -> QFont:
    font = QFont("DejaVu Sans")
    font.setPointSizeF(7.5)
    return font


def _label(painter: QPainter, text: str, x: float, y: float, scale: float) -> None:
    """Words of a fixed size on paper, on white, centred at a point of the wall."""
    painter.save()
    painter.translate(x, y)
    painter.scale(1 / scale, 1 / scale)
    painter.setFont(_font())
    box = painter.boundingRect(QRectF(-1e4, -1e4, 2e4, 2e4), Qt.AlignmentFlag.AlignCenter, text)
    painter.fillRect(box, QColor(255, 255, 255, 220))
    painter.setPen(QColor("#111111"))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
    painter.restore()
