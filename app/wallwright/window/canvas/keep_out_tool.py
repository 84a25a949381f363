"""Drawing a keep-out: a rectangle by dragging, or a polygon corner by corner."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPen, QPolygonF

from wallwright.document import edits_keep_outs
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr
from wallwright.window.canvas.artwork_layer import CHOSEN
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.hit_testing import REACH, is_close
from wallwright.window.canvas.interaction import Keys, Point, Tool
from wallwright.window.model.items import KeepOutItem


class KeepOutTool(Tool):
    """Ends with a keep-out of its own name, selected."""

    def __init__(self, context: CanvasContext) -> None:
        super().__init__(context)
        self.words = tr(
            "Drag a rectangle, or click corner by corner. The first corner or Enter closes it, Escape cancels."
        )
        self._corners: list[Point] = []
        self._at: Point | None = None
        self._pressed: Point | None = None

    def press(self, at: Point, keys: Keys) -> None:
        if len(self._corners) >= 3 and is_close(self._screen(at), self._screen(self._corners[0]), REACH):
            self._close()
            return
        self._pressed = self._at = self._whole(self.snapped(at, keys))

    def move(self, at: Point, keys: Keys) -> None:
        self._at = self._whole(self.snapped(at, keys))
        start = self._pressed or (self._corners[-1] if self._corners else None)
        if start is not None:
            width, height = abs(self._at[0] - start[0]), abs(self._at[1] - start[1])
            self.readout = f"{format_number(width, '.0f')} × {format_number(height, '.0f')} mm"

    def release(self, at: Point, keys: Keys) -> None:
        if self._pressed is None:
            return
        start, self._pressed = self._pressed, None
        end = self._whole(self.snapped(at, keys))
        if not self._corners and not is_close(self._screen(start), self._screen(end), REACH):
            self._corners = list(edits_keep_outs.rectangle(start, end))
            self._close()
        else:
            self._corners.append(start)

    def double_click(self, at: Point) -> None:
        self._close()

    def key(self, event: QKeyEvent) -> bool:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._close()
        elif event.key() == Qt.Key.Key_Backspace and self._corners:
            self._corners.pop()
        else:
            return super().key(event)
        return True

    def paint(self, painter: QPainter) -> None:
        corners = list(self._corners)
        if self._pressed is not None and self._at is not None and not corners:
            corners = list(edits_keep_outs.rectangle(self._pressed, self._at))
        elif self._at is not None and corners:
            corners.append(self._at)
        painter.setPen(QPen(CHOSEN, 1.5))
        painter.setBrush(QColor(CHOSEN.red(), CHOSEN.green(), CHOSEN.blue(), 30))
        painter.drawPolygon(QPolygonF([self._screen(p) for p in corners]))
        painter.setBrush(QColor("#ffffff"))
        for corner in self._corners:
            painter.drawEllipse(self._screen(corner), 4, 4)

    def _close(self) -> None:
        try:
            document = edits_keep_outs.add_keep_out(self.models.project.document, tr("Keep-out"), tuple(self._corners))
        except BadValue as error:
            self.models.messages.say(f"{error}.")
            return
        if self.models.project.edit(tr("Add a keep-out"), document):
            self.models.selection.select(KeepOutItem(len(document.wall.keep_outs) - 1))
        self.done()

    def _screen(self, point: Point) -> QPointF:
        return self.context.view.to_screen(*point)

    @staticmethod
    def _whole(point: Point) -> Point:
        """As a tape measures."""
        return float(round(point[0])), float(round(point[1]))
