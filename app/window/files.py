"""Opening and saving: questions about unsaved changes, recent files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSettings
from PySide6.QtWidgets import QFileDialog, QMessageBox

from app.document.document import Document
from app.document.errors import Trouble
from app.document.project import SUFFIX, read_project, write_project

if TYPE_CHECKING:
    from app.window.window import MainWindow

MOST_RECENT = 8


class Files(QObject):
    """The file side of one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window, self.session = window, window.session
        self._settings = QSettings("Wallwright", "Wallwright")

    # Asking first.

    def may_leave(self) -> bool:
        """Whether the present document may be left: it is saved, or the person says so."""
        if not self.session.dirty:
            return True
        Button = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self.window, self.tr("Unsaved changes"),
            self.tr("Save the changes to “{0}” first?").format(self.session.name),
            Button.Save | Button.Discard | Button.Cancel, Button.Save,
        )  # fmt: skip
        if answer == Button.Save:
            return self.save()
        return answer == Button.Discard

    def new(self) -> None:
        if self.may_leave():
            self.session.load(Document(), None)

    def demo(self) -> None:
        from app.planning.demo import demo_document

        if self.may_leave():
            self.session.load(demo_document(), None)

    def open(self) -> None:
        if not self.may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(
            self.window, self.tr("Open a project"), self._folder(), self.tr("Projects (*{0})").format(SUFFIX)
        )
        if name:
            self.open_path(Path(name))

    def open_path(self, path: Path) -> bool:
        """Opens a project, or begins to bring artwork; the present document stays when it cannot be read."""
        if path.suffix.lower() != SUFFIX:
            self.session.add_files([path])
            return True
        try:
            document = read_project(path)
        except Trouble as trouble:
            self.session.trouble.emit(str(trouble))
            return False
        self.session.load(document, path)
        self._remember(path)
        return True

    def save(self) -> bool:
        return self._save_to(self.session.path) if self.session.path else self.save_as()

    def save_as(self) -> bool:
        start = str(self.session.path or Path(self._folder()) / f"{self.session.name}{SUFFIX}")
        name, _ = QFileDialog.getSaveFileName(
            self.window, self.tr("Save the project"), start, self.tr("Projects (*{0})").format(SUFFIX)
        )
        if not name:
            return False
        path = Path(name)
        return self._save_to(path if path.suffix else path.with_suffix(SUFFIX))

    def _save_to(self, path: Path) -> bool:
        try:
            write_project(path, self.session.document)
        except Trouble as trouble:
            self.session.trouble.emit(str(trouble))
            return False
        self.session.mark_saved(path)
        self._remember(path)
        return True

    def add_artwork(self) -> None:
        names, _ = QFileDialog.getOpenFileNames(
            self.window, self.tr("Add artwork"), self._folder(), self.tr("Artwork (*.svg *.svgz)")
        )
        if names:
            self.session.add_files([Path(n) for n in names])

    # Recent files.

    def recent(self) -> list[Path]:
        """Projects used last, newest first, that still exist."""
        value = self._settings.value("recent", [])
        names = [value] if isinstance(value, str) else list(value or [])
        return [Path(n) for n in names if Path(n).exists()]

    def _remember(self, path: Path) -> None:
        path = path.resolve()
        names = [str(path), *(str(p) for p in self.recent() if p != path)]
        self._settings.setValue("recent", names[:MOST_RECENT])

    def _folder(self) -> str:
        recent = self.recent()
        return str(
            self.session.path.parent if self.session.path else recent[0].parent if recent else Path.home()
        )
