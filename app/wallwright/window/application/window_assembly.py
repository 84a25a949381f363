"""A complete window: the main window with file commands, autosave and file watch."""

from __future__ import annotations

from pathlib import Path

from wallwright.window.application.files import FileCommands
from wallwright.window.features.read_anyway import ReadAnywayQuestion
from wallwright.window.model.host import WindowHost
from wallwright.window.model.models import Models
from wallwright.window.shell.main_window import MainWindow


class ProjectWindow(MainWindow):
    """A main window with files on this computer."""

    files: FileCommands

    def __init__(self, models: Models, log_file: Path | None = None, windows: WindowHost | None = None) -> None:
        """windows: the windows of this process, if there can be several."""
        files = FileCommands(models, windows)
        super().__init__(models, files, log_file, windows)
        files.set_window(self)
        self.read_anyway = ReadAnywayQuestion(models, self)
        files.not_opened.connect(self._show_start_if_blank)

    def _show_start_if_blank(self) -> None:
        """Shows the start page in a window whose project could not be opened."""
        project = self.models.project
        if project.path is None and not project.is_dirty and not project.document.placements:
            self.parts.start.show()
