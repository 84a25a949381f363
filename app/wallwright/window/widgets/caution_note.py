"""A caution beside the controls that it is about: one line, all of it on request, and a cross that closes it for good."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QToolButton, QWidget

from wallwright.document.language import tr
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.state_icons import State, state_pixmap


class CautionNote(QFrame):
    """Colours and fonts are those of the window, light or dark; all of it by keyboard."""

    dismissed = Signal()
    """The person closed it."""

    def __init__(self, line: str, texts: Sequence[str], parent: QWidget | None = None) -> None:
        """line: the most urgent danger, in one short sentence. texts: every caution."""
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
            tr("Does not show these cautions again for this project. Help › Cautions always has them."),
            tr("Close these cautions"),
        )
        self.close_button.clicked.connect(self._dismiss)
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(8, 4, 4, 4)
        grid.setHorizontalSpacing(6)
        top = Qt.AlignmentFlag.AlignTop
        grid.addWidget(sign, 0, 0, top)
        grid.addWidget(self.line, 0, 1)
        grid.addWidget(self.more, 0, 2, top)
        grid.addWidget(self.close_button, 0, 3, top)
        grid.addWidget(self.all, 1, 1)
        grid.setColumnStretch(1, 1)

    def _show_all(self, is_wanted: bool) -> None:
        self.all.setVisible(is_wanted)
        self.more.setArrowType(Qt.ArrowType.DownArrow if is_wanted else Qt.ArrowType.RightArrow)

        self._fit()
        window = self.window()
        layout = window.layout()
        if layout is not None and layout.hasHeightForWidth():
            layout.activate()
            room = min(layout.totalHeightForWidth(window.width()), self.screen().availableSize().height())
            window.resize(window.width(), max(window.height(), room))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Asks for the height that the text needs at this width."""
        self._grid.activate()
        self.setMinimumHeight(self._grid.totalHeightForWidth(self.width()))

    def _dismiss(self) -> None:
        self.hide()
        self.dismissed.emit()
