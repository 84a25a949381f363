"""A combo box that opens as a grid of pictures with titles."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPoint, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QIcon, QPainter, QPalette, QPen, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from wallwright.window.widgets.choices import FIXED_TITLES
from wallwright.window.widgets.state_icons import State, paint_state
from wallwright.window.widgets.theme import CLOSE, RADIUS, TIGHT, OnWall, Role, TextSize, colour, font_of, on_wall

WORDS, BUSY = int(Qt.ItemDataRole.UserRole) + 1, int(Qt.ItemDataRole.UserRole) + 2
"""Item data roles: text in place of the picture, and whether the picture is being made."""
SCROLLER = "QComboBoxPrivateScroller"
"""Class name of the arrow strips at the ends of a list that is longer than the screen."""
SETTLED_MS = 150
"""Delay after which scrolling counts as finished, ms."""
PICTURE = QSize(132, 99)
"""Size of a picture in the grid, logical px."""
IN_FIELD = QSize(32, 24)
SLACK = TIGHT
"""Width that the grid needs beyond its entries, px; otherwise one would wrap to the next row."""
ACROSS = 4
"""Number of pictures in a row, if the screen has room."""
WRAPPED = int(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)
AnyIndex = QModelIndex | QPersistentModelIndex


class PictureChoice(QComboBox):
    """The combo box. Entries without a picture show a text in its place."""

    seen = Signal(list)
    """Indices of the visible entries, after the grid was opened or scrolled."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QListView()
        grid.setViewMode(QListView.ViewMode.IconMode)
        grid.setMovement(QListView.Movement.Static)
        grid.setResizeMode(QListView.ResizeMode.Adjust)
        grid.setUniformItemSizes(True)
        grid.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setView(grid)
        self.setItemDelegate(_PictureDelegate(self))
        self.setIconSize(IN_FIELD)
        self.setProperty(FIXED_TITLES, True)
        self._settled = QTimer(self, singleShot=True, interval=SETTLED_MS)
        self._settled.timeout.connect(self._tell_seen)
        grid.verticalScrollBar().valueChanged.connect(lambda: self._settled.start())

    def show_picture(self, index: int, picture: QPixmap, words: str = "", is_busy: bool = False) -> None:
        """Sets an entry's picture. picture: null for none; words: text in its place; is_busy: it is being made."""
        self.setItemIcon(index, QIcon() if picture.isNull() else QIcon(picture))
        self.setItemData(index, words, WORDS)
        self.setItemData(index, is_busy, BUSY)

    def _tell_seen(self) -> None:
        view = self.view()
        if view.isVisible():
            model, area = self.model(), view.viewport().rect()
            shown = range(self.count())
            self.seen.emit([i for i in shown if view.visualRect(model.index(i, 0)).intersects(area)])

    def showPopup(self) -> None:
        """Opens the grid with whole rows, below or above the field, where there is more room."""
        super().showPopup()
        view, popup = self.view(), self.view().window()
        for child in popup.findChildren(QWidget):
            if child.metaObject().className() == SCROLLER:
                child.setFixedHeight(0)  # it would cover a part of a row
        view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        cell, room = cell_size(self), self.screen().availableGeometry()
        frame = popup.size() - view.viewport().size()
        bar = view.verticalScrollBar().sizeHint().width()
        across = max(min(ACROSS, (room.width() - frame.width() - bar) // cell.width()), 1)
        rows = -(-self.count() // across)
        top_left = self.mapToGlobal(QPoint(0, 0))
        below, above = room.bottom() - top_left.y() - self.height(), top_left.y() - room.top()
        width = across * cell.width() + frame.width() + bar + SLACK
        fitting = max((max(below, above) - frame.height()) // cell.height(), 1)
        height = min(rows, fitting) * cell.height() + frame.height()
        is_below = below >= height or below >= above
        left = min(max(top_left.x() + self.width() - width, room.left()), room.right() - width)
        popup.setGeometry(left, top_left.y() + self.height() if is_below else top_left.y() - height, width, height)
        view.doItemsLayout()  # otherwise it is scrolled by the layout before, and done again later
        view.verticalScrollBar().setValue(self._first_whole_row(view, cell.height()))
        self._tell_seen()

    @staticmethod
    def _first_whole_row(view: QAbstractItemView, row: int) -> int:
        """Returns the scroll position, px, that shows the current entry, in whole rows."""
        hidden = (
            view.visualRect(view.currentIndex()).bottom() + view.verticalScrollBar().value() - view.viewport().height()
        )
        return max(-(-hidden // row), 0) * row


def cell_size(box: QComboBox) -> QSize:
    """Returns the size of the grid's entries, logical px, with room for the longest word and the longest title."""
    metrics, titles = box.fontMetrics(), [box.itemText(i) for i in range(box.count())]
    words = (metrics.horizontalAdvance(word) for title in titles for word in title.split(" "))
    width = max((PICTURE.width(), *words))
    room = QRect(0, 0, width, 10 * PICTURE.height())
    highest = max((metrics.boundingRect(room, WRAPPED, title).height() for title in titles), default=0)
    return QSize(width + 2 * CLOSE, PICTURE.height() + 2 * CLOSE + TIGHT + highest)


class _PictureDelegate(QStyledItemDelegate):
    """Paints entries of the grid."""

    def __init__(self, box: PictureChoice) -> None:
        super().__init__(box)
        self._box = box

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        return cell_size(self._box)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        cell, palette = option.rect, option.palette
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        is_chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        if is_chosen:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour(Role.SELECTED, palette))
            painter.drawRoundedRect(cell.adjusted(2, 2, -2, -2), RADIUS, RADIUS)
        place = QRect(cell.topLeft() + QPoint((cell.width() - PICTURE.width()) // 2, CLOSE), PICTURE)
        icon = index.data(Qt.ItemDataRole.DecorationRole)
        picture = icon.pixmap(PICTURE, painter.device().devicePixelRatioF()) if isinstance(icon, QIcon) else QPixmap()
        if picture.isNull():
            painter.fillRect(place, on_wall(OnWall.PAPER))
            self._paint_words(painter, place, index)
        else:
            size = picture.deviceIndependentSize().toSize()
            place = QRect(place.center() - QPoint(size.width() // 2, size.height() // 2), size)
            painter.drawPixmap(place, picture)
        is_present = index.row() == self._box.currentIndex()
        edge = colour(Role.ACCENT if is_present else Role.DIVIDER, palette)
        painter.setPen(QPen(edge, 2.0 if is_present else 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(place)
        painter.setPen(palette.color(QPalette.ColorRole.Text))
        painter.setFont(self._box.font())
        title = cell.adjusted(CLOSE, CLOSE + PICTURE.height() + TIGHT, -CLOSE, 0)
        painter.drawText(title, WRAPPED, str(index.data(Qt.ItemDataRole.DisplayRole) or ""))
        painter.restore()

    @staticmethod
    def _paint_words(painter: QPainter, place: QRect, index: AnyIndex) -> None:
        """Paints the text in place of a picture, below a mark while that is being made."""
        words, flags = str(index.data(WORDS) or ""), int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
        painter.setFont(font_of(TextSize.SMALL, False))
        painter.setPen(on_wall(OnWall.QUIET))
        room = place.adjusted(TIGHT, TIGHT, -TIGHT, -TIGHT)
        if index.data(BUSY):
            side = painter.fontMetrics().height()
            ring = QRectF(place.center().x() - side / 2, room.top() + TIGHT, side, side)
            paint_state(painter, ring, State.BUSY, QPalette(on_wall(OnWall.TEXT), on_wall(OnWall.PAPER)))
            room.setTop(round(ring.bottom()) + TIGHT)
        painter.drawText(room, flags, words)
