"""A field in place of a dimension on the wall: a click on the number opens it, to type another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QMouseEvent

from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.window.canvas.dimensions import Dimension, DimensionSpace, dimensions_of
from wallwright.window.canvas.wall_layer import RULER, tag_size
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.line_text import LineField
from wallwright.window.widgets.pair_field import pair_text

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas

LETTERS = 18
"""Of the field."""


class DimensionField(QObject):
    """Lets dimensions be typed on one canvas; Tab goes from one to the next."""

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self._canvas = canvas
        self._open: Dimension | None = None
        self.field = LineField(canvas)
        self.field.setAlignment(Qt.AlignmentFlag.AlignCenter)
        explain(self.field, tr("A number in mm. Enter takes it, Escape leaves it as it was."), tr("Dimension"))
        self.field.hide()
        self.field.editingFinished.connect(self._finish)
        self.field.installEventFilter(self)
        canvas.installEventFilter(self)
        canvas.models.selection.changed.connect(self._give_up)

    def shown(self) -> list[Dimension]:
        """What can be typed now."""
        canvas = self._canvas
        if canvas.tool is not None:
            return []
        area = QRectF(canvas.rect()).adjusted(RULER, RULER, 0, 0)
        return dimensions_of(canvas.models, DimensionSpace(canvas.view, area, QFontMetricsF(canvas.font()).height()))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.field:
            return isinstance(event, QKeyEvent) and self._take_key(event)
        if isinstance(event, QMouseEvent) and event.type() == QEvent.Type.MouseButtonPress:
            found = self._under(event.position()) if event.button() == Qt.MouseButton.LeftButton else None
            self._finish()
            if found is not None:
                self._begin(found)
                return True
        elif isinstance(event, QMouseEvent) and event.type() == QEvent.Type.MouseMove and not event.buttons():
            if self._under(event.position()) is not None:
                self._canvas.setCursor(Qt.CursorShape.IBeamCursor)
                return True
        elif event.type() == QEvent.Type.Wheel and self.field.isVisible():
            self._finish()
        return False

    def _take_key(self, event: QKeyEvent) -> bool:
        """Keys of the field that mean more than in other fields."""
        if event.key() == Qt.Key.Key_Escape:
            if event.type() == QEvent.Type.KeyPress:
                self._leave()
            event.accept()  # the window would take it for itself
            return True
        if event.key() in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab) and event.type() == QEvent.Type.KeyPress:
            before = self._open
            if before is not None and self._finish(stays=True):
                self._go_on(before, -1 if event.key() == Qt.Key.Key_Backtab else 1)
            return True
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and event.type() == QEvent.Type.KeyPress:
            self._finish(stays=True)
            return True
        return False

    def _go_on(self, before: Dimension, step: int) -> None:
        """Opens the dimension after one of this title."""
        found = self.shown()
        titles = [one.title for one in found]
        if before.title in titles:
            self._begin(found[(titles.index(before.title) + step) % len(found)])

    def _under(self, at: QPointF) -> Dimension | None:
        return next((one for one in self.shown() if self._place(one).contains(at)), None)

    def _place(self, one: Dimension) -> QRectF:
        size = tag_size(one.text, self._canvas.font())
        return QRectF(one.at.x() - size.width() / 2, one.at.y() - size.height() / 2, size.width(), size.height())

    def _begin(self, one: Dimension) -> None:
        self._open = one
        explain(self.field, one.help, one.title)
        self.field.setText(one.typed)
        height, middle, room = self.field.sizeHint().height(), one.at, self._canvas.rect()
        width = LETTERS * self.field.fontMetrics().averageCharWidth()
        left = min(max(round(middle.x() - width / 2), 0), room.width() - width)
        self.field.resize(width, height)
        self.field.move(left, min(max(round(middle.y() - height / 2), 0), room.height() - height))
        self.field.show()
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)
        self.field.selectAll()
        self.field.setModified(False)

    def _leave(self) -> None:
        had_keys = self.field.hasFocus()
        self._open = None
        self.field.setModified(False)
        self.field.hide()
        if had_keys:
            self._canvas.setFocus()

    def _give_up(self) -> None:
        """Something else is selected."""
        self._open = None
        self.field.hide()

    def _finish(self, stays: bool = False) -> bool:
        """Takes what was typed; whether that was possible. stays: the field stays open, with the error below it, when it
        was not; else the error is said as a message."""
        one = self._open
        if one is None or not self.field.isVisible():
            return True
        is_typed, text = self.field.isModified(), self.field.text()
        models = self._canvas.models
        try:
            document = one.changed(text) if is_typed else None
        except BadValue as error:
            trouble = f"{error}."
        except ValueError:
            trouble = tr("Enter width and height in mm, like {0}.", pair_text(1000, 750))
        else:
            self._leave()
            if document is not None:
                models.project.edit(one.edit, document)
            return True
        if stays:
            self.field.show_error(trouble)
            self.field.selectAll()
            return False
        self._leave()
        models.messages.say(trouble)
        return False
