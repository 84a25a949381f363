"""A window on a project file: the main window with its files, autosave and watch."""

from __future__ import annotations

from pathlib import Path

from wallwright.window.application.files import FileCommands
from wallwright.window.features.read_anyway import ReadAnywayQuestion
from wallwright.window.model.host import WindowHost
from wallwright.window.model.models import Models
from wallwright.window.shell.main_window import MainWindow


class ProjectWindow(MainWindow):
    """A main window whose files are on this disk."""

    files: FileCommands

    def __init__(self, models: Models, log_file: Path | None = None, windows: WindowHost | None = None) -> None:
        """windows: those of this process, when there can be more than this one."""
        files = FileCommands(models, windows)
        super().__init__(models, files, log_file, windows)
        files.set_window(self)
        self.read_anyway = ReadAnywayQuestion(models, self)
        files.not_opened.connect(self._show_start_if_blank)

    def _show_start_if_blank(self) -> None:
        """A window that was made for a project which could not be opened has nothing else to show."""
        project = self.models.project
        if project.path is None and not project.is_dirty and not project.document.placements:
            self.parts.start.show()
