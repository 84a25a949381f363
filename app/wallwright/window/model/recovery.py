"""Autosave: the document on screen is saved to a recovery file at once, and offered again after a crash.

Each window has one file in the state folder, recovery/<random name>.wallwright, written atomically and removed when the
window closes normally. Beside it are NAME.json (where the project is saved) and NAME.lock, which the window keeps locked.
The system releases that lock however the window ends, so a file with a free lock is left from a crash. It is not
overwritten before the person has decided: names are never reused.
"""

from __future__ import annotations

import contextlib
import dataclasses
import json
import logging
import threading
import time
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
from PySide6.QtCore import QObject, Signal

from wallwright.document.atomic_write import PARTIAL_SUFFIX, write_atomic
from wallwright.document.document import Document
from wallwright.document.errors import BadFile
from wallwright.document.file_state import FileState
from wallwright.document.language import tr
from wallwright.document.locks import free, is_locked, try_lock
from wallwright.document.log import state_folder
from wallwright.document.project import SUFFIX, encode_project, read_project
from wallwright.window.model.messages import Messages
from wallwright.window.model.project_model import ProjectModel

if TYPE_CHECKING:
    from filelock import BaseFileLock

SAVE_AFTER_S = 0.2
"""Least time between two saves, s: the first edit is saved at once, a drag a few times a second."""
PAUSE_PER_WRITING = 2
"""Least pause after a save, as a multiple of its duration, which limits the load for large artwork."""
AGAIN_AFTER_S = 5.0
"""Delay before a new attempt after a failed save, s: the disk may have room again."""
UNREADABLE = "unreadable"
"""Folder for recovery files that this version cannot read."""


def folder() -> Path:
    return state_folder() / "recovery"


def _lock_file(file: Path) -> Path:
    return file.with_suffix(".lock")


def _is_held(file: Path) -> bool:
    """Whether a running window holds this recovery file."""
    try:
        return is_locked(_lock_file(file))
    except OSError:  # no locks on this disk: better offered once too often than lost
        return False


class RecoveredDocument(msgspec.Struct, frozen=True):
    """A recovery file left by a crashed window."""

    file: Path
    document: Document
    path: Path | None
    """Path of the saved project, if any."""
    when: float
    """Time of the last save, s since 1970."""
    disk: FileState | None = None
    """State of the project file as that window knew it."""

    def forget(self) -> None:
        """Removes it unless another window has opened it meanwhile."""
        slot = _Slot(self.file)
        if slot.hold():
            slot.remove()


def recoverable() -> list[RecoveredDocument]:
    """Returns readable files of windows that no longer run, newest first. Moves unreadable ones aside and logs them."""
    try:
        names = sorted(folder().iterdir())
    except OSError:  # no folder yet, or no permission
        return []
    _sweep(names)
    found = []
    for file in names:
        if file.suffix != SUFFIX or file.name.startswith(".") or _is_held(file):
            continue
        try:
            when = file.stat().st_mtime
            document = read_project(file)
        except (BadFile, OSError) as trouble:
            _move_aside(file, trouble)
            continue
        path, disk = _origin(file)
        found.append(RecoveredDocument(file, document, path, when, disk))
    return sorted(found, key=lambda left: left.when, reverse=True)


def _sweep(names: list[Path]) -> None:
    """Removes files without a recovery file: partial files and locks of ended windows."""
    with contextlib.suppress(OSError):
        for partial in names:
            if partial.name.startswith(".") and partial.suffix == PARTIAL_SUFFIX:
                owner = partial.with_name(partial.name[1:].partition(".")[0] + SUFFIX)
                if not _is_held(owner):
                    partial.unlink(missing_ok=True)
        for lock in names:
            if lock.suffix == ".lock" and not lock.with_suffix(SUFFIX).exists():
                _is_held(lock.with_suffix(SUFFIX))  # this check removes a free lock


def _move_aside(file: Path, trouble: Exception) -> None:
    logging.getLogger("wallwright").warning("recovery file moved aside: %s", trouble)
    with contextlib.suppress(OSError):
        (file.parent / UNREADABLE).mkdir(exist_ok=True)
        for suffix in (SUFFIX, ".json"):
            old = file.with_suffix(suffix)
            if old.exists():
                old.replace(file.parent / UNREADABLE / old.name)


def _origin(file: Path) -> tuple[Path | None, FileState | None]:
    try:
        stored = json.loads(file.with_suffix(".json").read_text(encoding="utf-8"))
        path = Path(stored["path"]) if stored["path"] else None
        return path, FileState(**stored["disk"]) if stored.get("disk") else None
    except (OSError, ValueError, TypeError, KeyError):
        return None, None


class _Slot:
    """A recovery file and the lock held while its window runs."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self._lock: BaseFileLock | None = None

    def hold(self) -> bool:
        """Acquires the lock; returns False if another window has it. On a disk without locks it counts as held."""
        if self._lock is None:
            try:
                self._lock = try_lock(_lock_file(self.file))
            except OSError as error:
                logging.getLogger("wallwright").warning("recovery file without lock: %s", error)
                return True
        return self._lock is not None

    @property
    def is_held(self) -> bool:
        return self._lock is not None

    def remove(self) -> None:
        """Removes the files, then the lock."""
        with contextlib.suppress(OSError):
            self.file.unlink(missing_ok=True)
            self.file.with_suffix(".json").unlink(missing_ok=True)
        if self._lock is not None:
            free(self._lock)
            self._lock = None


def _new_slot() -> _Slot:
    return _Slot(folder() / f"{uuid.uuid4().hex}{SUFFIX}")


class _Writer:
    """Saves the newest document in a separate thread, so that large artwork does not block the window and a busy window does
    not delay saving."""

    def __init__(self, slot: _Slot, failed: Callable[[str], None]) -> None:
        self._slot, self._failed = slot, failed
        self._changed = threading.Condition()
        self._wanted: tuple[Document | None, dict[str, Any]] | None = None
        self._is_ending = False
        self._thread = threading.Thread(target=self._run, name="autosave", daemon=True)
        self._thread.start()

    def put(self, document: Document | None, origin: dict[str, Any]) -> None:
        """Sets the document to save; None: none, there are no unsaved changes."""
        with self._changed:
            self._wanted = (document, origin)
            self._changed.notify()

    def end(self) -> None:
        """Waits for a running save and drops a pending one."""
        with self._changed:
            self._wanted, self._is_ending = None, True
            self._changed.notify()
        self._thread.join()

    def _run(self) -> None:
        written = None
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._wanted is not None or self._is_ending)
                if self._is_ending:
                    return
                wanted, self._wanted = self._wanted, None
            if wanted is None:
                continue
            if written is not None and wanted[0] is written[0] and wanted[1] == written[1]:
                continue
            start = time.monotonic()
            trouble = self._write(*wanted)
            took = time.monotonic() - start
            written = None if trouble else wanted
            with self._changed:
                if trouble and self._wanted is None:
                    self._wanted = wanted
                pause = AGAIN_AFTER_S if trouble else max(SAVE_AFTER_S, PAUSE_PER_WRITING * took)
                self._changed.wait_for(lambda: self._is_ending, timeout=pause)
            if trouble:
                self._failed(trouble)

    def _write(self, document: Document | None, origin: dict[str, Any]) -> str:
        """Saves or removes the file; returns the reason for a failure, or ""."""
        try:
            if document is None:
                self._slot.remove()
                return ""
            file = self._slot.file
            file.parent.mkdir(parents=True, exist_ok=True)
            self._slot.hold()
            write_atomic(file.with_suffix(".json"), json.dumps(origin).encode())
            write_atomic(file, encode_project(document, packed=False))
        except (BadFile, OSError) as trouble:
            return str(trouble)
        except Exception as fault:
            logging.getLogger("wallwright").exception("autosave failed")
            return type(fault).__name__
        return ""


class Autosave(QObject):
    """Autosave of a window's unsaved document."""

    _failure = Signal(str)

    def __init__(self, project: ProjectModel, messages: Messages) -> None:
        super().__init__(project)
        self._project, self._messages = project, messages
        self._slot = _new_slot()
        self._writer: _Writer | None = None
        self._is_closed = self._has_warned = False
        self._failure.connect(self._say_failure)
        project.changed.connect(self._keep)
        project.file_changed.connect(self._keep)

    @property
    def file(self) -> Path:
        return self._slot.file

    def adopt(self, left: RecoveredDocument) -> bool:
        """Takes over a file left by a crash as this window's own, so that it exists throughout. Returns False if another
        window has it already."""
        slot = _Slot(left.file)
        if not slot.hold():
            return False
        self.finish()
        self._slot.remove()
        self._slot = slot
        return True

    def copy_state_from(self, other: Autosave) -> None:
        """Takes over another window's recovery file for the same document."""
        other.finish()
        self.finish()
        self._slot, other._slot = other._slot, self._slot
        self._keep()

    def _keep(self) -> None:
        is_dirty = self._project.is_dirty
        if self._is_closed or not (is_dirty or self._writer is not None or self._slot.is_held):
            return
        if self._writer is None:
            self._writer = _Writer(self._slot, self._report)
        path, disk = self._project.path, self._project.disk
        origin = {
            "path": str(path) if path else "",
            "disk": dataclasses.asdict(disk) if disk is not None else None,
        }
        self._writer.put(self._project.document if is_dirty else None, origin)

    def _report(self, why: str) -> None:
        """Called in the writer's thread."""
        logging.getLogger("wallwright").warning("autosave failed: %s", why)
        with contextlib.suppress(RuntimeError):  # the window is gone
            self._failure.emit(why)

    def _say_failure(self, why: str) -> None:
        if not self._has_warned:
            self._has_warned = True
            self._messages.say(tr("Unsaved work cannot be backed up: {0}", why))

    def close(self) -> None:
        """Removes the recovery file when the window closes normally."""
        self._is_closed = True
        self.finish()
        self._slot.remove()

    def finish(self) -> None:
        """Waits for a running save; the next edit starts saving again."""
        if self._writer is not None:
            self._writer.end()
            self._writer = None
