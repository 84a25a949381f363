"""The picture of the wall on the hanging sheet: to scale, with anchors, machine, strokes and measures."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF, QTransform

from wallwright.artwork.colour import pale
from wallwright.document.language import tr
from wallwright.jobs.job import Job
from wallwright.jobs.label_placing import shortened
from wallwright.jobs.sheet.ink_picture import ink_picture
from wallwright.jobs.sheet.wall_labels import OF_INK, WallLabels, mm_on_paper
from wallwright.statics.pose import span_curve
from wallwright.strokes.strokes import Strokes

NEIGHBOUR_INK = "#ababab"
"""Of what other hangings draw: a light grey that a laser printer still prints as lines."""
LEVEL_SHARES = 0.75, 0.4
"""Positions of the dimension from the left anchor as shares of the drawing's height from its top, the preferred one
first."""
TOP_SHARE = 0.8
"""Position of the dimension below the anchor as a share of the drawing's width from its left edge."""
MARK, LEFT_MARK, HANDOVER = QColor("#a00000"), QColor("#111111"), QColor("#7a3f9d")


def paint_wall(painter: QPainter, job: Job, frame: QRectF) -> float:
    """Paints the wall into a frame (device units) and returns the scale, device units per mm."""
    wall = job.document.wall
    scale = min(frame.width() / wall.width, frame.height() / wall.height)
    painter.save()
    painter.translate(frame.center().x(), frame.top() + wall.height * scale / 2)
    painter.scale(scale, scale)
    painter.translate(-(wall.left + wall.width / 2), -(wall.top + wall.height / 2))
    thin = 0.35 * mm_on_paper(painter) / scale
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor("#666666"), thin))
    whole = QRectF(wall.left, wall.top, wall.width, wall.height)
    painter.drawRect(whole)
    labels = WallLabels(painter, scale)
    labels.keep_within(frame.translated(-frame.center().x(), -frame.top()), whole, 2 * thin)
    painter.setBrush(QColor("#dddddd"))
    for keep_out in wall.keep_outs:
        painter.drawPolygon(QPolygonF([QPointF(*p) for p in keep_out.outline]))
        box = QPolygonF([QPointF(*p) for p in keep_out.outline]).boundingRect()
        labels.keep_outline_clear(box, 2 * thin)
        labels.add_box(_keep_out_text(job, shortened(keep_out.name), box), box, wall)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    _neighbours(painter, job, thin, scale, labels)
    _ink(painter, job, thin, scale)
    _register_marks(painter, job, thin, labels)
    _goes_on(painter, job, thin)
    _machine(painter, job, thin, labels)
    _measures(painter, job, thin, labels)
    _page(painter, job, thin, labels)
    labels.paint()
    painter.restore()
    return scale


def _keep_out_text(job: Job, name: str, box: QRectF) -> str:
    """Returns lines with a keep-out's name, its size, and its upper left corner from this hanging's left anchor."""
    across, below = _across(box.left() - job.hanging.left.x), _below(box.top() - job.hanging.left.y)
    return "\n".join((name, tr("{0:.0f} × {1:.0f} mm", box.width(), box.height()), across, below))


def _across(right: float) -> str:
    return tr("{0:.0f} mm right", right) if right >= 0 else tr("{0:.0f} mm left", -right)


def _below(down: float) -> str:
    return tr("{0:.0f} mm down", down) if down >= 0 else tr("{0:.0f} mm up", -down)


def _neighbours(painter: QPainter, job: Job, thin: float, scale: float, labels: WallLabels) -> None:
    """Draws what the other hangings draw, in grey, their anchors with number and name, and the handover lines."""
    wall, drawn = job.document.wall, {part.hanging: part.strokes for part in job.neighbours}
    whole = Strokes.join(drawn.values())
    _paint_ink(painter, ink_picture(whole, job.document.pens, scale, 0.4 * thin, lambda colour: NEIGHBOUR_INK))
    painter.setPen(QPen(QColor("#888888"), 0.8 * thin))
    for number, hanging in enumerate(job.document.hangings):
        if number == job.hanging_index:
            continue
        for anchor in (hanging.left, hanging.right):
            painter.drawEllipse(QPointF(anchor.x, anchor.y), 2.5 * thin, 2.5 * thin)
            labels.add_anchor(_numbered(number, hanging.name), anchor.x, anchor.y, 3 * thin)
    for strokes in drawn.values():
        low, high = strokes.points.min(axis=0), strokes.points.max(axis=0)
        labels.keep_clear(QRectF(QPointF(*low), QPointF(*high)), OF_INK)
    painter.setPen(QPen(HANDOVER, 0.8 * thin, Qt.PenStyle.DashDotLine))
    for x in job.handover_lines:
        top, bottom = QPointF(x, wall.top), QPointF(x, wall.floor)
        painter.drawLine(top, bottom)
        labels.keep_line_clear(top, bottom, thin, OF_INK)


def _numbered(number: int, name: str) -> str:
    """A hanging's name with its number, unless the name has it."""
    short = shortened(name)
    return short if str(number + 1) in name.split() else f"{number + 1}: {short}"


def _register_marks(painter: QPainter, job: Job, thin: float, labels: WallLabels) -> None:
    """The crosses that this hanging is lined up by, in red, and those that it draws for others, with their names; never too
    small to be seen."""
    arm = max(job.document.settings.joining.arm, 5 * thin)
    for colour, marks in ((MARK, job.seeks), (LEFT_MARK, job.leaves)):
        painter.setPen(QPen(colour, 0.8 * thin))
        for mark in marks:
            painter.drawLine(QLineF(mark.x - arm, mark.y, mark.x + arm, mark.y))
            painter.drawLine(QLineF(mark.x, mark.y - arm, mark.x, mark.y + arm))
            labels.add_mark(mark.name, mark.x, mark.y, arm)


def _ink(painter: QPainter, job: Job, thin: float, scale: float) -> None:
    parts: list[tuple[Strokes, Callable[[str], str]]] = [(job.strokes, str)]
    if job.before is not None:
        parts.insert(0, (job.before.drawn, pale))
    for strokes, shade in parts:
        _paint_ink(painter, ink_picture(strokes, job.document.pens, scale, 0.4 * thin, shade))


def _paint_ink(painter: QPainter, found: tuple[QImage, QRectF] | None) -> None:
    """A picture of ink at its place on the wall; None: there is none."""
    if found is not None:
        picture, place = found
        painter.setRenderHints(QPainter.RenderHint.SmoothPixmapTransform | QPainter.RenderHint.LosslessImageRendering)
        painter.drawImage(place, picture, QRectF(picture.rect()))


def _goes_on(painter: QPainter, job: Job, thin: float) -> None:
    """A ring around the place where a rest begins."""
    if job.before is not None:
        x, y = job.strokes.points[0]
        painter.setPen(QPen(MARK, 1.5 * thin))
        painter.drawEllipse(QPointF(x, y), 7 * thin, 7 * thin)


def _machine(painter: QPainter, job: Job, thin: float, labels: WallLabels) -> None:
    pose = job.start_pose
    painter.setPen(QPen(QColor("#1f4e8c"), 1.5 * thin))
    for side in (0, 1):
        curve = span_curve(job.rig, pose, 0, side)
        belt = [QPointF(x, y) for x, y in curve.tolist()]
        painter.drawPolyline(QPolygonF(belt))
        for a, b in itertools.pairwise(belt):
            labels.keep_clear(QRectF(a, b).normalized())
        x, y = job.rig.anchors[side]
        painter.setBrush(QColor("#1f4e8c"))
        painter.drawEllipse(QPointF(x, y), 3 * thin, 3 * thin)
        labels.keep_dot_clear(x, y, 3 * thin)
        painter.setBrush(Qt.BrushStyle.NoBrush)
    turn = QTransform()
    turn.translate(*pose.pen[0])
    turn.rotateRadians(pose.tilt[0])
    outline = turn.map(QPolygonF([QPointF(*p) for p in job.document.machine.body.outline]))
    painter.drawPolygon(outline)
    labels.keep_clear(outline.boundingRect())
    x, y = pose.pen[0]
    painter.drawLine(QLineF(x - 6 * thin, y, x + 6 * thin, y))
    painter.drawLine(QLineF(x, y - 6 * thin, x, y + 6 * thin))


def _measures(painter: QPainter, job: Job, thin: float, labels: WallLabels) -> None:
    """Dimension lines: anchor distance, and down to the starting point. No label stands on one."""
    painter.setPen(QPen(QColor("#333333"), 0.6 * thin))
    (lx, ly), (rx, ry) = job.rig.anchors
    above = min(ly, ry) - 14 * thin
    x, y = job.hanging.start_point
    for a, b in (
        (QPointF(lx, above), QPointF(rx, above)),
        (QPointF(lx, above - 4 * thin), QPointF(lx, ly)),
        (QPointF(rx, above - 4 * thin), QPointF(rx, ry)),
        (QPointF(lx, ly), QPointF(lx, y)),
        (QPointF(lx, y), QPointF(x - 8 * thin, y)),
    ):
        painter.drawLine(a, b)
        labels.keep_line_clear(a, b, 2 * thin)
    labels.add_measure(f"{np.hypot(rx - lx, ry - ly):.0f} mm", QPointF(lx, above), QPointF(rx, above))
    labels.add_measure(tr("{0:.0f} mm down", y - ly), QPointF(lx, ly), QPointF(lx, y))
    labels.add_measure(tr("{0:.0f} mm right", x - lx), QPointF(lx, y), QPointF(x, y))
    if len(job.strokes):
        low, high = job.strokes.points.min(axis=0), job.strokes.points.max(axis=0)
        _place_of_drawing(painter, job, QRectF(QPointF(*low), QPointF(*high)), thin, labels)


def _place_of_drawing(painter: QPainter, job: Job, frame: QRectF, thin: float, labels: WallLabels) -> None:
    """Draws the frame around all strokes with its size, and the distances of its left and upper edge from the left
    anchor."""
    ink = QColor("#333333")
    painter.setPen(QPen(ink, 0.6 * thin, Qt.PenStyle.DashLine))
    painter.drawRect(frame)
    labels.keep_outline_clear(frame, 2 * thin)
    labels.keep_clear(frame, OF_INK)
    anchor = QPointF(job.hanging.left.x, job.hanging.left.y)
    across, down = frame.left() - anchor.x(), frame.top() - anchor.y()
    wall, aside = job.document.wall, 6 * thin
    # There a line from the anchor's plumb line to the frame crosses no artwork; not close to that to the starting point.
    heights = [frame.top() + share * frame.height() for share in LEVEL_SHARES]
    level = max(heights, key=lambda y: min(abs(y - job.hanging.start_point[1]), 30 * thin))
    if across < 0:
        level = frame.bottom() + aside if frame.bottom() + 2 * aside < wall.floor else frame.top() - aside
    plumb = frame.left() + TOP_SHARE * frame.width()
    side = QPointF(anchor.x(), level), QPointF(frame.left(), level)
    top = QPointF(plumb, anchor.y()), QPointF(plumb, frame.top())
    painter.setPen(QPen(ink, 0.3 * thin))
    for a, b in ((anchor, side[0]), (anchor, top[0])):
        painter.drawLine(a, b)
    painter.setPen(QPen(ink, 0.6 * thin))
    for a, b in (side, top):
        painter.drawLine(a, b)
        labels.keep_line_clear(a, b, 2 * thin)
        tick = QPointF(0, 2 * thin) if a.y() == b.y() else QPointF(2 * thin, 0)
        for end in (a, b):
            painter.drawLine(end - tick, end + tick)
    labels.add_measure(tr("left edge: {0}", _across(across)), *side)
    labels.add_measure(tr("top edge: {0}", _below(down)), *top)
    labels.add_size(tr("drawing {0:.0f} × {1:.0f} mm", frame.width(), frame.height()), frame)


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
