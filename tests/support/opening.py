"""Opening a file in a window, as the person sees it: begun, then waited for."""

from pathlib import Path

from wallwright.window.application.window_assembly import ProjectWindow


def open_and_wait(qtbot, window: ProjectWindow, path: Path, **how: bool) -> None:
    """Until the file is read, or what is wrong with it is said."""
    window.files.open_path(path, **how)
    wait_for_files(qtbot, window)


def wait_for_files(qtbot, window: ProjectWindow) -> None:
    """Until nothing is read any more."""
    qtbot.waitUntil(lambda: not window.models.imports.is_busy, timeout=30_000)
