"""A drawing of the machine's body with its numbers beside the parts that they are about; they are typed there."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from wallwright.document import edits
from wallwright.document.language import N_, tr
from wallwright.document.machine import Machine
from wallwright.document.quantity import quantities
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.pair_field import PairField
from wallwright.window.widgets.theme import CLOSE, TIGHT, OnWall, Role, StyledLabel, TextSize, colour, on_wall

FIELD_LETTERS = 13
"""Of the widest number."""
LEAST_BODY = 84
"""Pixels of the drawing between the columns of fields."""
POINTS = {
    "left_exit": (
        N_("Left belt exit"),
        N_("Where the left belt leaves the body, measured from the pen tip: right and down, in mm."),
    ),
    "right_exit": (
        N_("Right belt exit"),
        N_("Where the right belt leaves the body, measured from the pen tip: right and down, in mm."),
    ),
    "centre": (
        N_("Centre of mass"),
        N_("Where the body balances on a finger, measured from the pen tip: right and down, in mm."),
    ),
}
NUMBERS = ("body.mass", "motor.teeth", "belt.pitch")
LEFT, RIGHT = ("left_exit", "motor.teeth"), ("right_exit", "belt.pitch")
"""From top to bottom in the columns beside the drawing."""
BELOW = ("body.mass", "centre")
"""From left to right below it."""


class BodyDrawing(QWidget):
    """Emits `edited` with a title and the machine that a typed number makes."""

    edited = Signal(str, object)
    refused = Signal(str)

    def __init__(self, machine: Machine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._machine = machine
        self._fields: dict[str, NumberField | PairField] = {}
        self._labels: dict[str, QLabel] = {}
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(tr("Drawing of the body"))
        rows = zip(LEFT, RIGHT, strict=True)  # Tab goes down the page as the eye does
        for name in (*(name for row in rows for name in row), *BELOW):
            self._fields[name] = self._number(name) if name in NUMBERS else self._point(name)
        self.show_machine(machine)

    def show_machine(self, machine: Machine) -> None:
        self._machine = machine
        for name, field in self._fields.items():
            if isinstance(field, NumberField):
                part, number = name.split(".")
                field.show_value(getattr(getattr(machine, part), number))
            else:
                field.show_value(*getattr(machine.body, name))
        self.update()

    # Fields.

    def _number(self, path: str) -> NumberField:
        part, name = path.split(".")
        quantity = quantities(type(getattr(self._machine, part)))[name]
        field = NumberField(quantity, getattr(getattr(self._machine, part), name), self)
        title = quantity.shown_title
        field.setObjectName(f"machine.{path}")
        field.entered.connect(lambda value: self._enter(title, path, value))
        field.refused_unseen.connect(self.refused)
        self._label(path, title, field)
        return field

    def _point(self, name: str) -> PairField:
        title, help = (tr(text) for text in POINTS[name])
        field = PairField(title, help, self)
        field.setObjectName(f"machine.body.{name}")
        field.entered.connect(lambda x, y: self._enter(title, f"body.{name}", (x, y)))
        field.refused_unseen.connect(self.refused)
        self._label(name, title, field)
        return field

    def _label(self, name: str, title: str, field: QWidget) -> None:
        label = StyledLabel(title, TextSize.SMALL, parent=self)
        label.setWordWrap(False)
        label.setBuddy(field)
        label.setToolTip(field.toolTip())
        self._labels[name] = label

    def _enter(self, title: str, path: str, value: object) -> None:
        self.edited.emit(tr("Change: {0}", title), edits.with_field(self._machine, path, value))

    # Layout.

    def _field_size(self) -> QSize:
        metrics = self.fontMetrics()
        labels = max(label.sizeHint().width() for label in self._labels.values())
        width = max(FIELD_LETTERS * metrics.averageCharWidth() + 16, labels)
        return QSize(width, max(field.sizeHint().height() for field in self._fields.values()))

    def _step(self) -> int:
        """Pixels from field to field in a column."""
        return self._field_size().height() + self._labels["centre"].sizeHint().height() + CLOSE

    def sizeHint(self) -> QSize:
        return QSize(2 * self._field_size().width() + 2 * LEAST_BODY, 3 * self._step() + TIGHT)

    def minimumSizeHint(self) -> QSize:
        return QSize(2 * self._field_size().width() + LEAST_BODY, self.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        size, step = self._field_size(), self._step()
        right = self.width() - size.width()
        for column, x in ((LEFT, 0), (RIGHT, right)):
            for row, name in enumerate(column):
                self._put(name, x, row * step, size)
        middle = (self.width() - 2 * size.width()) // 3
        for number, name in enumerate(BELOW):
            self._put(name, middle + number * (size.width() + middle), 2 * step, size)

    def _put(self, name: str, x: int, y: int, size: QSize) -> None:
        label = self._labels[name]
        height = label.sizeHint().height()
        label.setGeometry(x, y, size.width(), height)
        self._fields[name].setGeometry(x, y + height + 1, size.width(), size.height())

    # Painting.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, body = QPainter(self), self._machine.body
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        place = self._place()
        painter.setBrush(on_wall(OnWall.PAPER))
        painter.setPen(QPen(colour(Role.DIVIDER, self.palette()), 1.0))
        painter.drawRoundedRect(place, 4, 4)
        to = self._placing(place)
        painter.setPen(QPen(on_wall(OnWall.QUIET), 1.4))
        painter.setBrush(QColor(0, 0, 0, 14))
        painter.drawPolygon(QPolygonF([to(*corner) for corner in body.outline]))
        chosen = on_wall(OnWall.CHOSEN)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for point, side in ((body.left_exit, -1.0), (body.right_exit, 1.0)):
            at = to(*point)
            edge = QPointF(
                place.left() if side < 0 else place.right(), at.y() - 0.55 * abs(at.x() - place.center().x())
            )
            painter.setPen(QPen(on_wall(OnWall.TEXT), 1.6))
            painter.setClipRect(place)
            painter.drawLine(at, edge)
            painter.setClipping(False)
            painter.setPen(QPen(chosen, 1.6))
            painter.drawEllipse(at, 4.0, 4.0)
        painter.setPen(QPen(on_wall(OnWall.TEXT), 1.4))
        tip = to(0.0, 0.0)
        for across in (QPointF(6, 0), QPointF(0, 6)):
            painter.drawLine(tip - across, tip + across)
        self._paint_mass(painter, to(*body.centre))
        painter.end()

    def _paint_mass(self, painter: QPainter, at: QPointF) -> None:
        """The quartered circle that drawings mark a centre of mass with."""
        box = QRectF(at.x() - 5, at.y() - 5, 10, 10)
        painter.setPen(QPen(on_wall(OnWall.TEXT), 1.2))
        painter.setBrush(on_wall(OnWall.PAPER))
        painter.drawEllipse(box)
        painter.setBrush(on_wall(OnWall.TEXT))
        painter.drawPie(box, 0, 90 * 16)
        painter.drawPie(box, 180 * 16, 90 * 16)

    def _place(self) -> QRectF:
        """Of the drawing, between the columns."""
        width = self._field_size().width() + CLOSE
        return QRectF(width, 0.5, self.width() - 2 * width, 2 * self._step() - CLOSE)

    def _placing(self, place: QRectF) -> Callable[[float, float], QPointF]:
        """From mm at the body to pixels: all of the body is seen, with room for its belts."""
        points = (*self._machine.body.outline, self._machine.body.left_exit, self._machine.body.right_exit, (0.0, 0.0))
        left, right = min(x for x, _ in points), max(x for x, _ in points)
        top, bottom = min(y for _, y in points), max(y for _, y in points)
        room = 0.8 * min(place.width() / max(right - left, 1.0), place.height() / max(bottom - top, 1.0))
        middle = QPointF((left + right) / 2, (top + bottom) / 2)
        return lambda x, y: place.center() + QPointF(0, CLOSE) + (QPointF(x, y) - middle) * room
