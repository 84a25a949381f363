"""Detects that the program's files were changed since it was started, as by an update while a window is open."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

from wallwright.document.language import tr

STARTED = time.time()
"""Time when the running program was loaded, s since 1970; set before any of it runs in another process."""
PACKAGE = Path(__file__).resolve().parents[1]


def is_program_changed(since: float = STARTED, package: Path = PACKAGE, executable: str = sys.executable) -> bool:
    """Returns whether a module of the package, or the program that runs it, was written, replaced or removed after a
    time, s since 1970. Replaced files keep their modification time from packing, but not their change time (POSIX:
    st_ctime)."""
    files = [package / "__init__.py", *package.rglob("*.py")] if package.is_dir() else []
    return any(_changed_at(file) > since for file in (*map(str, files), executable) if file)


def _changed_at(file: str) -> float:
    try:
        found = os.stat(file)
    except OSError:
        return float("inf")  # it existed when the program was started
    return max(found.st_ctime, found.st_mtime)


def program_changed_sentence() -> str:
    """Returns the message for that case."""
    return tr(
        "The program was changed while this window was open, perhaps by an update. Save the project, close all windows "
        "and start the program again."
    )
