"""The hanging sheet as pages below each other, as they will be printed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QByteArray, QSize, Qt
from PySide6.QtGui import QImage, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from wallwright.document.language import plural, tr
from wallwright.window.model.planning_client import PlanningClient
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.focus_ring import FocusRing
from wallwright.window.widgets.theme import CLOSE, NEAR, Role, StyledLabel, colour

LEAST_WIDTH = 300
"""Pixels of a page."""


class _Pages(QWidget):
    """Pages below each other, each as wide as there is room, or as large as they were painted."""

    def __init__(self, area: QScrollArea) -> None:
        super().__init__()
        self._area = area
        self._images: list[QImage] = []
        self._shown: list[QPixmap] = []
        self.is_large = False
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    @property
    def has_images(self) -> bool:
        return bool(self._images)

    def show_images(self, images: Sequence[QImage]) -> None:
        self._images = list(images)
        self.fit()

    def fit(self) -> None:
        """Takes the width that there is."""
        ratio = self.devicePixelRatioF()
        room = self._area.viewport().width() - 2 * CLOSE
        self._shown = []
        for image in self._images:
            width = image.width() if self.is_large else max(min(room, image.width()), LEAST_WIDTH)
            scaled = image.scaledToWidth(round(width * ratio), Qt.TransformationMode.SmoothTransformation)
            scaled.setDevicePixelRatio(ratio)
            self._shown.append(QPixmap.fromImage(scaled))
        sizes = [page.deviceIndependentSize().toSize() for page in self._shown]
        width = max((size.width() for size in sizes), default=0) + 2 * CLOSE
        self.setFixedSize(QSize(width, sum(size.height() + NEAR for size in sizes) + CLOSE))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, top = QPainter(self), CLOSE
        for page in self._shown:
            painter.drawPixmap(CLOSE, top, page)
            size = page.deviceIndependentSize().toSize()
            painter.setPen(QPen(colour(Role.EDGE, self.palette()), 1.0))
            painter.drawRect(CLOSE, top, size.width() - 1, size.height() - 1)
            top += size.height() + NEAR
        painter.end()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click enlarges the page, or makes it fit again, where the pointer is."""
        if event.button() != Qt.MouseButton.LeftButton or not self._images:
            return
        before, at = self.size(), event.position()
        self.is_large = not self.is_large
        self.fit()
        across, down = self._area.horizontalScrollBar(), self._area.verticalScrollBar()
        seen = self.mapTo(self._area.viewport(), at.toPoint())
        across.setValue(round(at.x() * self.width() / before.width() - seen.x()))
        down.setValue(round(at.y() * self.height() / before.height() - seen.y()))


class SheetView(QWidget):
    """Asks for the pages and shows them when they come."""

    def __init__(self, planning: PlanningClient, hanging: str = "", parent: QWidget | None = None) -> None:
        """hanging: name of the one whose sheet it is, when there are several."""
        super().__init__(parent)
        self._planning = planning
        self._title = tr("Hanging sheet of {0}", hanging) if hanging else tr("Hanging sheet")
        self.title = StyledLabel(self._title, is_strong=True)
        self.area = QScrollArea()
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)  # so that pages keep their width
        self.area.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        FocusRing(self.area)
        explain(
            self.area,
            tr("The sheet to take to the wall, page by page. A click enlarges it."),
            tr("Pages of the hanging sheet"),
        )
        self._pages = _Pages(self.area)
        self.area.setWidget(self._pages)
        self.message = QLabel(tr("The sheet is being made…"))
        self.message.setWordWrap(True)
        self.message.setAlignment(Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(CLOSE)
        column.addWidget(self.title)
        column.addWidget(self.message)
        column.addWidget(self.area, 1)
        self.setMinimumWidth(LEAST_WIDTH + 4 * CLOSE + self.area.verticalScrollBar().sizeHint().width())
        planning.sheet_painted.connect(self._show)
        planning.plan_changed.connect(self._ask)
        self._ask()

    def _ask(self) -> None:
        if not self._pages.has_images:
            self._planning.paint_sheet()

    def _show(self, pages: tuple[bytes, ...], trouble: str) -> None:
        """pages: PNG. trouble: why there are none."""
        self.message.setText(trouble)
        self.message.setVisible(bool(trouble))
        if pages:
            count = plural("{0} page", "{0} pages", len(pages))
            self.title.setText(f"{self._title}, {count}")
        self._pages.show_images([QImage.fromData(QByteArray(data)) for data in pages])

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._pages.fit()
