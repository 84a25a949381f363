"""The log file: where unexpected failures go, so that none is swallowed and none is thrown at a person."""

from __future__ import annotations

import logging
import logging.handlers
import os
import sys
from pathlib import Path


def state_folder() -> Path:
    """Where this platform keeps a program's state. WALLWRIGHT_STATE overrides it."""
    if override := os.environ.get("WALLWRIGHT_STATE"):
        return Path(override)
    import platformdirs

    named = "Wallwright" if sys.platform.startswith(("win", "darwin")) else "wallwright"
    return Path(platformdirs.user_state_dir(named, appauthor=False))


def log_file() -> Path:
    return state_folder() / "wallwright.log"


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
            file, maxBytes=1_000_000, backupCount=2, encoding="utf-8", errors="backslashreplace"
        )
    except (OSError, ValueError):
        handler = logging.StreamHandler()
        handler.setLevel(logging.ERROR)
    handler.setFormatter(logging.Formatter("%(asctime)s %(process)d %(name)s %(levelname)s %(message)s"))
    log.addHandler(handler)
    log.propagate = False
    log.setLevel(logging.INFO)
    return file
