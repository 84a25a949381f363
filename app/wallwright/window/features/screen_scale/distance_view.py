"""The drawing as seen from a distance: as large on this screen as it looks on the wall from there, and nothing over it."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QObject, QPointF, QSignalBlocker, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSlider

from wallwright.document.language import format_number, tr
from wallwright.document.placing import bounding_box
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.interaction import Content, Tool
from wallwright.window.model.screen_scale import pixels_per_mm
from wallwright.window.model.settings import settings
from wallwright.window.widgets.choices import calm
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.theme import CLOSE, NEAR

EYE = 600.0
"""mm from the eyes to a laptop's screen. Common practice, no source."""
NEAREST, FARTHEST = 0.3, 20.0
"""m."""
FIRST = 2.0
"""m from the wall at which people stand first, or farther away where they would not see all of the drawing."""
FIRST_STEP = 0.5
"""m."""
KEY = "distance from the wall"
"""Of the choice that is kept."""
STEPS = 200
SLIDER_WIDTH = 220
"""Logical pixels."""
ABOVE_EDGE = 16
"""Logical pixels below the bar."""


def chosen_distance() -> float | None:
    """m that the person chose last; None: nothing yet."""
    try:
        value = float(settings().value(KEY))
    except (TypeError, ValueError):
        return None
    return value if NEAREST <= value <= FARTHEST else None


def true_scale(canvas: Canvas) -> float:
    """Logical pixels of the canvas for a mm of its screen."""
    return pixels_per_mm(canvas.screen()) / canvas.devicePixelRatioF()


class DistanceView(Tool):
    """While it is used the canvas shows wall, photo and ink alone; the view before comes back when it ends."""

    content = Content.INK

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self._canvas, self._before = canvas, canvas.view
        self._wall = canvas.models.project.document.wall
        self.bar = DistanceBar(self, canvas)
        boxes = [p for p in canvas.models.project.document.placements if p.visible]
        first = FIRST
        if boxes:
            left, top, right, bottom = bounding_box(boxes)
            first = self._whole_from(right - left, bottom - top)
            middle = canvas.view.to_screen((left + right) / 2, (top + bottom) / 2)
            canvas.pan(QPointF(canvas.width() / 2, canvas.height() / 2) - middle)
        self.go_to(chosen_distance() or first)

    @property
    def distance(self) -> float:
        """m; zooming changes it too."""
        return EYE * true_scale(self._canvas) / self._canvas.view.scale / 1000

    def _whole_from(self, width: float, height: float) -> float:
        """m: the least distance from FIRST on from which a drawing, mm, is seen whole."""
        canvas, bar = self._canvas, self.bar.sizeHint().height() + 2 * ABOVE_EDGE
        scale = min(canvas.width() / max(width, 1.0), max(canvas.height() - 2 * bar, 1) / max(height, 1.0))
        needed = EYE * true_scale(canvas) / scale / 1000
        return min(max(FIRST, FIRST_STEP * math.ceil(needed / FIRST_STEP)), FARTHEST)

    def choose(self, distance: float) -> None:
        """The same, by the person: the next time it begins there."""
        settings().setValue(KEY, f"{distance:.3f}")
        self.go_to(distance)

    def go_to(self, distance: float) -> None:
        """Shows the drawing as from so many m."""
        self._canvas.zoom(self.distance / distance)
        self.bar.show_distance(self.distance)

    def paint(self, painter: QPainter) -> None:
        self.bar.show_distance(self.distance)

    def ended(self) -> None:
        if self._canvas.models.project.document.wall == self._wall:  # not after another project was opened
            self._canvas.view = self._before
        self.bar.close()


class DistanceBar(QFrame):
    """At the bottom of the canvas: the distance, a slider for it, and the way back."""

    def __init__(self, tool: DistanceView, canvas: Canvas) -> None:
        super().__init__(canvas)
        self.setObjectName("card")
        self.setAutoFillBackground(True)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._canvas = canvas
        self.text = QLabel()
        self.text.setMinimumWidth(self.text.fontMetrics().horizontalAdvance(_words(FARTHEST) + "00"))
        self.slider = calm(QSlider(Qt.Orientation.Horizontal))
        self.slider.setRange(0, STEPS)
        self.slider.setFixedWidth(SLIDER_WIDTH)
        explain(
            self.slider,
            tr(
                "How far from the wall. Sit about 60 cm from the screen: the drawing is as large as it looks from there."
            ),
            tr("Distance from the wall"),
        )
        self.slider.valueChanged.connect(lambda step: tool.choose(NEAREST * (FARTHEST / NEAREST) ** (step / STEPS)))
        close = QPushButton(tr("Close"))
        explain(close, tr("Back to the view before."))
        close.clicked.connect(tool.done)
        row = QHBoxLayout(self)
        row.setContentsMargins(NEAR, CLOSE, CLOSE, CLOSE)
        row.setSpacing(NEAR)
        for part in (self.text, self.slider, close):
            row.addWidget(part)
        canvas.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Resize:
            self.place()
        return False

    def place(self) -> None:
        """In the middle of the canvas's lower edge."""
        self.adjustSize()
        room = self._canvas.rect()
        self.move((room.width() - self.width()) // 2, room.height() - self.height() - ABOVE_EDGE)

    def show_distance(self, distance: float) -> None:
        """m."""
        self.text.setText(_words(distance))
        share = math.log(max(distance, 1e-6) / NEAREST) / math.log(FARTHEST / NEAREST)
        with QSignalBlocker(self.slider):
            self.slider.setValue(round(STEPS * min(max(share, 0.0), 1.0)))


def _words(distance: float) -> str:
    return tr("As seen from {0} m", format_number(distance, ".1f"))
