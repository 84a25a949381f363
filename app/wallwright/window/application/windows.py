"""The windows of this process: each on its own document, with its own history, planner and recovery file."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

from wallwright.document.new_wall import NewWall, usual_machine
from wallwright.window.application.language_choice import apply_language
from wallwright.window.model.session import Session
from wallwright.window.shell.main_window import MainWindow

STEP = 28
"""Pixels that a further window is moved against the one before."""


class Windows(QObject):
    """Opens windows and knows those that are open."""

    def __init__(self, log_file: Path | None = None) -> None:
        super().__init__()
        self.log_file = log_file
        self.open: list[MainWindow] = []

    def make(self, session: Session | None = None) -> MainWindow:
        """A further window, not yet shown."""
        window = MainWindow(session or Session(NewWall().document(usual_machine())), self.log_file, self)
        window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.open.append(window)
        return window

    def another(self, path: Path | None = None, again: bool = False) -> MainWindow:
        """Shows a further window: on a project, or with the start page. again: although another one shows that project."""
        before = self.active
        window = self.make()
        if before is not None:
            window.resize(before.size())
            window.move(before.x() + STEP, before.y() + STEP)
        if path is None:
            window.show_start()
        else:
            window.files.open_path(path, again)
        window.show()
        return window

    @property
    def active(self) -> MainWindow | None:
        """The window that the person uses, else the newest one."""
        now = QApplication.activeWindow()
        while now is not None and now not in self.open:
            now = now.parentWidget()
        return now or (self.open[-1] if self.open else None)

    def shows(self, path: Path, besides: MainWindow | None = None) -> bool:
        """Brings the window to the front that has this project open; False when no other one has."""
        for window in self.open:
            shown = window.session.path
            if window is not besides and shown is not None and shown.resolve() == path.resolve():
                window.raise_()
                window.activateWindow()
                return True
        return False

    def closed(self, window: MainWindow) -> None:
        self.open.remove(window)

    def quit(self) -> None:
        """Closes all, until one stays because its person says so."""
        for window in list(self.open):
            if not window.close():
                return

    def speak_anew(self) -> None:
        """Makes every window again in the language wanted now; documents, histories and places stay."""
        apply_language(QApplication.instance())
        for old in list(self.open):
            new = self.make(successor(old.session))
            new.setGeometry(old.geometry())
            if old.at_start:
                new.show_start()
            new.show()
            new.autosave.go_on_from(old.autosave)
            old.replaced = True
            old.close()
            if not new.at_start and new.session.document.placements:
                new.session.plan_now()


def successor(session: Session) -> Session:
    """A session that goes on where another one is, with a planner of its own and without a plan."""
    new = Session(session.document)
    new.history, new.saved, new.path, new.disk = session.history, session.saved, session.path, session.disk
    new.chosen, new.hanging = session.chosen, session.hanging
    session.imports.hand_over(new.imports.add)
    return new
