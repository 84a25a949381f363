"""The wall with what is drawn already, what is left, and where it goes on. A click chooses that place."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from wallwright.document.continuation import StrokePlace
from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.planning.plan import Plan
from wallwright.strokes.remaining import place_near, point_at
from wallwright.window.canvas.ink_display import show_rest
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import ANCHOR, PAPER
from wallwright.window.ink import InkLayer
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.theme import OnWall, StyledLabel, TextSize, on_wall

GOES_ON = QColor("#a00000")
START = QColor("#1f4e8c")
SLIP = on_wall(OnWall.MEASURED)
CLICK = 12.0
"""Pixels within which a stroke is under the pointer."""


def legend() -> StyledLabel:
    """What the picture shows, and that it can be clicked."""
    ring, cross = GOES_ON.name(), START.name()
    label = StyledLabel(
        tr(
            "<b>Click a stroke to continue there.</b> Pale: already drawn. Strong: still to draw. "
            "<b style='color:{0}'>◯</b> drawing continues here, <b style='color:{1}'>✚</b> the pen starts here. "
            "Wheel: zoom. Drag: pan.",
            ring,
            cross,
        ),
        TextSize.SMALL,
    )
    label.setTextFormat(Qt.TextFormat.RichText)
    return label


@dataclass(frozen=True)
class _Shown:
    """What the picture is of."""

    document: Document
    plan: Plan
    place: StrokePlace
    start: tuple[float, float] | None
    seen: tuple[float, float] | None


class ContinuePicture(QWidget):
    """Zoomed by the wheel, moved by dragging. Call close_ink() when done with it."""

    chosen = Signal(object)
    """The place that was clicked on."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: _Shown | None = None
        self._view, self._whole = View(), True
        self._pressed: QPointF | None = None
        self._dragged = False
        self._ink = InkLayer(self, threads=1)
        self._ink.updated.connect(lambda _: self.update())
        self.setMinimumSize(360, 300)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        explain(
            self,
            tr(
                "The wall. Pale: already drawn. In colour: still to draw. Red ring: where drawing continues. "
                "Blue cross: where the pen starts. Click a stroke to continue there, or to show where a slip "
                "was measured. Wheel: zoom. Drag: pan."
            ),
            tr("Picture of what is drawn and what is left"),
        )

    def sizeHint(self) -> QSize:
        return QSize(560, 520)

    def close_ink(self) -> None:
        """Ends the ink's worker thread."""
        self._ink.close()

    def show_place(
        self,
        document: Document,
        plan: Plan,
        place: StrokePlace,
        start: tuple[float, float] | None,
        seen: tuple[float, float] | None = None,
    ) -> None:
        """place: where it goes on. start: where the pen is then, mm; None: not known yet. seen: where a slip was
        measured."""
        before = self._shown
        if before is None or plan is not before.plan or place != before.place:
            show_rest(self._ink, plan.strokes, document.pens, place)
        self._shown = _Shown(document, plan, place, start, seen)
        if self._whole:
            self._fit()
        self.update()

    def _fit(self) -> None:
        """The anchors and all strokes."""
        shown = self._shown
        if shown is None or not len(shown.plan.strokes):
            return
        hanging, points = shown.document.hangings[shown.plan.hanging], shown.plan.strokes.points
        (left, top), (right, low) = points.min(axis=0), points.max(axis=0)
        a, b = hanging.left, hanging.right
        box = (min(left, a.x), min(top, a.y, b.y), max(right, b.x), max(low, a.y, b.y))
        self._view = View.fitting(box, self.width(), self.height(), 22)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.palette().dark())
        if self._shown is not None:
            self._paint(painter, self._shown)
        painter.end()

    def _paint(self, painter: QPainter, shown: _Shown) -> None:
        view, wall = self._view, shown.document.wall
        painter.fillRect(view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor), PAPER)
        rect = QRectF(view.left, view.top, self.width() / view.scale, self.height() / view.scale)
        self._ink.paint(painter, rect, view.scale, QRect(0, 0, self.width(), self.height()), self.devicePixelRatioF())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        hanging = shown.document.hangings[shown.plan.hanging]
        anchors = [view.to_screen(a.x, a.y) for a in (hanging.left, hanging.right)]
        if shown.start is not None:
            at = view.to_screen(*shown.start)
            painter.setPen(QPen(START, 1.5))
            for anchor in anchors:
                painter.drawLine(anchor, at)
            painter.setPen(QPen(START, 2.5))
            painter.drawLine(at - QPointF(9, 0), at + QPointF(9, 0))
            painter.drawLine(at - QPointF(0, 9), at + QPointF(0, 9))
        if shown.seen is not None:
            at = view.to_screen(*shown.seen)
            painter.setPen(QPen(SLIP, 2.5))
            painter.drawRect(QRectF(at.x() - 7, at.y() - 7, 14, 14))
        painter.setPen(QPen(QColor("#ffffff"), 1.5))
        painter.setBrush(ANCHOR)
        for anchor in anchors:
            painter.drawEllipse(anchor, 5.5, 5.5)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        at = view.to_screen(*point_at(shown.plan.strokes, shown.place).tolist())
        for colour, width in ((QColor("#ffffff"), 5.0), (GOES_ON, 2.5)):
            painter.setPen(QPen(colour, width))
            painter.drawEllipse(at, 10.0, 10.0)

    # Pointer.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._whole:
            self._fit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if event.angleDelta().y():
            self._view, self._whole = (
                self._view.zoomed(1.2 ** (event.angleDelta().y() / 120), event.position()),
                False,
            )
            self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed, self._dragged = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pressed is None:
            return
        by = event.position() - self._pressed
        if self._dragged or by.manhattanLength() >= CLICK / 2:
            self._dragged, self._whole = True, False
            self._view = self._view.moved(by.x(), by.y())
            self._pressed = event.position()
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._pressed is None or event.button() != Qt.MouseButton.LeftButton:
            return
        self._pressed = None
        if self._dragged or self._shown is None:
            return
        point = self._view.to_wall(event.position())
        place = place_near(self._shown.plan.strokes, point, CLICK / self._view.scale)
        if place is not None:
            self.chosen.emit(place)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Shows all again."""
        self._whole = True
        self._fit()
        self.update()
