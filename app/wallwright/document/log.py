"""The log file: where unexpected failures go, so that none is swallowed and none is thrown at a person.

It holds no personal paths: a person can hand it on as it is.
"""

from __future__ import annotations

import logging
import logging.handlers
import os
import sys
from pathlib import Path

from wallwright.document.private_text import without_personal_paths

LARGEST_LOG, OLD_LOGS = 1_000_000, 2
"""Bytes of one log file, and how many older ones are kept."""


class PrivateFormatter(logging.Formatter):
    """Lines without personal paths, tracebacks included."""

    def format(self, record: logging.LogRecord) -> str:
        return without_personal_paths(super().format(record))


def state_folder() -> Path:
    """Where this platform keeps a program's state. WALLWRIGHT_STATE overrides it."""
    if override := os.environ.get("WALLWRIGHT_STATE"):
        return Path(override)
    import platformdirs

    named = "Wallwright" if sys.platform.startswith(("win", "darwin")) else "wallwright"
    return Path(platformdirs.user_state_dir(named, appauthor=False))


def log_file() -> Path:
    return state_folder() / "wallwright.log"


def log_files() -> list[Path]:
    """The log file and the older ones that it was turned into, newest first, as far as they exist."""
    file = log_file()
    files = [file, *(file.with_name(f"{file.name}.{number}") for number in range(1, OLD_LOGS + 1))]
    return [one for one in files if one.is_file()]


def keep_log() -> Path:
    """Sends the program's log to its file; returns the file. Where that cannot be written only failures are logged, to
    stderr."""
    log = logging.getLogger("wallwright")
    file = log_file()
    if any(isinstance(h, logging.FileHandler) for h in log.handlers):
        return file
    logging.raiseExceptions = False  # a disk that is full must not fill the terminal with tracebacks
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
