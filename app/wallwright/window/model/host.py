"""What the application does for one window: its project file, and other windows. No widgets."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from wallwright.document.document import Document
from wallwright.window.model.recovery import RecoveredDocument


class FileActions(Protocol):
    """Opening and saving in one window."""

    def may_leave(self) -> bool:
        """Whether the present document may be left: it is saved, or the person says so."""

    def keep_picture(self) -> None:
        """Keeps what is on the wall for the list of recent projects, as far as it is known."""

    def demo(self) -> None:
        """Opens the demo."""

    def example(self, id: str) -> None:
        """Opens an example project by its id."""

    def open(self) -> None:
        """Asks for a project and opens it."""

    def open_in_window(self) -> None:
        """Asks for a project and opens it in a further window."""

    def open_path(self, path: Path, again: bool = False) -> None:
        """Opens a project, or reads artwork; the present document stays when it cannot be read. again: also when another
        window of this process shows it."""

    def open_recent(self, path: Path) -> None:
        """Opens a project after asking about changes to the present one."""

    def save(self) -> bool:
        """Saves the project; False: it is not saved."""

    def save_as(self) -> bool:
        """Saves under a name that it asks for."""

    def keep_wall(self) -> None:
        """Keeps the wall for new projects."""

    def export_machine(self) -> None:
        """Saves the machine as a file."""

    def import_machine(self) -> None:
        """Takes the machine from a file."""

    def keep_machine(self) -> None:
        """Keeps the machine for new projects."""

    def add_artwork(self) -> None:
        """Asks for files with artwork and reads them."""

    def begin(self, document: Document, artwork: tuple[Path, ...], harbour: bool) -> None:
        """Shows a new project and reads its first artwork. harbour: the demo's artwork comes with it."""

    def recover(self, left: RecoveredDocument) -> None:
        """Shows what a crash left behind."""

    def close(self) -> None:
        """The window closes in order."""


class WindowHost(Protocol):
    """The windows of this process."""

    def another(self, path: Path | None = None, again: bool = False) -> object:
        """Shows a further window: on a project, or with the start page. again: although another one shows that project."""

    def shows(self, path: Path, besides: object = None) -> bool:
        """Brings the window to the front that has this project open; False when no other one has."""

    def quit(self) -> None:
        """Closes all windows, until one stays because its person says so."""

    def retranslate(self) -> None:
        """Makes every window again in the language wanted now."""
