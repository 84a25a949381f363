"""Elided entries of lists, trees, tables and combo boxes, with the whole text in their tips."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QHelpEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionComboBox,
    QStyleOptionViewItem,
    QTableView,
    QToolTip,
    QTreeView,
)

MOST_LETTERS = 60
"""Length of entries, in letters, up to which an open list is widened."""
CUT = Qt.ItemDataRole.UserRole + 100
"""Item role of an entry that is elided differently from its view: a Qt.TextElideMode."""
AnyIndex = QModelIndex | QPersistentModelIndex


def keep_whole_in_tips(view: QAbstractItemView, cut: Qt.TextElideMode = Qt.TextElideMode.ElideMiddle) -> None:
    """Elides entries of a view and shows their whole text as tips. cut: position of the ellipsis, since names often differ
    at their ends."""
    view.setTextElideMode(cut)
    view.setItemDelegate(WholeTextDelegate(view))


def counted(title: str, count: int) -> str:
    """Returns the title of a list with its number of entries, if more than one."""
    return f"{title} ({count})" if count > 1 else title


class WholeTextDelegate(QStyledItemDelegate):
    """Shows the whole text of elided entries as tips, unless an entry has a tip."""

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        """Requests no width for a list row, which would otherwise be as wide as its text and clipped without an ellipsis."""
        size = super().sizeHint(option, index)
        return QSize(1, size.height()) if isinstance(self.parent(), QListView) else size

    def initStyleOption(self, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        super().initStyleOption(option, index)
        if (cut := index.data(CUT)) is not None:
            option.textElideMode = cut

    def helpEvent(
        self, event: QHelpEvent, view: QAbstractItemView, option: QStyleOptionViewItem, index: AnyIndex
    ) -> bool:
        if event.type() == QEvent.Type.ToolTip and not index.data(Qt.ItemDataRole.ToolTipRole):
            tip = self.tip_of(view, index)
            if tip:
                QToolTip.showText(event.globalPos(), tip, view)
                return True
        return super().helpEvent(event, view, option, index)

    def tip_of(self, view: QAbstractItemView, index: AnyIndex) -> str:
        """Returns the whole text of an elided entry; "" if it is fully visible."""
        option = QStyleOptionViewItem()
        option.initFrom(view)
        option.rect = view.visualRect(index)
        option.decorationSize = view.iconSize() if view.iconSize().isValid() else option.decorationSize
        self.initStyleOption(option, index)
        text = str(index.data() or "")
        room = view.style().subElementRect(QStyle.SubElement.SE_ItemViewItemText, option, view)
        margin = view.style().pixelMetric(QStyle.PixelMetric.PM_FocusFrameHMargin, option, view) + 1
        room.adjust(margin, 0, -margin, 0)
        metrics = QFontMetrics(option.font)
        if isinstance(view, QListView | QTreeView | QTableView) and view.wordWrap():
            flags = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft
            needed = metrics.boundingRect(QRect(0, 0, room.width(), 10_000), int(flags), text)
            return text if needed.height() > option.rect.height() + 1 or needed.width() > room.width() else ""
        return text if metrics.horizontalAdvance(text) > room.width() else ""


def show_whole_choice(box: QComboBox, event: QEvent) -> bool:
    """Handles an event of a combo box with a narrow field: widens its opened list, and shows elided text as a tip. Returns
    whether the event is handled."""
    if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent) and is_cut(box):
        tips = dict.fromkeys([box.currentText(), box.toolTip()])
        QToolTip.showText(event.globalPos(), "\n".join(filter(None, tips)), box)
        return True
    if event.type() in (QEvent.Type.MouseButtonPress, QEvent.Type.KeyPress):
        _widen_list(box)
    return False


def is_cut(box: QComboBox) -> bool:
    """Returns whether the current text of a combo box is elided."""
    option = QStyleOptionComboBox()
    box.initStyleOption(option)
    field = QStyle.SubControl.SC_ComboBoxEditField
    room = box.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, field, box).width()
    icon = box.iconSize().width() + 4 if not box.itemIcon(box.currentIndex()).isNull() else 0
    return box.fontMetrics().horizontalAdvance(box.currentText()) + icon > room


def _widen_list(box: QComboBox) -> None:
    """Widens the list before it opens."""
    metrics, view = box.fontMetrics(), box.view()
    longest = max((metrics.horizontalAdvance(box.itemText(i)) for i in range(box.count())), default=0)
    most = min(MOST_LETTERS * metrics.averageCharWidth(), box.screen().availableGeometry().width() // 2)
    icons = box.iconSize().width() + 8 if any(not box.itemIcon(i).isNull() for i in range(box.count())) else 0
    bar = box.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
    view.setMinimumWidth(min(longest + icons + bar + 16, most))
    view.setTextElideMode(Qt.TextElideMode.ElideMiddle)
