"""The windows of this process, each with its own document, history, planner and recovery file."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

from wallwright.document.new_wall import NewWall, usual_machine
from wallwright.window.application.language_choice import apply_language
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models

STEP = 28
"""Offset of a new window from the previous one, pixels."""


def blank_models() -> Models:
    """Returns models of an empty wall with the default machine."""
    return Models.of(NewWall().document(usual_machine()))


class Windows(QObject):
    """Opens windows and keeps track of them."""

    def __init__(self, log_file: Path | None = None) -> None:
        super().__init__()
        self.log_file = log_file
        self.open: list[ProjectWindow] = []

    def make(self, models: Models | None = None) -> ProjectWindow:
        """Creates a window without showing it."""
        window = ProjectWindow(models or blank_models(), self.log_file, self)
        window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.open.append(window)
        window.closed.connect(lambda: self.open.remove(window))
        return window

    def another(self, path: Path | None = None, again: bool = False) -> ProjectWindow:
        """Opens another window on a project, or with the start page. again: even if another one shows that project."""
        before = self.active
        window = self.make()
        if before is not None:
            window.resize(before.size())
            window.move(before.x() + STEP, before.y() + STEP)
        if path is None:
            window.parts.start.show()
        else:
            window.files.open_path(path, again)
        window.show()
        return window

    def open_wanted(self, name: str) -> None:
        """Opens a file on the desktop's request, in the active window if that shows the start page, else in a new one."""
        path, window = Path(name), self.active
        if window is not None and window.parts.start.is_shown:
            window.files.open_path(path)
        elif not self.shows(path):
            self.another(path)

    @property
    def active(self) -> ProjectWindow | None:
        """The active window, else the newest one."""
        now = QApplication.activeWindow()
        while now is not None and now not in self.open:
            now = now.parentWidget()
        return now or (self.open[-1] if self.open else None)

    def shows(self, path: Path, besides: object = None) -> bool:
        """Brings the window with this project to the front; returns False if there is none."""
        for window in self.open:
            shown = window.models.project.path
            if window is not besides and shown is not None and shown.resolve() == path.resolve():
                window.raise_()
                window.activateWindow()
                return True
        return False

    def quit(self) -> None:
        """Closes all windows, until the person cancels for one."""
        for window in list(self.open):
            if not window.close():
                return

    def retranslate(self) -> None:
        """Recreates every window in the wanted language; documents, histories and positions are kept."""
        focused = QApplication.focusWidget()
        if focused is not None:
            focused.clearFocus()  # commits half-typed text, since its field is recreated
        if (application := QApplication.instance()) is not None:
            apply_language(application)
        for old in list(self.open):
            new = self.make(old.models.successor())
            new.setGeometry(old.geometry())
            if old.parts.start.is_shown:
                new.parts.start.show()
            new.show()
            new.files.autosave.copy_state_from(old.files.autosave)
            old.is_replaced = True
            old.close()
            if not new.parts.start.is_shown and new.models.project.document.placements:
                new.models.planning.plan_now()
