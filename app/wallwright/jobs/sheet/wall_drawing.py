"""The picture of the wall on the hanging sheet: to scale, with anchors, machine, strokes and measures."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from copy import deepcopy
from typing import NamedTuple

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QImage, QPainter, QPen, QPolygonF, QTransform

from wallwright.artwork.colour import pale
from wallwright.document.language import tr
from wallwright.document.wall import Wall
from wallwright.jobs.job import Job
from wallwright.jobs.label_placing import LabelPlacer, shortened
from wallwright.jobs.sheet.ink_picture import ink_picture
from wallwright.statics.pose import span_curve
from wallwright.strokes.strokes import Strokes

NEIGHBOUR_INK = "#ababab"
"""Of what other hangings draw: a light grey that a laser printer still prints as lines."""
MARK, LEFT_MARK, HANDOVER = QColor("#a00000"), QColor("#111111"), QColor("#7a3f9d")


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
    """A keep-out's name, its size, and its upper left corner from this hanging's left anchor, a line each."""
    right, down = box.left() - job.hanging.left.x, box.top() - job.hanging.left.y
    across = tr("{0:.0f} mm right", right) if right >= 0 else tr("{0:.0f} mm left", -right)
    below = tr("{0:.0f} mm down", down) if down >= 0 else tr("{0:.0f} mm up", -down)
    return "\n".join((name, tr("{0:.0f} × {1:.0f} mm", box.width(), box.height()), across, below))


def _neighbours(painter: QPainter, job: Job, thin: float, scale: float, labels: WallLabels) -> None:
    """What the other hangings draw, in grey, with number and name; their anchors; and where hangings meet."""
    wall, drawn = job.document.wall, {part.hanging: part.strokes for part in job.neighbours}
    whole = Strokes.join(drawn.values())
    _paint_ink(painter, ink_picture(whole, job.document.pens, scale, 0.4 * thin, lambda colour: NEIGHBOUR_INK))
    painter.setPen(QPen(QColor("#888888"), 0.8 * thin))
    for number, hanging in enumerate(job.document.hangings):
        if number == job.hanging_index:
            continue
        for anchor in (hanging.left, hanging.right):
            painter.drawEllipse(QPointF(anchor.x, anchor.y), 2.5 * thin, 2.5 * thin)
            labels.keep_dot_clear(anchor.x, anchor.y, 3 * thin)
        middle = (hanging.left.x + hanging.right.x) / 2, (hanging.left.y + hanging.right.y) / 2 + 14 * thin
        if number in drawn:
            points = drawn[number].points
            middle = tuple(((points.min(axis=0) + points.max(axis=0)) / 2).tolist())
        labels.add(_numbered(number, hanging.name), *middle)
    painter.setPen(QPen(HANDOVER, 0.8 * thin, Qt.PenStyle.DashDotLine))
    for x in job.handover_lines:
        painter.drawLine(QPointF(x, wall.top), QPointF(x, wall.floor))


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


def _mm_on_paper(painter: QPainter) -> float:
    return painter.device().logicalDpiX() / 25.4


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
        painter.setPen(QPen(QColor("#333333"), 0.6 * thin, Qt.PenStyle.DashLine))
        frame = QRectF(QPointF(*low), QPointF(*high))
        painter.drawRect(frame)
        labels.keep_outline_clear(frame, 2 * thin)
        labels.keep_clear(frame, OF_INK)
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
    """Words of a fixed size on paper, on white, at points of the wall or as near to them as nothing is covered: neither each
    other nor what is kept clear. Those of marks stand beside them, with a line to the mark where that is some way off."""

    def __init__(self, painter: QPainter, scale: float) -> None:
        self._painter, self._scale = painter, scale
        self._wanted: list[_Wanted] = []
        self._placer = LabelPlacer()

    def keep_clear(self, box: QRectF, weight: float = 1.0) -> None:
        """box: mm on the wall; weight: how much it matters."""
        self._placer.keep_clear(box.left(), box.top(), box.right(), box.bottom(), weight)

    def keep_line_clear(self, a: QPointF, b: QPointF, breadth: float) -> None:
        """A level or plumb line of a breadth, mm on the wall."""
        self.keep_clear(QRectF(a, b).normalized().adjusted(-breadth / 2, -breadth / 2, breadth / 2, breadth / 2))

    def keep_dot_clear(self, x: float, y: float, radius: float) -> None:
        """What is drawn around a point, mm on the wall."""
        self.keep_clear(QRectF(x - radius, y - radius, 2 * radius, 2 * radius))

    def keep_outline_clear(self, box: QRectF, breadth: float) -> None:
        """The edges of a box, of a breadth, mm on the wall."""
        corners = [box.topLeft(), box.topRight(), box.bottomRight(), box.bottomLeft()]
        for a, b in itertools.pairwise([*corners, corners[0]]):
            self.keep_line_clear(a, b, breadth)

    def keep_within(self, frame: QRectF, wall: QRectF, breadth: float) -> None:
        """Not on the wall's edge, of a breadth, nor above or below it, nor outside the picture. wall: mm; frame: of the
        picture, device units, from the middle of the wall's upper edge."""
        left, right = (wall.center().x() + x / self._scale for x in (frame.left(), frame.right()))
        top, bottom = wall.top(), wall.bottom()
        far = wall.width() + wall.height()
        for box in ((left - far, top - far, right + far, top), (left - far, bottom, right + far, bottom + far)):
            self._placer.keep_clear(*box)
        self._placer.keep_clear(left - far, top, left, bottom)
        self._placer.keep_clear(right, top, right + far, bottom)
        self.keep_outline_clear(wall, breadth)

    def add(self, text: str, x: float, y: float) -> None:
        """A text about a point."""
        self._wanted.append(_Wanted(text, (QPointF(x, y),), None, False))

    def add_measure(self, text: str, a: QPointF, b: QPointF) -> None:
        """The length of a dimension line from a to b, mm, beside its middle or wherever else along it is more room."""
        points = tuple(a + (b - a) * share for share in ALONG)
        self._wanted.append(_Wanted(text, points, None, True))

    def add_mark(self, text: str, x: float, y: float, arm: float) -> None:
        """The name of a cross with arms of a length, mm. It is placed before the texts that are no names of marks."""
        self._wanted.append(_Wanted(text, (QPointF(x, y),), arm, True))
        self.keep_dot_clear(x, y, arm)

    def add_box(self, text: str, box: QRectF, wall: Wall) -> None:
        """A name in the middle of a box; beside one that is too small for it, on the side where the wall has more room."""
        size = self._size(text)
        x, y = box.center().x(), box.center().y()
        if size.width() > box.width() or size.height() > box.height():
            aside = 0.55 * size.width()
            x = box.right() + aside if box.center().x() < wall.left + wall.width / 2 else box.left() - aside
        self._wanted.append(_Wanted(text, (QPointF(x, y),), None, False, box))

    def paint(self) -> None:
        """Paints them all."""
        placed = self.placed()
        self._painter.save()
        self._painter.setPen(QPen(MARK, 0.2 * _mm_on_paper(self._painter) / self._scale))
        for _, box, leader in placed:
            if leader is not None:
                self._painter.drawLine(leader, _nearest(box, leader))
        self._painter.restore()
        for text, box, _ in placed:
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

    def placed(self) -> list[tuple[str, QRectF, QPointF | None]]:
        """The texts with their boxes, mm on the wall, and the mark that a line goes to from there."""
        found: list[tuple[str, QRectF, QPointF | None]] = []
        placer = deepcopy(self._placer)
        for text, points, arm, is_beside, owner in sorted(self._wanted, key=lambda label: label.arm is None):
            size = self._size(text)
            around = AROUND * self._size("0").height()
            wide, high = size.width() + around, size.height() + around
            places = [placer.find(at.x(), at.y(), wide, high, is_beside) for at in points]
            best = min(range(len(places)), key=lambda k: (round(places[k].covered, 6), round(places[k].gap, 6)))
            place, leader = places[best], None
            placer.take(place, wide, high)
            box = QRectF(QPointF(), size)
            box.moveCenter(QPointF(place.x, place.y))
            if arm is not None and place.gap > FAR * max(arm, size.height()):
                leader = points[best]
            if owner is not None and not box.adjusted(-self._gap, -self._gap, self._gap, self._gap).intersects(owner):
                leader = _nearest(owner, box.center())
            found.append((text, box, leader))
        return found

    @property
    def _gap(self) -> float:
        """mm on the wall: as far from what it names a label is beside that without a line."""
        return 2.0 * _mm_on_paper(self._painter) / self._scale

    def _size(self, text: str) -> QSizeF:
        """mm on the wall."""
        self._painter.save()
        self._painter.setFont(_font())
        size = self._painter.boundingRect(QRectF(0, 0, 1e4, 1e4), Qt.AlignmentFlag.AlignLeft, text).size()
        self._painter.restore()
        return size / self._scale


class _Wanted(NamedTuple):
    """A label that is to be placed."""

    text: str
    points: tuple[QPointF, ...]
    """mm on the wall: at one of them."""
    arm: float | None
    """Of the mark that it names, mm; None: it names no mark."""
    is_beside: bool
    """Whether it stands beside the point, else on it."""
    owner: QRectF | None = None
    """What it names where that is a box, mm on the wall."""


OF_INK = 0.3
"""Weight of the drawing among what labels keep clear of: they stand on it rather than on lines and other labels."""
ALONG = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Shares of a dimension line, the best place for its label first."""


FAR = 1.6
"""Times a mark's arm, or a label's height where that is more: from there on a line leads from label to mark."""


AROUND = 0.3
"""Of the height of a line of text, that is left free around a label."""


def _nearest(box: QRectF, point: QPointF) -> QPointF:
    """The point of a box that is nearest to a point outside."""
    return QPointF(
        min(max(point.x(), box.left()), box.right()),
        min(max(point.y(), box.top()), box.bottom()),
    )
