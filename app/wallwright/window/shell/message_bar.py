"""A message that floats over the wall without moving it."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QMenu, QPushButton, QToolButton, QVBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.window.features.export.feature import hanging_names
from wallwright.window.model.messages import Offer
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.files_button import FilesButton
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.theme import CLOSE, FAR, NEAR, Kind, as_kind

LARGEST_WIDTH = 760
"""Largest width, px."""


class MessageBar(QFrame):
    """The bar; hidden while there is no message."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("banner")
        self._place: QWidget | None = None
        line = QHBoxLayout()
        line.setSpacing(CLOSE)
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        self.sentence.setTextFormat(Qt.TextFormat.PlainText)  # names of files may look like tags
        self.sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QToolButton()
        close.setIcon(icon("close"))
        close.setAutoRaise(True)
        explain(close, tr("Close this message"), tr("Close this message"))
        close.clicked.connect(self.hide)
        self.open_sheet = QPushButton(tr("Open the sheet"))
        explain(self.open_sheet, tr("Shows the hanging sheet, to read or to print it."))
        self.open_sheet.clicked.connect(self._open_only_sheet)
        self.choose_sheet = QPushButton(tr("Open a sheet"))
        explain(self.choose_sheet, tr("Shows the hanging sheet of one hanging, to read or to print it."))
        self._sheet_menu = QMenu(self.choose_sheet)
        self.choose_sheet.setMenu(self._sheet_menu)
        self.open_folder = QPushButton(tr("Open the folder"))
        explain(self.open_folder, tr("Shows the job files in the file manager."))
        self.open_folder.clicked.connect(self._open_folder)
        self.answer = QLabel()
        self.answer.setWordWrap(True)
        self.answer.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        line.addWidget(self.sentence, 1)
        line.addWidget(close, 0, Qt.AlignmentFlag.AlignTop)
        below = QHBoxLayout()
        below.setSpacing(CLOSE)
        below.addStretch(1)
        self.files = FilesButton()
        self.files.copied.connect(self._answer)
        self.offer = QPushButton()
        as_kind(self.offer, Kind.PRIMARY)
        self.offer.clicked.connect(self._run_offer)
        for button in (self.offer, self.files, self.open_sheet, self.choose_sheet, self.open_folder):
            below.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(NEAR, CLOSE, CLOSE, CLOSE)
        column.setSpacing(CLOSE)
        column.addLayout(line)
        column.addLayout(below)
        column.addWidget(self.answer)
        self._folder: Path | None = None
        self._sheets: list[Path] = []
        self._offer: Offer | None = None
        self.hide()

    def float_over(self, place: QWidget) -> None:
        """Centres the bar at the top edge of a widget."""
        self._place = place
        self.setParent(place)
        self.hide()
        place.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._place and event.type() == QEvent.Type.Resize:
            self._fit()
        return False

    def _fit(self) -> None:
        if self._place is None or not self.isVisibleTo(self._place):
            return
        width = min(LARGEST_WIDTH, self._place.width() - 2 * FAR)
        layout = self.layout()
        if layout is not None:
            layout.activate()
            width = max(width, min(layout.minimumSize().width(), self._place.width()))
            self.resize(width, layout.totalHeightForWidth(width))
        self.move((self._place.width() - width) // 2, FAR)
        self.raise_()

    def settle(self, is_same_job: bool) -> None:
        """Hides the message after a successful edit, unless it lists files that are still up to date (is_same_job: the edit
        left the job unchanged)."""
        if self._folder is None or not is_same_job:
            self.hide()

    def say_with_offer(self, sentence: str, offer: Offer) -> None:
        """Shows a message with a button for a remedy."""
        self.say(sentence)
        self._offer = offer
        self.offer.setText(offer.title)
        explain(self.offer, offer.help)
        self.offer.show()
        self._fit()

    def _run_offer(self) -> None:
        self.hide()
        if self._offer is not None:
            self._offer.run()

    def say(self, sentence: str, files: Sequence[Path] = ()) -> None:
        """Shows a message. files: files of one folder, with buttons that open the folder and hand the files on."""
        self._offer = None
        self.offer.hide()
        self.sentence.setText(sentence)
        self.answer.hide()
        self._folder = Path(os.path.commonpath([file.parent for file in files])) if files else None
        self._sheets = [file for file in files if file.suffix == ".pdf"]
        self._offer_sheets(files)
        self.files.hold(files)
        self.open_sheet.setVisible(len(self._sheets) == 1)
        self.choose_sheet.setVisible(len(self._sheets) > 1)
        self.open_folder.setVisible(bool(files))
        self.files.setVisible(bool(files))
        self.show()
        self._fit()

    def _offer_sheets(self, files: Sequence[Path]) -> None:
        """Offers the sheets of several hangings in a menu, by the names of hanging and folder."""
        self._sheet_menu.clear()
        names = hanging_names(files) if len(self._sheets) > 1 else {}
        for sheet in self._sheets if len(self._sheets) > 1 else ():
            folder = sheet.parent.name
            title = f"{folder}: {names[sheet.parent]}" if sheet.parent in names else folder
            action = self._sheet_menu.addAction(title.replace("&", "&&"))
            action.triggered.connect(lambda _=False, sheet=sheet: self._open_sheet(sheet))

    def _open_only_sheet(self) -> None:
        if len(self._sheets) == 1:
            self._open_sheet(self._sheets[0])

    def _open_sheet(self, sheet: Path) -> None:
        if _open(sheet):
            self._answer(tr("{0} is being opened.", sheet.name))
        else:
            self._answer(tr("This computer has no program that opens PDF files. The hanging sheet is {0}.", sheet))

    def _open_folder(self) -> None:
        folder = self._folder or Path()
        if _open(folder):
            self._answer(tr("The folder {0} is being opened.", folder.name))
        else:
            self._answer(tr("This computer has no file manager that can be started. The files are in {0}.", folder))

    def _answer(self, sentence: str) -> None:
        """Shows the result of a button below the buttons."""
        self.answer.setText(sentence)
        self.answer.show()
        self._fit()


def _open(file: Path) -> bool:
    """Returns whether the system has a program for a file."""
    return QDesktopServices.openUrl(QUrl.fromLocalFile(str(file)))
