"""The picture of the wall on the hanging sheet: to scale, with anchors, machine, strokes and measures."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
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
    labels = WallLabels(painter, scale)
    painter.setBrush(QColor("#dddddd"))
    for keep_out in wall.keep_outs:
        painter.drawPolygon(QPolygonF([QPointF(*p) for p in keep_out.outline]))
        box = QPolygonF([QPointF(*p) for p in keep_out.outline]).boundingRect()
        labels.add_box(keep_out.name, box, wall)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    _neighbours(painter, job, thin, labels)
    _ink(painter, job, thin, scale)
    _goes_on(painter, job, thin)
    _machine(painter, job, thin)
    _measures(painter, job, thin, labels)
    _page(painter, job, thin, labels)
    labels.paint()
    painter.restore()
    return scale


def _neighbours(painter: QPainter, job: Job, thin: float, labels: WallLabels) -> None:
    """The other hangings' anchors with their names, and the crosses that this one is lined up by."""
    painter.setPen(QPen(QColor("#888888"), 0.8 * thin))
    for number, hanging in enumerate(job.document.hangings):
        if number == job.hanging_index:
            continue
        for anchor in (hanging.left, hanging.right):
            painter.drawEllipse(QPointF(anchor.x, anchor.y), 2.5 * thin, 2.5 * thin)
        middle = (hanging.left.x + hanging.right.x) / 2, (hanging.left.y + hanging.right.y) / 2
        labels.add(hanging.name, middle[0], middle[1] + 14 * thin)
    painter.setPen(QPen(QColor("#a00000"), 0.8 * thin))
    arm = max(job.document.settings.joining.arm, 5 * thin)
    for mark in job.seeks:
        painter.drawLine(QLineF(mark.x - arm, mark.y, mark.x + arm, mark.y))
        painter.drawLine(QLineF(mark.x, mark.y - arm, mark.x, mark.y + arm))
        labels.keep_clear(QRectF(mark.x - arm, mark.y - arm, 2 * arm, 2 * arm))
        labels.add(mark.name, mark.x + 2 * arm, mark.y - 2 * arm, is_first=True)


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


def _measures(painter: QPainter, job: Job, thin: float, labels: WallLabels) -> None:
    """Dimension lines: anchor distance, and down to the starting point."""
    painter.setPen(QPen(QColor("#333333"), 0.6 * thin))
    (lx, ly), (rx, ry) = job.rig.anchors
    above = min(ly, ry) - 14 * thin
    painter.drawLine(QLineF(lx, above, rx, above))
    for x, y in ((lx, ly), (rx, ry)):
        painter.drawLine(QLineF(x, above - 4 * thin, x, y))
    labels.add(f"{np.hypot(rx - lx, ry - ly):.0f} mm", (lx + rx) / 2, above - 8 * thin)
    x, y = job.hanging.start_point
    painter.drawLine(QLineF(lx, ly, lx, y))
    painter.drawLine(QLineF(lx, y, x - 8 * thin, y))
    labels.add(tr("{0:.0f} mm down", y - ly), lx, (ly + y) / 2)
    labels.add(tr("{0:.0f} mm right", x - lx), lx + (x - lx) * 0.3, y)
    if len(job.strokes):
        low, high = job.strokes.points.min(axis=0), job.strokes.points.max(axis=0)
        painter.setPen(QPen(QColor("#333333"), 0.6 * thin, Qt.PenStyle.DashLine))
        painter.drawRect(QRectF(QPointF(*low), QPointF(*high)))
        size = tr("drawing {0:.0f} × {1:.0f} mm", high[0] - low[0], high[1] - low[1])
        labels.add(size, (low[0] + high[0]) / 2, high[1] + 12 * thin)


def _page(painter: QPainter, job: Job, thin: float, labels: WallLabels) -> None:
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
    labels.add(text, frame.center().x(), frame.top() - 6 * thin)


def _font() -> QFont:
    font = QFont("DejaVu Sans")
    font.setPointSizeF(7.5)
    return font


class WallLabels:
    """Words of a fixed size on paper, on white, centred at points of the wall or as near to them as nothing is covered:
    neither each other nor what is kept clear."""

    def __init__(self, painter: QPainter, scale: float) -> None:
        self._painter, self._scale = painter, scale
        self._wanted: list[tuple[str, QPointF, bool]] = []
        self._taken: list[QRectF] = []

    def keep_clear(self, box: QRectF) -> None:
        """box: mm on the wall."""
        self._taken.append(box)

    def add(self, text: str, x: float, y: float, is_first: bool = False) -> None:
        """is_first: before others, whose place does not matter as much."""
        self._wanted.append((text, QPointF(x, y), is_first))

    def add_box(self, text: str, box: QRectF, wall: Wall) -> None:
        """A name in the middle of a box; beside one that is too small for it, on the side where the wall has more room."""
        size = self._size(text)
        x, y = box.center().x(), box.center().y()
        if size.width() > box.width() or size.height() > box.height():
            aside = 0.55 * size.width()
            x = box.right() + aside if box.center().x() < wall.left + wall.width / 2 else box.left() - aside
        self.add(text, x, y)

    def paint(self) -> None:
        for text, box in self.placed():
            self._painter.save()
            self._painter.translate(box.center())
            self._painter.scale(1 / self._scale, 1 / self._scale)
            self._painter.setFont(_font())
            paper = QRectF(-1e4, -1e4, 2e4, 2e4)
            around = self._painter.boundingRect(paper, Qt.AlignmentFlag.AlignCenter, text)
            self._painter.fillRect(around, QColor(255, 255, 255, 220))
            self._painter.setPen(QColor("#111111"))
            self._painter.drawText(around, Qt.AlignmentFlag.AlignCenter, text)
            self._painter.restore()

    def placed(self) -> list[tuple[str, QRectF]]:
        """The texts with their boxes, mm on the wall."""
        taken, found = list(self._taken), []
        for text, middle, _ in sorted(self._wanted, key=lambda label: not label[2]):
            size = self._size(text)
            boxes = []
            for across, down in AROUND:
                box = QRectF(QPointF(), size)
                box.moveCenter(middle + QPointF(across * 0.55 * size.width(), down * 1.1 * size.height()))
                boxes.append(box)
            best = min(boxes, key=lambda box: _covered(box, taken))  # the first of those that are as good
            taken.append(best)
            found.append((text, best))
        return found

    def _size(self, text: str) -> QSizeF:
        """mm on the wall."""
        self._painter.save()
        self._painter.setFont(_font())
        size = self._painter.boundingRect(QRectF(0, 0, 1e4, 1e4), Qt.AlignmentFlag.AlignLeft, text).size()
        self._painter.restore()
        return size / self._scale


AROUND = tuple(
    sorted(((x, y) for x in range(-4, 5) for y in range(-4, 5)), key=lambda at: (at[0] ** 2 + at[1] ** 2, at))
)
"""Half widths and heights of a label by which it is moved, the nearest first."""


def _covered(box: QRectF, others: list[QRectF]) -> float:
    """mm² of others that a box covers."""
    parts = (box.intersected(other) for other in others if box.intersects(other))
    return sum(part.width() * part.height() for part in parts)
