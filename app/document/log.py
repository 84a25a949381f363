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
    home = Path.home()
    if sys.platform.startswith("win"):
        return Path(os.environ.get("LOCALAPPDATA", home / "AppData" / "Local")) / "Wallwright"
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / "Wallwright"
    return Path(os.environ.get("XDG_STATE_HOME", home / ".local" / "state")) / "wallwright"


def log_file() -> Path:
    return state_folder() / "wallwright.log"


def keep_log() -> Path:
    """Sends the program's log to its file; returns the file. A folder that cannot be written leaves only stderr."""
    log = logging.getLogger("wallwright")
    file = log_file()
    if any(isinstance(h, logging.FileHandler) for h in log.handlers):
        return file
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = logging.handlers.RotatingFileHandler(
            file, maxBytes=1_000_000, backupCount=2, delay=True, encoding="utf-8"
        )
    except OSError:
        handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(asctime)s %(process)d %(name)s %(levelname)s %(message)s"))
    log.addHandler(handler)
    log.propagate = False
    log.setLevel(logging.INFO)
    return file
