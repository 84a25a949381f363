"""Labels of the wall's picture on the hanging sheet."""

from __future__ import annotations

import itertools
from copy import deepcopy
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen

from wallwright.document.wall import Wall
from wallwright.jobs.label_placing import MOST_STEPS, LabelPlacer

OF_INK = 0.3
"""Weight of the drawing for label placement: labels may cover it rather than lines and other labels."""


def mm_on_paper(painter: QPainter) -> float:
    """Returns the device units of one mm of the sheet."""
    return painter.device().logicalDpiX() / 25.4


def _font() -> QFont:
    font = QFont("DejaVu Sans")
    font.setPointSizeF(7.5)
    return font


class WallLabels:
    """Labels of a fixed size on paper, on a white ground, at or near points of the wall, clear of each other and of what
    they must not cover. A leader line connects a mark with a label that is not next to it."""

    def __init__(self, painter: QPainter, scale: float) -> None:
        self._painter, self._scale = painter, scale
        self._wanted: list[_Wanted] = []
        self._placer = LabelPlacer()

    def keep_clear(self, box: QRectF, weight: float = 1.0) -> None:
        """Keeps labels off a box, mm on the wall. weight: importance."""
        self._placer.keep_clear(box.left(), box.top(), box.right(), box.bottom(), weight)

    def keep_line_clear(self, a: QPointF, b: QPointF, breadth: float, weight: float = 1.0) -> None:
        """Keeps labels off a level or plumb line of a breadth, mm on the wall. weight: importance."""
        around = QRectF(a, b).normalized().adjusted(-breadth / 2, -breadth / 2, breadth / 2, breadth / 2)
        self.keep_clear(around, weight)

    def keep_dot_clear(self, x: float, y: float, radius: float) -> None:
        """Keeps labels off a dot around a point, mm on the wall."""
        self.keep_clear(QRectF(x - radius, y - radius, 2 * radius, 2 * radius))

    def keep_outline_clear(self, box: QRectF, breadth: float) -> None:
        """Keeps labels off the edges of a box, of a breadth, mm on the wall."""
        corners = [box.topLeft(), box.topRight(), box.bottomRight(), box.bottomLeft()]
        for a, b in itertools.pairwise([*corners, corners[0]]):
            self.keep_line_clear(a, b, breadth)

    def keep_within(self, frame: QRectF, wall: QRectF, breadth: float) -> None:
        """Keeps labels on the wall, off its edge of a breadth, and inside the picture. wall: mm; frame: of the picture,
        device units, from the middle of the wall's upper edge."""
        left, right = (wall.center().x() + x / self._scale for x in (frame.left(), frame.right()))
        top, bottom = wall.top(), wall.bottom()
        far = wall.width() + wall.height()
        for box in ((left - far, top - far, right + far, top), (left - far, bottom, right + far, bottom + far)):
            self._placer.keep_clear(*box)
        self._placer.keep_clear(left - far, top, left, bottom)
        self._placer.keep_clear(right, top, right + far, bottom)
        self.keep_outline_clear(wall, breadth)

    def add(self, text: str, x: float, y: float) -> None:
        """Adds a text at a point."""
        self._wanted.append(_Wanted(text, (QPointF(x, y),)))

    def add_size(self, text: str, frame: QRectF) -> None:
        """Adds the size of a frame, mm, at one of its edges: outside, or inside if there is no room."""
        size = self._size(text)
        away, along = 0.8 * size.height(), 0.5 * size.width() + size.height()
        x, y = frame.center().x(), frame.center().y()
        outside = (
            (x, frame.bottom() + away),
            (x, frame.top() - away),
            (frame.right() + along, y),
            (frame.left() - along, y),
        )
        inside = (x, frame.bottom() - away), (x, frame.top() + away)
        points = tuple(QPointF(*at) for at in (*outside, *inside))
        self._wanted.append(_Wanted(text, points, steps=AT_FRAME))

    def add_measure(self, text: str, a: QPointF, b: QPointF) -> None:
        """Adds the length of a dimension line from a to b, mm, beside it: at its middle, or where there is more room."""
        points = tuple(a + (b - a) * share for share in ALONG)
        leads_from = self._size(text).height()
        self._wanted.append(_Wanted(text, points, is_beside=True, leads_from=leads_from, order=1, steps=NEAR_LINE))

    def add_anchor(self, text: str, x: float, y: float, radius: float) -> None:
        """Adds the name of the hanging of an anchor, beside its dot of a radius, mm."""
        self._wanted.append(_Wanted(text, (QPointF(x, y),), is_beside=True, leads_from=self._size(text).height()))
        self.keep_dot_clear(x, y, radius)

    def add_mark(self, text: str, x: float, y: float, arm: float) -> None:
        """Adds the name of a cross with arms of a length, mm. Names of marks are placed before other texts."""
        leads_from = FAR * max(arm, self._size(text).height())
        self._wanted.append(_Wanted(text, (QPointF(x, y),), is_beside=True, leads_from=leads_from, order=0))
        self.keep_dot_clear(x, y, arm)

    def add_box(self, text: str, box: QRectF, wall: Wall) -> None:
        """Adds a name in the middle of a box, or beside a box that is too small, on the side where the wall has more
        room."""
        size = self._size(text)
        x, y = box.center().x(), box.center().y()
        if size.width() > box.width() or size.height() > box.height():
            aside = 0.55 * size.width()
            x = box.right() + aside if box.center().x() < wall.left + wall.width / 2 else box.left() - aside
        self._wanted.append(_Wanted(text, (QPointF(x, y),), owner=box))

    def paint(self) -> None:
        """Paints all labels."""
        placed = self.placed()
        self._painter.save()
        self._painter.setPen(QPen(LEADER, 0.2 * mm_on_paper(self._painter) / self._scale))
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
        """Returns the texts with their boxes, mm on the wall, and the end of their leader line, if any."""
        found: list[tuple[str, QRectF, QPointF | None]] = []
        placer = deepcopy(self._placer)
        for label in sorted(self._wanted, key=lambda label: label.order):
            size = self._size(label.text)
            line = self._size("0").height()
            wide, high = size.width() + BETWEEN * line, size.height() + AROUND * line
            places = [placer.find(at.x(), at.y(), wide, high, label.is_beside, label.steps) for at in label.points]
            best = min(range(len(places)), key=lambda k: (round(places[k].covered, 6), round(places[k].gap, 6)))
            place, leader = places[best], None
            placer.take(place, wide, high)
            box = QRectF(QPointF(), size)
            box.moveCenter(QPointF(place.x, place.y))
            if label.leads_from is not None and place.gap > label.leads_from:
                leader = label.points[best]
            owner, gap = label.owner, self._gap
            if owner is not None and not box.adjusted(-gap, -gap, gap, gap).intersects(owner):
                leader = _nearest(owner, box.center())
            text = label.text
            found.append((text, box, leader))
        return found

    @property
    def _gap(self) -> float:
        """Largest gap, mm on the wall, between a box and its label without a leader line."""
        return 2.0 * mm_on_paper(self._painter) / self._scale

    def _size(self, text: str) -> QSizeF:
        """Returns the size of a text, mm on the wall."""
        self._painter.save()
        self._painter.setFont(_font())
        size = self._painter.boundingRect(QRectF(0, 0, 1e4, 1e4), Qt.AlignmentFlag.AlignLeft, text).size()
        self._painter.restore()
        return size / self._scale


class _Wanted(NamedTuple):
    """A label to place."""

    text: str
    points: tuple[QPointF, ...]
    """Candidate points, mm on the wall."""
    is_beside: bool = False
    """Whether the label stands beside the point, not on it."""
    owner: QRectF | None = None
    """Box that it names, mm on the wall; None: a point."""
    leads_from: float | None = None
    """Distance from the point, mm, beyond which a leader line is drawn; None: none is drawn."""
    order: int = 2
    """Order of placement: names of marks first, then lengths of dimension lines."""
    steps: int = MOST_STEPS
    """Largest displacement, in steps of LabelPlacer."""


NEAR_LINE = 4
"""Largest displacement of a dimension from its line, in steps: it covers ink rather than moving farther."""
AT_FRAME = 3
"""Largest displacement of a size along its frame, in steps."""
LEADER = QColor("#555555")
ALONG = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Positions of a label along a dimension line, as shares of its length, the preferred one first."""


FAR = 1.6
"""Distance from which a leader line is drawn, in arms of the mark or heights of the label, whichever is larger."""


AROUND, BETWEEN = 0.3, 0.8
"""Free space above and below a label, and between labels side by side, in heights of a line of text."""


def _nearest(box: QRectF, point: QPointF) -> QPointF:
    """Returns the point of a box nearest to a point outside."""
    return QPointF(
        min(max(point.x(), box.left()), box.right()),
        min(max(point.y(), box.top()), box.bottom()),
    )
