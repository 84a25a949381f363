"""A field in place of the size below the selected artwork: a click on the size opens it, to type another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent

from wallwright.document import edits
from wallwright.document.document import Placement
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.typed_numbers import evaluate_pair
from wallwright.window.canvas.size_label import size_place, size_text
from wallwright.window.canvas.wall_layer import tag_size
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.line_text import LineField
from wallwright.window.widgets.pair_field import pair_text

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas

FIELD_WIDTH = 120
"""Pixels."""


class SizeTag(QObject):
    """Lets the size be typed on one canvas."""

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self._canvas, self._placement = canvas, ""
        self.field = LineField(canvas)
        self.field.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.field.setFixedWidth(FIELD_WIDTH)
        explain(
            self.field,
            tr("Width and height in mm, or the width alone. The artwork keeps its proportions."),
            tr("Size of the artwork"),
        )
        self.field.hide()
        self.field.editingFinished.connect(self._finish)
        self.field.installEventFilter(self)
        canvas.installEventFilter(self)
        canvas.models.selection.changed.connect(self.field.hide)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.field:
            if isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
                if event.type() == QEvent.Type.KeyPress:
                    self._leave()
                event.accept()  # the window would take it for itself
                return True
            return False
        if event.type() == QEvent.Type.MouseButtonPress and isinstance(event, QMouseEvent):
            placement = self._shown()
            is_left = event.button() == Qt.MouseButton.LeftButton
            if placement is not None and is_left and self._place(placement).contains(event.position()):
                self._open(placement)
                return True
            self._finish()
        elif event.type() == QEvent.Type.Wheel and self.field.isVisible():
            self._finish()
        return False

    def _shown(self) -> Placement | None:
        """The artwork whose size is seen and can be changed."""
        chosen = self._canvas.models.selection.placements
        is_free = len(chosen) == 1 and chosen[0].visible and not chosen[0].locked and self._canvas.tool is None
        return chosen[0] if is_free else None

    def _place(self, placement: Placement) -> QRectF:
        size = tag_size(size_text(placement), self._canvas.font())
        middle = size_place(self._canvas.view, placement)
        return QRectF(middle.x() - size.width() / 2, middle.y() - size.height() / 2, size.width(), size.height())

    def _open(self, placement: Placement) -> None:
        self._placement = placement.id
        self.field.setText(pair_text(round(placement.width, 1), round(placement.height, 1)))
        size, middle = self.field.sizeHint(), self._place(placement).center()
        self.field.resize(FIELD_WIDTH, size.height())
        self.field.move(round(middle.x() - FIELD_WIDTH / 2), round(middle.y() - size.height() / 2))
        self.field.show()
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)
        self.field.selectAll()
        self.field.setModified(False)

    def _leave(self) -> None:
        had_keys = self.field.hasFocus()
        self.field.setModified(False)
        self.field.hide()
        if had_keys:
            self._canvas.setFocus()

    def _finish(self) -> None:
        """Takes what was typed."""
        if not self.field.isVisible():
            return
        is_typed, text = self.field.isModified(), self.field.text()
        self._leave()
        models = self._canvas.models
        placement = next((p for p in models.project.document.placements if p.id == self._placement), None)
        if not is_typed or placement is None:
            return
        try:
            width, height = _typed_size(text, placement)
            share = width / placement.width if abs(width - placement.width) > 0.05 else height / placement.height
            fields = {"width": placement.width * share, "height": placement.height * share}
            document = edits.set_placement(models.project.document, placement.id, **fields)
        except BadValue as trouble:
            models.messages.say(f"{trouble}.")
        except ValueError:
            models.messages.say(tr("Enter width and height in mm, like {0}.", pair_text(1000, 750)))
        else:
            models.project.edit(tr("Resize"), document)


def _typed_size(text: str, placement: Placement) -> tuple[float, float]:
    """Two numbers, or the width alone. Raises BadValue or ValueError."""
    try:
        width, height = evaluate_pair(text)
    except ValueError:
        width, height = evaluate_pair(f"{text}; {placement.height}")
    if min(width, height) < 0.1:
        raise BadValue(tr("Width and height must be at least 0.1 mm"))
    return width, height
