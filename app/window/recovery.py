"""Autosave: what is on screen is kept aside every moment, and offered again after a crash.

Each window keeps one file in the state folder, recovery/<process id>-<number>.wallwright, written atomically, and removed
when the window closes in order. A file whose process no longer runs is what a crash left behind.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import logging
import os
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, QThread, QTimer, Signal

from app.document.atomic import HALF, write_atomic
from app.document.document import Document
from app.document.errors import BadFile
from app.document.language import tr
from app.document.log import state_folder
from app.document.project import SUFFIX, encode_project, read_project
from app.window.session import Session

SAVE_AFTER_MS = 800
"""After an edit; with the writing itself well below the two seconds after which nothing may be lost."""


_NUMBERS = itertools.count(1)
"""Of the windows of this process."""


def folder() -> Path:
    return state_folder() / "recovery"


@dataclass(frozen=True)
class Left:
    """What a window that ended badly left behind."""

    file: Path
    document: Document
    path: Path | None
    """Where its project was saved, if it was."""
    when: float
    """Of the last writing, s since 1970."""

    def forget(self) -> None:
        self.file.unlink(missing_ok=True)
        self.file.with_suffix(".json").unlink(missing_ok=True)


def left_behind() -> list[Left]:
    """Readable files of windows that no longer run, newest first. Unreadable ones are removed and logged."""
    found = []
    if not folder().is_dir():
        return found
    for half in folder().glob(f".*{HALF}"):
        process = half.name.removeprefix(".").partition("-")[0]
        if not (process.isdigit() and _runs(int(process))):
            half.unlink(missing_ok=True)
    for file in sorted(folder().glob(f"*{SUFFIX}"), key=lambda f: f.stat().st_mtime, reverse=True):
        process = file.stem.partition("-")[0]
        if process.isdigit() and _runs(int(process)):
            continue
        try:
            document = read_project(file)
        except BadFile as trouble:
            logging.getLogger("wallwright").warning("recovery file dropped: %s", trouble)
            file.unlink(missing_ok=True)
            continue
        path = None
        with contextlib.suppress(OSError, ValueError, RecursionError):
            beside = json.loads(file.with_suffix(".json").read_text(encoding="utf-8"))
            name = beside.get("path") if isinstance(beside, dict) else None
            path = Path(name) if name and isinstance(name, str) else None
        found.append(Left(file, document, path, file.stat().st_mtime))
    return found


def _runs(process: int) -> bool:
    if process == os.getpid():
        return True
    if os.name == "nt":
        # os.kill ends a process there; opening it only asks.
        import ctypes

        handle = ctypes.windll.kernel32.OpenProcess(0x1000, False, process)
        if handle:
            ctypes.windll.kernel32.CloseHandle(handle)
        return bool(handle)
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


class _Writer(QThread):
    """Writes one state of the document; encoding a large artwork takes longer than a frame."""

    failed = Signal(str)

    def __init__(self, file: Path, document: Document, path: Path | None, parent: QObject) -> None:
        super().__init__(parent)
        self._file, self._document, self._path = file, document, path

    def run(self) -> None:
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            name = json.dumps({"path": str(self._path) if self._path else ""})
            write_atomic(self._file.with_suffix(".json"), name.encode())
            write_atomic(self._file, encode_project(self._document))
        except (BadFile, OSError) as trouble:
            self.failed.emit(str(trouble))
        except Exception as error:
            logging.getLogger("wallwright").exception("keeping unsaved work failed")
            self.failed.emit(type(error).__name__)


class Autosave(QObject):
    """Keeps a session's unsaved document aside."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.session = session
        self.file = folder() / f"{os.getpid()}-{next(_NUMBERS)}{SUFFIX}"
        self._writer: _Writer | None = None
        self._kept: Document | None = None
        self._told = False
        self._soon = QTimer(self, singleShot=True, interval=SAVE_AFTER_MS)
        self._soon.timeout.connect(self._keep)
        session.document_changed.connect(self._changed)
        session.file_changed.connect(self._changed)

    def adopt(self, left: Left) -> None:
        """Goes on with a file that was left behind: it is never away, and is removed like this window's own."""
        for suffix in (SUFFIX, ".json"):
            with contextlib.suppress(FileNotFoundError):
                left.file.with_suffix(suffix).replace(self.file.with_suffix(suffix))

    def go_on_from(self, other: Autosave) -> None:
        """Takes over what another window of this process kept of the same document."""
        other.finish()
        self.adopt(Left(other.file, self.session.document, self.session.path, 0.0))
        self._changed()

    def _changed(self) -> None:
        # Not restarted by each edit: dragging for a minute must not put the saving off for a minute.
        if not self._soon.isActive():
            self._soon.start()

    def _keep(self) -> None:
        if self._writer is not None and self._writer.isRunning():
            self._soon.start()
            return
        document = self.session.document
        if not self.session.dirty:
            self._forget()
        elif document is not self._kept:
            self._kept = document
            self._writer = _Writer(self.file, document, self.session.path, self)
            self._writer.failed.connect(self._failed)
            self._writer.start()

    def _failed(self, why: str) -> None:
        logging.getLogger("wallwright").warning("autosave failed: %s", why)
        if not self._told:
            self._told = True
            self.session.trouble.emit(tr("Unsaved work cannot be kept aside: {0}", why))

    def _forget(self) -> None:
        self._kept = None
        self.file.unlink(missing_ok=True)
        self.file.with_suffix(".json").unlink(missing_ok=True)

    def close(self) -> None:
        """The window closes in order: nothing is left behind."""
        self.finish()
        self._forget()

    def finish(self) -> None:
        """Writes nothing from now on, and waits for what is being written."""
        self._soon.stop()
        if self._writer is not None:
            self._writer.wait()
