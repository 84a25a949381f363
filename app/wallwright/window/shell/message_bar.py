"""The sentence above the canvas."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QToolButton, QWidget

from wallwright.document.language import tr
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.files_button import FilesButton


class MessageBar(QFrame):
    """Hidden until there is something to say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        line = QHBoxLayout(self)
        line.setContentsMargins(10, 4, 6, 4)
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        self.sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QToolButton()
        close.setText("✕")
        close.setAutoRaise(True)
        explain(close, tr("Close this message"), tr("Close this message"))
        close.clicked.connect(self.hide)
        self.open_folder = QPushButton(tr("Open the folder"))
        explain(self.open_folder, tr("Shows the job files in the file manager."))
        self.open_folder.clicked.connect(lambda: QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._folder))))
        line.addWidget(self.sentence, 1)
        self.files = FilesButton()
        line.addWidget(self.files)
        line.addWidget(self.open_folder)
        line.addWidget(close)
        self._folder: Path | None = None
        self.hide()

    def settle(self) -> None:
        """An edit went through: trouble with the one before it is over. Files to fetch stay."""
        if self._folder is None:
            self.hide()

    def say(self, sentence: str, files: Sequence[Path] = ()) -> None:
        """files: of one folder, which a button opens; another one hands the files on."""
        self.sentence.setText(sentence)
        self._folder = files[0].parent if files else None
        self.files.hold(files)
        self.open_folder.setVisible(bool(files))
        self.files.setVisible(bool(files))
        self.show()
