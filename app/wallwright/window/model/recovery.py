"""Autosave: what is on screen is kept aside at once, and offered again after a crash.

Each window keeps one file in the state folder, recovery/<random name>.wallwright, written atomically, and removed when the
window closes in order. Beside it stand NAME.json (where the project is saved) and NAME.lock, which the window holds locked
while it runs. The system frees that lock whatever ends the window, so a file whose lock is free is what a crash left
behind. Nothing is written over it before its person has decided: no name is used twice.
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

from wallwright.document.atomic_write import HALF, write_atomic
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
"""Between two writings: the first edit is written at once, a drag a few times a second."""
PAUSE_PER_WRITING = 2
"""Times as long as a writing took nothing is written after it, however large the artwork."""
AGAIN_AFTER_S = 5.0
"""After a writing that failed: the disk may have room again."""
UNREADABLE = "unreadable"
"""Folder for recovery files that this program cannot read; another version might."""


def folder() -> Path:
    return state_folder() / "recovery"


def _lock_file(file: Path) -> Path:
    return file.with_suffix(".lock")


def _is_held(file: Path) -> bool:
    """Whether a window that runs keeps this recovery file."""
    try:
        return is_locked(_lock_file(file))
    except OSError:  # no locks on this disk: rather offered once too often than lost
        return False


class RecoveredDocument(msgspec.Struct, frozen=True):
    """What a window that ended badly left behind."""

    file: Path
    document: Document
    path: Path | None
    """Where its project was saved, if it was."""
    when: float
    """Of the last writing, s since 1970."""
    disk: FileState | None = None
    """The state of the saved file as that window knew it."""

    def forget(self) -> None:
        """Removes it, unless another window has opened it meanwhile."""
        slot = _Slot(self.file)
        if slot.hold():
            slot.remove()


def recoverable() -> list[RecoveredDocument]:
    """Readable files of windows that no longer run, newest first. Unreadable ones are moved aside and logged."""
    try:
        names = sorted(folder().iterdir())
    except OSError:  # none yet, or none that may be read
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
    """Removes what belongs to no recovery file: halves and locks of windows that ended."""
    with contextlib.suppress(OSError):
        for half in names:
            if half.name.startswith(".") and half.suffix == HALF:
                owner = half.with_name(half.name[1:].partition(".")[0] + SUFFIX)
                if not _is_held(owner):
                    half.unlink(missing_ok=True)
        for lock in names:
            if lock.suffix == ".lock" and not lock.with_suffix(SUFFIX).exists():
                _is_held(lock.with_suffix(SUFFIX))  # a free one is removed by looking


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
    """A recovery file and the lock that says that its window runs."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self._lock: BaseFileLock | None = None

    def hold(self) -> bool:
        """Takes the lock; False when another window has it. On a disk without locks it is as if it were held."""
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
    """Writes the newest state of the document in a thread of its own: neither a large artwork nor a window that is busy
    painting holds it up."""

    def __init__(self, slot: _Slot, failed: Callable[[str], None]) -> None:
        self._slot, self._failed = slot, failed
        self._changed = threading.Condition()
        self._wanted: tuple[Document | None, dict[str, Any]] | None = None
        self._is_ending = False
        self._thread = threading.Thread(target=self._run, name="autosave", daemon=True)
        self._thread.start()

    def put(self, document: Document | None, origin: dict[str, Any]) -> None:
        """What is to be kept from now on; None: nothing, everything is saved."""
        with self._changed:
            self._wanted = (document, origin)
            self._changed.notify()

    def end(self) -> None:
        """Waits for what is being written; what is not yet begun is dropped."""
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
        """Writes or removes; says why it could not be."""
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
    """Keeps a window's unsaved document aside."""

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
        """Goes on with a file that was left behind: it is never away, and is removed like this window's own. False when
        another window has it already."""
        slot = _Slot(left.file)
        if not slot.hold():
            return False
        self.finish()
        self._slot.remove()
        self._slot = slot
        return True

    def copy_state_from(self, other: Autosave) -> None:
        """Takes over what another window of this process kept of the same document."""
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
        """In the writer's thread."""
        logging.getLogger("wallwright").warning("autosave failed: %s", why)
        with contextlib.suppress(RuntimeError):  # the window is gone
            self._failure.emit(why)

    def _say_failure(self, why: str) -> None:
        if not self._has_warned:
            self._has_warned = True
            self._messages.say(tr("Unsaved work cannot be backed up: {0}", why))

    def close(self) -> None:
        """The window closes in order: nothing is left behind."""
        self._is_closed = True
        self.finish()
        self._slot.remove()

    def finish(self) -> None:
        """Ends the writing under way; the next edit begins it again."""
        if self._writer is not None:
            self._writer.end()
            self._writer = None
