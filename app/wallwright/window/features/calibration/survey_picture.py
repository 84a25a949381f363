"""The test drawing on its wall, with the reading that is to be taken now."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from wallwright.document.calibration import LEFT, RIGHT, Mark, TapeReading
from wallwright.document.language import tr
from wallwright.document.wall import Hanging, Wall
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import ANCHOR, PAPER, tag
from wallwright.window.widgets.theme import OnWall, on_wall

INK = on_wall(OnWall.TEXT)
READING = on_wall(OnWall.MEASURED)
ARM = 5.0
"""Half a cross, logical pixels."""
LEAST_APART = 36.0
"""Logical pixels between two marks with their letters; where they would be closer, the figure is shown alone."""
APART = 48.0
"""Logical pixels kept between a figure that is shown alone and the picture's edge."""
INSET = 0.26
"""Width of the small picture of the whole wall then, over that of the picture."""

Box = tuple[float, float, float, float]
"""left, top, right, bottom, mm."""


def _nearest(marks: tuple[Mark, ...]) -> float:
    """mm between the two marks that are closest together; inf with fewer than two."""
    points = np.array([(m.x, m.y) for m in marks]).reshape(-1, 2)
    apart = np.hypot(*np.moveaxis(points[:, None] - points[None], 2, 0))
    np.fill_diagonal(apart, np.inf)
    return float(apart.min(initial=np.inf))


class SurveyPicture(QWidget):
    """Shows marks, anchors and one measure."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._wall: Wall | None = None
        self._now: Hanging | None = None
        self._marks: tuple[Mark, ...] = ()
        self._measure: TapeReading | None = None
        self.setMinimumSize(300, 240)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Picture of the test drawing"))

    def sizeHint(self) -> QSize:
        return QSize(420, 340)

    def show_survey(
        self,
        wall: Wall,
        hanging: Hanging,
        marks: tuple[Mark, ...],
        outlines: tuple[npt.NDArray[np.float64], ...] = (),
        now: Hanging | None = None,
    ) -> None:
        """outlines: (4, 2) corners of artwork, mm. now: where the anchors are as long as they are not moved."""
        self._wall, self._hanging, self._marks, self._outlines = wall, hanging, marks, outlines
        self._now = now
        self._nearest = _nearest(marks)
        xs, ys = [m.x for m in marks] or [0.0], [m.y for m in marks] or [0.0]
        self._box: Box = (min(xs), min(ys), max(xs), max(ys))
        self.update()

    @property
    def is_close(self) -> bool:
        """Whether the figure is shown alone, with the whole wall small in a corner."""
        wall = self._wall
        return wall is not None and self._nearest * self._whole(wall).scale < LEAST_APART

    def _whole(self, wall: Wall) -> View:
        return View.fitting((wall.left, wall.top, wall.right, wall.floor), self.width(), self.height(), 8)

    def view(self, wall: Wall) -> View:
        """How the wall lies in the picture."""
        if not self.is_close:
            return self._whole(wall)
        return View.fitting(self._box, self.width(), self.height() - self._inset(wall).height(), APART)

    def _inset(self, wall: Wall) -> QRectF:
        """Where the whole wall is shown small, in the lower left corner."""
        wide = INSET * self.width()
        high = wide * wall.height / wall.width
        return QRectF(4, self.height() - high - 4, wide, high)

    def show_measure(self, measure: TapeReading | None) -> None:
        self._measure = measure
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._wall is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wall = self._wall
        view = self.view(wall)
        painter.fillRect(view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor), PAPER)
        painter.setPen(QPen(on_wall(OnWall.EDGE), 1.0))
        painter.drawRect(view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor))
        painter.setBrush(QColor(214, 210, 200))
        for keep_out in wall.keep_outs:
            painter.drawPolygon(QPolygonF([view.to_screen(*p) for p in keep_out.outline]))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(INK, 1.0, Qt.PenStyle.DashLine))
        for outline in self._outlines:
            painter.drawPolygon(QPolygonF([view.to_screen(*p) for p in outline.tolist()]))
        places = {m.name: view.to_screen(m.x, m.y) for m in self._marks}
        places[LEFT] = view.to_screen(self._hanging.left.x, self._hanging.left.y)
        places[RIGHT] = view.to_screen(self._hanging.right.x, self._hanging.right.y)
        self._paint_measure(painter, places)
        painter.setPen(QPen(QColor("#ffffff"), 1.5))
        painter.setBrush(ANCHOR)
        for name in (LEFT, RIGHT):
            painter.drawEllipse(places[name], 5.5, 5.5)
        if self._now is not None:
            self._paint_both(painter, view, self._now)
        for mark in self._marks:
            self._paint_mark(painter, mark.name, places[mark.name])
        if self.is_close:
            self._paint_inset(painter, wall)
        painter.end()

    def _paint_inset(self, painter: QPainter, wall: Wall) -> None:
        """The whole wall, small, with the part that the figure takes."""
        place = self._inset(wall)
        painter.save()
        painter.translate(place.topLeft())
        view = View.fitting((wall.left, wall.top, wall.right, wall.floor), place.width(), place.height(), 0)
        painter.setPen(QPen(on_wall(OnWall.EDGE), 1.0))
        painter.setBrush(PAPER)
        painter.drawRect(view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ANCHOR)
        for anchor in (self._hanging.left, self._hanging.right):
            painter.drawEllipse(view.to_screen(anchor.x, anchor.y), 2.5, 2.5)
        painter.setPen(QPen(INK, 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(view.rect_to_screen(*self._box))
        painter.restore()

    def _paint_both(self, painter: QPainter, view: View, present: Hanging) -> None:
        """Rings where the anchors are now, and words for both pairs."""
        painter.setBrush(PAPER)
        painter.setPen(QPen(INK, 2.0))
        now = [view.to_screen(a.x, a.y) for a in (present.left, present.right)]
        for at in now:
            painter.drawEllipse(at, 5.5, 5.5)
        there = [view.to_screen(a.x, a.y) for a in (self._hanging.left, self._hanging.right)]
        apart = max(abs(a.y() - b.y()) for a, b in zip(now, there, strict=True)) > 1.5 * painter.fontMetrics().height()
        for (left, right), word, share in (
            (now, tr("now"), 0.5 if apart else 0.35),
            (there, tr("there"), 0.5 if apart else 0.65),
        ):
            painter.setPen(QPen(INK, 1.0, Qt.PenStyle.DotLine))
            painter.drawLine(left, right)
            tag(painter, left + (right - left) * share, word)

    def _paint_mark(self, painter: QPainter, name: str, at: QPointF) -> None:
        painter.setPen(QPen(INK, 1.6))
        painter.drawLine(at - QPointF(ARM, 0), at + QPointF(ARM, 0))
        painter.drawLine(at - QPointF(0, ARM), at + QPointF(0, ARM))
        painter.drawText(at + QPointF(ARM + 2, -ARM + 1), name)

    def _paint_measure(self, painter: QPainter, places: dict[str, QPointF]) -> None:
        """A tape from point to point; or a level or plumb line through the first, and how far the second is from it."""
        measure = self._measure
        if measure is None or measure.a not in places or measure.b not in places:
            return
        a, b = places[measure.a], places[measure.b]
        painter.setPen(QPen(READING, 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if measure.kind == "distance":
            painter.drawLine(a, b)
        else:
            corner = QPointF(b.x(), a.y()) if measure.kind == "down" else QPointF(a.x(), b.y())
            along = corner - a
            reach = corner + along * 0.12
            painter.setPen(QPen(READING, 1.5, Qt.PenStyle.DashLine))
            painter.drawLine(a, reach)
            painter.setPen(QPen(READING, 3.0))
            painter.drawLine(corner, b)
            words = tr("level") if measure.kind == "down" else tr("plumb")
            painter.setPen(READING)
            painter.drawText(a + along * 0.5 + QPointF(6, -6), words)
        painter.setPen(QPen(READING, 2.0))
        for point in (a, b):
            painter.drawEllipse(point, 9.0, 9.0)
