"""Opening a file in a window, as the person sees it: begun, then waited for."""

from pathlib import Path

from wallwright.window.shell.main_window import MainWindow


def open_and_wait(qtbot, window: MainWindow, path: Path, **how: bool) -> None:
    """Until the file is read, or what is wrong with it is said."""
    window.files.open_path(path, **how)
    wait_for_files(qtbot, window)


def wait_for_files(qtbot, window: MainWindow) -> None:
    """Until nothing is read any more."""
    qtbot.waitUntil(lambda: not window.session.reading, timeout=30_000)
