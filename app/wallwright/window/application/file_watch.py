"""Detects that another program or window has written an open project's file, or has it open too.

Each window holds a lock in a folder for its project's path, within the state folder. Locks of other windows there, of this
process or another, show that they have the project open; the folder is watched, so that both windows notice.
"""

from __future__ import annotations

import contextlib
import logging
import uuid
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from wallwright.document.file_state import FileState, newer_state
from wallwright.document.language import tr
from wallwright.document.locks import free, is_locked, lock_name, try_lock
from wallwright.window.model.project_model import ProjectModel

if TYPE_CHECKING:
    from filelock import BaseFileLock

LOOK_AFTER_MS = 400
"""Delay after the last change of the file, ms: other programs write in several steps."""


class FileWatch(QObject):
    """Watches the file of one project."""

    noticed = Signal(str)
    """Carries a sentence about what happened to the file."""

    def __init__(self, project: ProjectModel) -> None:
        super().__init__(project)
        self._project = project
        self._path: Path | None = None
        self._is_closed = False
        self._lock: BaseFileLock | None = None
        self._reported: FileState | None = None
        """The last file state that the person was informed of."""
        self._reported_gone = self._reported_open = False
        self._watcher: QFileSystemWatcher | None = None
        self._soon = QTimer(self, singleShot=True, interval=LOOK_AFTER_MS)
        self._soon.timeout.connect(self.look)
        project.file_changed.connect(self._follow)
        self._follow()

    @property
    def lock_file(self) -> str:
        """Path of the lock that this window holds; "" if none."""
        return str(self._lock.lock_file) if self._lock is not None else ""

    def _follow(self) -> None:
        """Watches the project's file if it has changed to another path."""
        if self._is_closed or self._project.path == self._path:
            return
        self._leave()
        self._path = self._project.path
        if self._path is None:
            return
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(self._soon.start)
        self._watcher.directoryChanged.connect(self._soon.start)
        self._soon.start()  # locks are handled later, not while the window is being built

    def look(self) -> None:
        """Checks the file and other windows' locks, and reports what is new."""
        if self._path is None:
            return
        self._join(self._path)
        self._watch(self._path)
        others = is_open_elsewhere(self._path, self)
        if others and not self._reported_open:
            self.noticed.emit(
                tr(
                    "“{0}” is also open in another Wallwright window. Whoever saves last is asked before the "
                    "other's work is replaced.",
                    self._path.name,
                )
            )
        self._reported_open = others
        self._look_at_file(self._path)

    def _look_at_file(self, path: Path) -> None:
        gone = self._project.disk is not None and not _exists(path)
        if gone and not self._reported_gone:
            self.noticed.emit(tr("“{0}” was moved or deleted. Saving creates it here again.", path.name))
        self._reported_gone = gone
        if self._project.disk is None or gone:
            return
        theirs = newer_state(path, self._project.disk, quick=True)
        if theirs is None or theirs == self._reported:
            return
        self._reported = theirs
        text = tr("“{0}” was changed by another program or window.", path.name)
        if self._project.is_dirty:
            text += " " + tr("When you save, you are asked which version to keep.")
        else:
            text += " " + tr("Open it again to see that version.")
        self.noticed.emit(text)

    def _join(self, path: Path) -> None:
        if self._lock is not None:
            return
        try:
            self._lock = try_lock(_folder(path) / f"{uuid.uuid4().hex}.lock")
        except OSError as error:
            logging.getLogger("wallwright").warning("open project without lock: %s", error)

    def _watch(self, path: Path) -> None:
        """Adds a path to the watcher again, which drops replaced files."""
        if self._watcher is None:
            return
        wanted = [path, path.parent, _folder(path)]
        missing = {str(p) for p in wanted if _exists(p)}
        missing -= {*self._watcher.files(), *self._watcher.directories()}
        if missing:
            self._watcher.addPaths(sorted(missing))

    def _leave(self) -> None:
        self._soon.stop()
        if self._watcher is not None:
            self._watcher.deleteLater()
            self._watcher = None
        if self._lock is not None and self._path is not None:
            free(self._lock)
            self._lock = None
            with contextlib.suppress(OSError):  # others have it open
                _folder(self._path).rmdir()
        self._reported, self._reported_gone, self._reported_open = None, False, False

    def close(self) -> None:
        """Ends the watch when the window closes."""
        self._leave()
        self._path = None
        self._is_closed = True


def _folder(path: Path) -> Path:
    return lock_name(path).with_suffix(".open")


def _exists(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def is_open_elsewhere(path: Path, own: FileWatch) -> bool:
    """Whether another window in any of this person's processes on this computer has a project open."""
    try:
        locks = [file for file in _folder(path).iterdir() if file.suffix == ".lock"]
        return any(str(file) != own.lock_file and is_locked(file) for file in locks)
    except OSError:
        return False
