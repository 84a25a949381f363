"""A caution next to the controls concerned: one line, expandable, and a button that closes it permanently."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QDialog, QFrame, QGridLayout, QLabel, QScrollArea, QToolButton, QWidget

from wallwright.document.language import tr
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.state_icons import State, state_pixmap


class CautionNote(QFrame):
    """The note, in the window's colours and fonts; fully usable by keyboard."""

    dismissed = Signal()
    """The person closed the note."""

    def __init__(self, line: str, texts: Sequence[str], parent: QWidget | None = None) -> None:
        """line: the most urgent danger, in a short sentence. texts: all cautions."""
        super().__init__(parent)
        self.setObjectName("card")
        self.setAccessibleName(tr("Take care"))
        self.setAccessibleDescription(line)
        sign = QLabel()
        sign.setPixmap(state_pixmap(State.WARNING, self.palette(), self.fontMetrics().lineSpacing()))
        self.line = QLabel(f"<b>{escape(tr('Take care:'))}</b> {escape(line)}")
        self.all = QLabel("".join(f"<p style='margin: 0 0 4px 0'>{escape(text)}</p>" for text in texts))
        for label in (self.line, self.all):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.RichText)
        self.all.hide()
        self.more = QToolButton()
        self.more.setCheckable(True)
        self.more.setAutoRaise(True)
        self.more.setArrowType(Qt.ArrowType.RightArrow)
        explain(self.more, tr("Shows or hides all cautions for this step."), tr("All cautions"))
        self.more.toggled.connect(self._show_all)
        self.close_button = QToolButton()
        self.close_button.setIcon(icon("close"))
        self.close_button.setAutoRaise(True)
        explain(
            self.close_button,
            tr("Does not show these cautions again for this project. “Help › Cautions” always has them."),
            tr("Close these cautions"),
        )
        self.close_button.clicked.connect(self._dismiss)
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(8, 4, 4, 4)
        grid.setHorizontalSpacing(6)
        top = Qt.AlignmentFlag.AlignTop
        grid.addWidget(sign, 0, 0, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(self.line, 0, 1)
        grid.addWidget(self.more, 0, 2, top)
        grid.addWidget(self.close_button, 0, 3, top)
        grid.addWidget(self.all, 1, 1)
        grid.setColumnStretch(1, 1)

    def _show_all(self, is_wanted: bool) -> None:
        self.all.setVisible(is_wanted)
        self.more.setArrowType(Qt.ArrowType.DownArrow if is_wanted else Qt.ArrowType.RightArrow)
        self._fit()
        if is_wanted:
            self._bring_into_view()
        window = self.window()
        layout = window.layout()
        if layout is not None and layout.hasHeightForWidth():
            layout.activate()
            room = min(layout.totalHeightForWidth(window.width()), self.screen().availableSize().height())
            window.resize(window.width(), max(window.height(), room))

    def _bring_into_view(self) -> None:
        """Shows the whole note: a dialog grows as far as the screen allows, then its page scrolls to the note."""
        area: QWidget | None = self.parentWidget()
        while area is not None and not isinstance(area, QScrollArea):
            area = area.parentWidget()
        if area is None:
            return
        page, dialog = area.widget(), self.window()
        layout = page.layout() if page is not None else None
        if layout is not None and isinstance(dialog, QDialog):
            layout.activate()
            missing = layout.totalHeightForWidth(area.viewport().width()) - area.viewport().height()
            if missing > 0:
                resize_within_screen(dialog, dialog.width(), dialog.height() + missing)
                lowest = dialog.screen().availableGeometry().bottom() - dialog.height()
                dialog.move(dialog.x(), max(min(dialog.y(), lowest), dialog.screen().availableGeometry().top()))
        # The page has its new height only after the next event loop cycle.
        QTimer.singleShot(0, self, lambda: area.ensureWidgetVisible(self))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Sets the height that the text needs at this width."""
        self._grid.activate()
        self.setMinimumHeight(self._grid.totalHeightForWidth(self.width()))

    def _dismiss(self) -> None:
        self.hide()
        self.dismissed.emit()
