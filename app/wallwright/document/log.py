"""The log file, which records unexpected failures.

It holds no personal paths, so that a person can share it.
"""

from __future__ import annotations

import logging
import logging.handlers
import os
import sys
from pathlib import Path

from wallwright.document.private_text import without_personal_paths

LARGEST_LOG, OLD_LOGS = 1_000_000, 2
"""Largest size of a log file, in bytes, and number of older ones kept."""


class PrivateFormatter(logging.Formatter):
    """Removes personal paths from log lines and tracebacks."""

    def format(self, record: logging.LogRecord) -> str:
        return without_personal_paths(super().format(record))


def state_folder() -> Path:
    """Returns the platform's folder for program state. WALLWRIGHT_STATE overrides it."""
    if override := os.environ.get("WALLWRIGHT_STATE"):
        return Path(override)
    import platformdirs

    named = "Wallwright" if sys.platform.startswith(("win", "darwin")) else "wallwright"
    return Path(platformdirs.user_state_dir(named, appauthor=False))


def log_file() -> Path:
    return state_folder() / "wallwright.log"


def log_files() -> list[Path]:
    """Returns the existing log files, newest first."""
    file = log_file()
    files = [file, *(file.with_name(f"{file.name}.{number}") for number in range(1, OLD_LOGS + 1))]
    return [one for one in files if one.is_file()]


def keep_log() -> Path:
    """Directs the program's log to its file; returns the file. If it cannot be written, only failures are logged, to
    stderr."""
    log = logging.getLogger("wallwright")
    file = log_file()
    if any(isinstance(h, logging.FileHandler) for h in log.handlers):
        return file
    logging.raiseExceptions = False  # a full disk must not fill the terminal with tracebacks
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = logging.handlers.RotatingFileHandler(
            file, maxBytes=LARGEST_LOG, backupCount=OLD_LOGS, encoding="utf-8", errors="backslashreplace"
        )
    except (OSError, ValueError):
        handler = logging.StreamHandler()
        handler.setLevel(logging.ERROR)
    handler.setFormatter(PrivateFormatter("%(asctime)s %(process)d %(name)s %(levelname)s %(message)s"))
    log.addHandler(handler)
    log.propagate = False
    log.setLevel(logging.INFO)
    return file
