"""Interfaces of the application for one window: its project file, and other windows. No widgets."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from wallwright.document.document import Document
from wallwright.window.model.recovery import RecoveredDocument


class FileActions(Protocol):
    """Opening and saving in one window."""

    def may_leave(self) -> bool:
        """Whether the document may be replaced: it is saved, or the person agrees."""

    def keep_picture(self) -> None:
        """Stores a picture of the wall for the list of recent projects, as far as it is known."""

    def demo(self) -> None:
        """Opens the demo."""

    def example(self, id: str) -> None:
        """Opens an example project by its id."""

    def open(self) -> None:
        """Asks for a project and opens it."""

    def open_in_window(self) -> None:
        """Asks for a project and opens it in another window."""

    def open_path(self, path: Path, again: bool = False) -> None:
        """Opens a project or reads artwork. The present document stays if it cannot be read. again: even when another window
        of this process shows it."""

    def open_recent(self, path: Path) -> None:
        """Opens a project after asking about changes to the present one."""

    def save(self) -> bool:
        """Saves the project; returns whether it was saved."""

    def save_as(self) -> bool:
        """Asks for a name and saves; returns whether it was saved."""

    def keep_wall(self) -> None:
        """Saves the wall for new projects."""

    def export_machine(self) -> None:
        """Saves the machine to a file."""

    def import_machine(self) -> None:
        """Loads the machine from a file."""

    def keep_machine(self) -> None:
        """Saves the machine for new projects."""

    def add_artwork(self) -> None:
        """Asks for files with artwork and reads them."""

    def begin(self, document: Document, artwork: tuple[Path, ...], harbour: bool) -> None:
        """Shows a new project and reads its first artwork. harbour: adds the demo's artwork."""

    def recover(self, left: RecoveredDocument) -> None:
        """Shows a document recovered after a crash."""

    def close(self) -> None:
        """Ends file work when the window closes normally."""


class WindowHost(Protocol):
    """The windows of this process."""

    def another(self, path: Path | None = None, again: bool = False) -> object:
        """Opens another window on a project, or with the start page. again: even if another one shows that project."""

    def shows(self, path: Path, besides: object = None) -> bool:
        """Brings the window with this project to the front; returns False if there is none."""

    def quit(self) -> None:
        """Closes all windows, until the person cancels for one."""

    def retranslate(self) -> None:
        """Recreates every window in the wanted language."""
