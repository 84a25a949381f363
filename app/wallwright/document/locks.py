"""File locks that the system releases when their process ends for any reason.

They are advisory locks on open files (flock, LockFileEx), through filelock. A lock file with a process id, such as
QLockFile's, is not enough: after a crash another program may get the same id.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from pathlib import Path
from typing import TYPE_CHECKING

from wallwright.document.log import state_folder

if TYPE_CHECKING:
    from filelock import BaseFileLock


def try_lock(file: Path) -> BaseFileLock | None:
    """Locks a file, creating it if missing; free() removes it again. Returns None when the lock is held elsewhere, also
    within this process.

    Raises OSError where locking is impossible: a read-only folder, or a file system without locks.
    """
    from filelock import FileLock, Timeout  # needed by few commands

    file.parent.mkdir(parents=True, exist_ok=True)
    while True:
        descriptors: list[int] = []
        lock = FileLock(file, timeout=0, thread_local=False, fallback_to_soft=False, on_acquired=descriptors.append)
        try:
            lock.acquire()
        except Timeout:
            return None
        except NotImplementedError as error:
            raise OSError(str(error)) from error
        if _is_at(file, descriptors[0]):
            return lock
        lock.release()  # the last holder removed the file before it was locked here


def _is_at(file: Path, descriptor: int) -> bool:
    """Whether an open file is the one at a path."""
    try:
        return os.name == "nt" or os.path.samestat(os.stat(file), os.fstat(descriptor))
    except FileNotFoundError:
        return False


def is_locked(file: Path) -> bool:
    """Whether the lock is held, also within this process. Raises OSError like try_lock."""
    if not file.exists():
        return False
    if (lock := try_lock(file)) is None:
        return True
    free(lock)
    return False


def free(lock: BaseFileLock) -> None:
    """Releases a lock and removes its file."""
    with contextlib.suppress(OSError):  # Windows removes it on release only
        Path(lock.lock_file).unlink(missing_ok=True)
    lock.release()


def lock_name(path: Path) -> Path:
    """Returns the lock file for a file or folder of the person. It is in the state folder, so that nothing appears beside
    the original, and the same for every spelling of its path."""
    name = hashlib.sha256(os.fsencode(os.path.realpath(path))).hexdigest()[:32]
    return state_folder() / "locks" / name
