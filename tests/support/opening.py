"""Opening of files in a window with waiting."""

from pathlib import Path

from wallwright.window.application.window_assembly import ProjectWindow


def open_and_wait(qtbot, window: ProjectWindow, path: Path, **how: bool) -> None:
    """Opens a file and waits until it is read or an error is shown."""
    window.files.open_path(path, **how)
    wait_for_files(qtbot, window)


def wait_for_files(qtbot, window: ProjectWindow) -> None:
    """Waits until no file is being read."""
    qtbot.waitUntil(lambda: not window.models.imports.is_busy, timeout=30_000)
