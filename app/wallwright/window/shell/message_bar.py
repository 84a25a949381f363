"""The sentence that floats over the wall, which stays where it is."""

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

WIDEST = 760
"""Pixels."""


class MessageBar(QFrame):
    """Hidden until there is something to say."""

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
        self.open_folder.clicked.connect(lambda: _open(self._folder or Path()))
        line.addWidget(self.sentence, 1)
        line.addWidget(close, 0, Qt.AlignmentFlag.AlignTop)
        below = QHBoxLayout()
        below.setSpacing(CLOSE)
        below.addStretch(1)
        self.files = FilesButton()
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
        self._folder: Path | None = None
        self._sheets: list[Path] = []
        self._offer: Offer | None = None
        self.hide()

    def float_over(self, place: QWidget) -> None:
        """Lies over the upper edge of a widget, in its middle."""
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
        width = min(WIDEST, self._place.width() - 2 * FAR)
        layout = self.layout()
        if layout is not None:
            layout.activate()
            width = max(width, min(layout.minimumSize().width(), self._place.width()))
            self.resize(width, layout.totalHeightForWidth(width))
        self.move((self._place.width() - width) // 2, FAR)
        self.raise_()

    def settle(self, is_same_job: bool) -> None:
        """An edit went through: trouble with the one before it is over. Files to fetch stay while they are those of the
        project: is_same_job says whether the edit left the job as it was."""
        if self._folder is None or not is_same_job:
            self.hide()

    def say_with_offer(self, sentence: str, offer: Offer) -> None:
        """The same with a button for what helps."""
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
        """files: of one folder, which a button opens; another one hands the files on."""
        self._offer = None
        self.offer.hide()
        self.sentence.setText(sentence)
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
        """Of several hangings each has its sheet: a menu names them as the project does, and their folders."""
        self._sheet_menu.clear()
        names = hanging_names(files) if len(self._sheets) > 1 else {}
        for sheet in self._sheets if len(self._sheets) > 1 else ():
            folder = sheet.parent.name
            title = f"{folder}: {names[sheet.parent]}" if sheet.parent in names else folder
            action = self._sheet_menu.addAction(title.replace("&", "&&"))
            action.triggered.connect(lambda _=False, sheet=sheet: _open(sheet))

    def _open_only_sheet(self) -> None:
        if len(self._sheets) == 1:
            _open(self._sheets[0])


def _open(file: Path) -> None:
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(file)))
