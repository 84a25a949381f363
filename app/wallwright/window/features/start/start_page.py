"""The first page: the demo, a new wall, a project, recent ones with their pictures, and work that a crash left behind."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QDateTime, QLocale, QSize, Qt, Signal, SignalInstance
from PySide6.QtGui import QIcon, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QGroupBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.language import tr
from wallwright.planning.examples import EXAMPLES
from wallwright.window.features.start.guided_start import GuidedStart
from wallwright.window.features.start.thumbnails import empty_picture, picture_of
from wallwright.window.model.recovery import RecoveredDocument, recoverable
from wallwright.window.model.settings import recent
from wallwright.window.widgets.command_button import CommandButton
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.theme import CLOSE, FAR, NEAR, TIGHT, Kind, StyledLabel, TextSize, as_kind

ICON = QSize(132, 88)
BACK_WIDTH = 260
"""Pixels of the words that lead back."""
SHOWN, ACROSS = 6, 3
"""Recent projects."""


class StartPage(QScrollArea):
    """Says what the person chose; the window does it."""

    demo = Signal()
    open = Signal()
    open_path = Signal(Path)
    example = Signal(str)
    """Id of an example project."""
    recover = Signal(object)
    back = Signal()
    """The person would rather go on with the present project."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("Start"))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # what is in it takes the keys, and is scrolled to
        self.guide = GuidedStart()
        self._left = QVBoxLayout()
        self._found = QVBoxLayout()
        title = StyledLabel(tr("What do you want to draw?"), TextSize.TITLE, is_strong=True)
        about = StyledLabel(
            tr(
                "For a machine that hangs on two belts: place artwork on your wall, check every limit, write the files."
            ),
            TextSize.SMALL,
        )
        self.demo_button = self._command(
            tr("See the &demo"),
            tr("A harbour in four colours, planned and checked in seconds."),
            self.demo,
            "play",
        )
        self.open_button = self._command(
            tr("&Open a project…"), tr("Or drop a project or artwork on this window."), self.open, "open"
        )
        self.back_button = as_kind(QPushButton(), Kind.QUIET)
        self.back_button.setStyleSheet("text-align: left; padding-left: 2px")  # in line with the heading
        explain(self.back_button, tr("Leaves this page. The project is as it was."))
        self.back_button.clicked.connect(self.back)
        heading = QVBoxLayout()
        heading.setSpacing(TIGHT)
        heading.addWidget(title)
        heading.addWidget(about)
        self._left.setSpacing(NEAR)
        self._left.addLayout(heading)
        for widget in (self.back_button, self.demo_button, self.open_button, self._examples()):
            self._left.addWidget(widget)
        self._left.addLayout(self._found)
        self._left.addStretch(1)
        page = QWidget()
        row = QHBoxLayout(page)
        row.setContentsMargins(FAR, FAR, FAR, FAR)
        row.setSpacing(FAR)
        row.addLayout(self._left, 2)
        row.addWidget(self.guide, 5)
        self.setWidget(page)
        self.fill()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.guide.fit(self.viewport().width() - self._left.minimumSize().width() - 3 * FAR)

    def offer_back(self, project: str) -> None:
        """Offers the way back to a project by its name; "": there is none."""
        self.back_button.setVisible(bool(project))
        words = tr("Back to “{0}”", project)
        self.back_button.setText(
            self.back_button.fontMetrics().elidedText(words, Qt.TextElideMode.ElideMiddle, BACK_WIDTH)
        )
        self.back_button.setAccessibleName(words)
        self.back_button.setToolTip(words)

    def _command(self, title: str, text: str, signal: SignalInstance, picture: str) -> CommandButton:
        button = CommandButton(title, text)
        button.setIcon(icon(picture))
        button.setAccessibleDescription(text)
        button.setToolTip(text)
        button.setWhatsThis(text)
        button.clicked.connect(signal)
        return button

    def _examples(self) -> QWidget:
        box = QGroupBox(tr("Examples"))
        box.setWhatsThis(tr("Small projects to learn from. Each shows one thing."))
        column = QVBoxLayout(box)
        for one in EXAMPLES:
            button = as_kind(QPushButton(tr(one.title)), Kind.QUIET)
            button.setStyleSheet("text-align: left; padding-left: 2px")  # in line with the heading
            button.setToolTip(tr(one.text))
            button.setAccessibleDescription(tr(one.text))
            button.setWhatsThis(tr(one.text))
            button.clicked.connect(lambda _=False, id=one.id: self.example.emit(id))
            column.addWidget(button)
        column.setContentsMargins(0, CLOSE, 0, 0)
        column.setSpacing(CLOSE // 2)
        return box

    def fill(self) -> None:
        """Looks afresh for recent projects, templates and recovered work."""
        self.guide.fill()
        while (item := self._found.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.deleteLater()
        left = recoverable()
        if left:
            self._found.addWidget(self._recovered(left))
        paths = recent()[:SHOWN]
        if paths:
            self._found.addWidget(self._recent(paths))

    def _recovered(self, left: list[RecoveredDocument]) -> QWidget:
        box = QGroupBox(tr("Unsaved last time"))
        box.setWhatsThis(tr("Work that was open when the program ended unexpectedly."))
        column = QVBoxLayout(box)
        for one in left:
            when = QDateTime.fromSecsSinceEpoch(int(one.when))
            name = one.path.stem if one.path else tr("Untitled")
            words = f"{name}, {QLocale().toString(when, QLocale.FormatType.ShortFormat)}"
            label = QLabel(words)
            label.setWordWrap(True)
            take, forget = QPushButton(tr("Open")), QPushButton(tr("Discard"))
            take.setAccessibleName(tr("Open {0}", words))
            take.setToolTip(tr("Opens the work in its last state."))
            forget.setAccessibleName(tr("Discard {0}", words))
            forget.setToolTip(tr("Deletes this work."))
            for button in (take, forget):
                button.setWhatsThis(button.toolTip())
            take.clicked.connect(lambda _=False, one=one: self.recover.emit(one))
            forget.clicked.connect(lambda _=False, one=one: self._forget(one))
            row = QHBoxLayout()
            row.addWidget(label, 1)
            row.addWidget(take)
            row.addWidget(forget)
            column.addLayout(row)
        return box

    def _forget(self, left: RecoveredDocument) -> None:
        left.forget()
        self.fill()

    def _recent(self, paths: list[Path]) -> QWidget:
        box = QGroupBox(tr("Recent projects"))
        grid = QGridLayout(box)
        for number, path in enumerate(paths):
            button = QToolButton()
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
            button.setAutoRaise(True)
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            button.setIconSize(ICON)
            picture = picture_of(path)
            button.setIcon(QIcon(empty_picture() if picture.isNull() else picture))
            button.setText(button.fontMetrics().elidedText(path.stem, Qt.TextElideMode.ElideMiddle, ICON.width()))
            button.setAccessibleName(tr("Open {0}", path.stem))
            button.setToolTip(str(path))
            button.setWhatsThis(str(path))
            button.clicked.connect(lambda _=False, path=path: self.open_path.emit(path))
            grid.addWidget(button, number // ACROSS, number % ACROSS)
        grid.setColumnStretch(ACROSS, 1)
        return box
