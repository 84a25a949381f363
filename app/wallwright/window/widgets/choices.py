"""Small pieces of choices: a colour's swatch, a list that stays narrow."""

from __future__ import annotations

import base64
from typing import TypeVar

from PySide6.QtCore import QBuffer, QEvent, QObject, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QComboBox, QStyle, QStyleOptionComboBox, QWidget

from wallwright.window.widgets.theme import CLOSE
from wallwright.window.widgets.whole_text import show_whole_choice

RIM = QColor("#808080")
FIXED_TITLES = "fixed titles"
"""Property of lists whose entries have pictures, but titles that the program gives: they are read whole."""


class _LeavesWheelAlone(QObject):
    """Lets the wheel scroll the page behind a field that has no focus."""

    def eventFilter(self, field: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Wheel and isinstance(field, QWidget) and not field.hasFocus():
            event.ignore()
            return True
        return False


class _NarrowChoice(_LeavesWheelAlone):
    """And shows whole what a narrow field cuts."""

    def eventFilter(self, field: QObject, event: QEvent) -> bool:
        is_done = isinstance(field, QComboBox) and show_whole_choice(field, event)
        return is_done or super().eventFilter(field, event)


Field = TypeVar("Field", bound=QWidget)


def calm(field: Field) -> Field:
    """A field that the wheel changes only once it has been chosen: scrolling past it changes nothing."""
    field.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    field.installEventFilter(_LeavesWheelAlone(field))
    return field


def swatch(colour: str) -> QIcon:
    """A square of a colour, also in a row that is selected."""
    square, icon = _square(colour, 16), QIcon()
    for mode in (QIcon.Mode.Normal, QIcon.Mode.Selected):
        icon.addPixmap(square, mode)
    return icon


def swatch_html(colour: str) -> str:
    """The same within a text, smaller."""
    buffer = QBuffer()
    _square(colour, 11).save(buffer, "PNG")
    data = base64.b64encode(bytes(buffer.data().data())).decode()
    return f'<img width="11" height="11" src="data:image/png;base64,{data}">'


def _square(colour: str, side: int) -> QPixmap:
    """With a rim that is seen on light and on dark ground; sharp on fine screens."""
    pixmap = QPixmap(2 * side, 2 * side)
    pixmap.fill(RIM)
    painter = QPainter(pixmap)
    painter.fillRect(2, 2, 2 * side - 4, 2 * side - 4, QColor(colour))
    painter.end()
    pixmap.setDevicePixelRatio(2.0)
    return pixmap


def narrow(box: QComboBox, letters: int = 8) -> QComboBox:
    """A list that does not ask for the width of its longest entry, but for so many letters."""
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(letters)
    box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    box.installEventFilter(_NarrowChoice(box))
    return box


def width_of_longest(box: QComboBox) -> int:
    """Pixels of a list that shows its longest entry whole; 0 of one with names of any length that a person gave."""
    has_fixed_titles = bool(box.property(FIXED_TITLES))
    if box.isEditable() or any(not box.itemIcon(i).isNull() and not has_fixed_titles for i in range(box.count())):
        return 0
    metrics, option = box.fontMetrics(), QStyleOptionComboBox()
    box.initStyleOption(option)
    longest = (box.iconSize().width() + CLOSE if has_fixed_titles else 0) + max(
        (metrics.horizontalAdvance(box.itemText(i)) for i in range(box.count())), default=0
    )
    kind, size = QStyle.ContentsType.CT_ComboBox, QSize(longest, metrics.height())
    return box.style().sizeFromContents(kind, option, size, box).width() + 2
