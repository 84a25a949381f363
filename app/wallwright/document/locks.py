"""Locks that the system frees when their process ends, whatever ended it.

They are advisory locks on open files (flock, LockFileEx), through filelock. A lock file that carries a process id, as
QLockFile's does, is not enough: after a crash another program may have got that number.
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
    """Locks a file, which is created where it is missing; free() removes it again. None when somebody else holds it,
    another part of this process included.

    Raises OSError where there can be no lock: a folder that cannot be written, a disk that knows no locks.
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
        lock.release()  # of a file that its last holder removed before it was locked here


def _is_at(file: Path, descriptor: int) -> bool:
    """Whether the open file is the one at the path."""
    try:
        return os.name == "nt" or os.path.samestat(os.stat(file), os.fstat(descriptor))
    except FileNotFoundError:
        return False


def is_locked(file: Path) -> bool:
    """Whether somebody holds the lock, also within this process. Raises OSError like try_lock."""
    if not file.exists():
        return False
    if (lock := try_lock(file)) is None:
        return True
    free(lock)
    return False


def free(lock: BaseFileLock) -> None:
    """Releases a lock and removes its file."""
    with contextlib.suppress(OSError):  # Windows removes it on release, and not before
        Path(lock.lock_file).unlink(missing_ok=True)
    lock.release()


def lock_name(path: Path) -> Path:
    """Where locks about a file or folder of the person stand: in the state folder, so that nothing appears beside it.
    The same for every way to write its path."""
    name = hashlib.sha256(os.fsencode(os.path.realpath(path))).hexdigest()[:32]
    return state_folder() / "locks" / name
