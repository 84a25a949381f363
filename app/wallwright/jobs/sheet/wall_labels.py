"""The labels of the wall's picture on the hanging sheet."""

from __future__ import annotations

import itertools
from copy import deepcopy
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen

from wallwright.document.wall import Wall
from wallwright.jobs.label_placing import MOST_STEPS, LabelPlacer

OF_INK = 0.3
"""Weight of the drawing among what labels keep clear of: they stand on it rather than on lines and other labels."""


def mm_on_paper(painter: QPainter) -> float:
    """Returns the device units of one mm of the sheet."""
    return painter.device().logicalDpiX() / 25.4


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

    def keep_line_clear(self, a: QPointF, b: QPointF, breadth: float, weight: float = 1.0) -> None:
        """Keeps a level or plumb line of a breadth clear. mm on the wall; weight: how much it matters."""
        around = QRectF(a, b).normalized().adjusted(-breadth / 2, -breadth / 2, breadth / 2, breadth / 2)
        self.keep_clear(around, weight)

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
        self._wanted.append(_Wanted(text, (QPointF(x, y),)))

    def add_size(self, text: str, frame: QRectF) -> None:
        """The size of a frame, mm, at one of its edges: outside, or inside where there is no room."""
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
        """The length of a dimension line from a to b, mm, beside its middle or wherever else along it is more room; a line
        leads there from a label that stands some way off."""
        points = tuple(a + (b - a) * share for share in ALONG)
        leads_from = self._size(text).height()
        self._wanted.append(_Wanted(text, points, is_beside=True, leads_from=leads_from, order=1, steps=NEAR_LINE))

    def add_anchor(self, text: str, x: float, y: float, radius: float) -> None:
        """The name of the hanging that an anchor belongs to, beside its dot of a radius, mm."""
        self._wanted.append(_Wanted(text, (QPointF(x, y),), is_beside=True, leads_from=self._size(text).height()))
        self.keep_dot_clear(x, y, radius)

    def add_mark(self, text: str, x: float, y: float, arm: float) -> None:
        """The name of a cross with arms of a length, mm. It is placed before the texts that are no names of marks."""
        leads_from = FAR * max(arm, self._size(text).height())
        self._wanted.append(_Wanted(text, (QPointF(x, y),), is_beside=True, leads_from=leads_from, order=0))
        self.keep_dot_clear(x, y, arm)

    def add_box(self, text: str, box: QRectF, wall: Wall) -> None:
        """A name in the middle of a box; beside one that is too small for it, on the side where the wall has more room."""
        size = self._size(text)
        x, y = box.center().x(), box.center().y()
        if size.width() > box.width() or size.height() > box.height():
            aside = 0.55 * size.width()
            x = box.right() + aside if box.center().x() < wall.left + wall.width / 2 else box.left() - aside
        self._wanted.append(_Wanted(text, (QPointF(x, y),), owner=box))

    def paint(self) -> None:
        """Paints them all."""
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
        """The texts with their boxes, mm on the wall, and the mark that a line goes to from there."""
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
        """mm on the wall: as far from what it names a label is beside that without a line."""
        return 2.0 * mm_on_paper(self._painter) / self._scale

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
    is_beside: bool = False
    """Whether it stands beside the point, else on it."""
    owner: QRectF | None = None
    """What it names where that is a box, mm on the wall."""
    leads_from: float | None = None
    """mm from the point: a line leads to a label that stands farther off. None: no line does."""
    order: int = 2
    """Those of a lower one are placed first: names of marks, then the lengths of dimension lines."""
    steps: int = MOST_STEPS
    """Half widths and heights by which it may be moved."""


NEAR_LINE = 4
"""Steps by which a measure may be moved from its line: rather that than a long way from it, it stands on ink."""
AT_FRAME = 3
"""Steps by which the size of a frame may be moved along it."""
LEADER = QColor("#555555")
ALONG = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Shares of a dimension line, the best place for its label first."""


FAR = 1.6
"""Times a mark's arm, or a label's height where that is more: from there on a line leads from label to mark."""


AROUND, BETWEEN = 0.3, 0.8
"""Of the height of a line of text, that is left free above and below a label, and between two that stand side by side."""


def _nearest(box: QRectF, point: QPointF) -> QPointF:
    """The point of a box that is nearest to a point outside."""
    return QPointF(
        min(max(point.x(), box.left()), box.right()),
        min(max(point.y(), box.top()), box.bottom()),
    )
