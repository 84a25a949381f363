"""A button that passes files on: a click copies them, a drag moves them to another window."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QMimeData, QPoint, Qt, QUrl, Signal
from PySide6.QtGui import QDrag, QGuiApplication, QMouseEvent
from PySide6.QtWidgets import QApplication, QPushButton, QWidget

from wallwright.document.language import plural, tr
from wallwright.window.widgets.explain import explain


class FilesButton(QPushButton):
    """Holds files of an exported job."""

    copied = Signal(str)
    """Emits how many files are on the clipboard, and what to do with them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Copy the files"), parent)
        explain(
            self,
            tr("Copies the job files, to paste into a folder or an e-mail. You can also drag them from here."),
        )
        self._files: tuple[Path, ...] = ()
        self._pressed: QPoint | None = None
        self.clicked.connect(self._copy)

    def hold(self, files: Sequence[Path]) -> None:
        self._files = tuple(files)

    @property
    def _carried(self) -> tuple[Path, ...]:
        """Returns the files; with several folders, the folders and the files beside them, since file names repeat."""
        if len({file.parent for file in self._files}) < 2:
            return self._files
        whole = Path(os.path.commonpath([file.parent for file in self._files]))
        return tuple(dict.fromkeys(whole / file.relative_to(whole).parts[0] for file in self._files))

    def data(self) -> QMimeData:
        """Returns the files as MIME data for other programs (RFC 2483, text/uri-list)."""
        data = QMimeData()
        data.setUrls([QUrl.fromLocalFile(str(file)) for file in self._carried])
        return data

    def _copy(self) -> None:
        QGuiApplication.clipboard().setMimeData(self.data())
        carried = self._carried
        text = plural(
            "{0} file is on the clipboard. Paste it into a folder, such as that of a memory stick.",
            "{0} files are on the clipboard. Paste them into a folder, such as that of a memory stick.",
            len(carried),
        )
        if carried != self._files:
            text = tr(
                "The folders of all hangings are on the clipboard. Paste them into a folder, such as that of a memory stick."
            )
        self.copied.emit(text)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._pressed = event.position().toPoint() if event.button() == Qt.MouseButton.LeftButton else None
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        far = QApplication.startDragDistance()
        if self._pressed is None or (event.position().toPoint() - self._pressed).manhattanLength() < far:
            super().mouseMoveEvent(event)
            return
        self._pressed = None
        self.setDown(False)
        drag = self.carried()
        drag.exec(Qt.DropAction.CopyAction)

    def carried(self) -> QDrag:
        """Returns the drag of the files."""
        drag = QDrag(self)
        drag.setMimeData(self.data())
        drag.setPixmap(self.style().standardIcon(self.style().StandardPixmap.SP_FileIcon).pixmap(32, 32))
        return drag
