"""Writing files so that no half file ever stands where a whole one is expected."""

from __future__ import annotations

import contextlib
import glob
import os
import stat
import tempfile
import time
from pathlib import Path

from wallwright.document.errors import BadFile
from wallwright.document.language import tr

HALF = ".part"
"""Ending of a file while it is written."""
LIVING_S = 60.0
"""A half file this old is nobody's work any more."""

_finished: dict[str, None] = {}
"""Files that this process has written, in order, since forget_finished()."""


def finished_files() -> tuple[str, ...]:
    """Files written so far: what a command says it has changed when it ends early."""
    return tuple(_finished)


def note_finished(*paths: str | Path) -> None:
    """Adds files that were written in another way than by write_atomic."""
    _finished.update(dict.fromkeys(map(str, paths)))


def forget_finished() -> None:
    _finished.clear()


def write_atomic(path: Path, data: bytes) -> None:
    """Writes the whole file or leaves what stood there before. Raises BadFile with a sentence.

    A symbolic link stays one: the file that it names is replaced. The file keeps its permissions, and where the system
    allows it its owner. A write-protected file is refused, although its folder would allow to replace it.
    """
    path = Path(path)
    temporary = None
    try:
        target = link_target(path)
        remove_partial_files(target)
        _refuse_protected(target, path)
        with tempfile.NamedTemporaryFile(
            dir=target.parent, prefix=f".{target.name}.", suffix=HALF, delete=False
        ) as file:
            temporary = file.name
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        _copy_permissions(target, temporary)
        os.replace(temporary, target)
        temporary = None
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        raise BadFile(
            tr(
                "{0} could not be written ({1}). The previous file is unchanged. Choose another folder or free "
                "some disk space.",
                path,
                os_reason(error),
            )
        ) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):  # the first failure is the one to report
                Path(temporary).unlink(missing_ok=True)
    sync_folder(target.parent)
    note_finished(path)


def link_target(path: Path) -> Path:
    """The file that a path names in the end, whether it exists or not. Raises OSError for links that lead in a circle."""
    if not path.is_symlink():
        return path
    target = Path(os.path.realpath(path))
    if target.is_symlink():
        target.stat()  # raises: the system's words for a circle
    return target


def sync_folder(folder: Path) -> None:
    """Makes the names in a folder outlast a power failure, where the system can (fsync of a directory, POSIX)."""
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):  # network folders may refuse it; the files themselves are safe
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def remove_partial_files(path: Path) -> None:
    """Removes what a process killed in the middle of writing this file left beside it."""
    with contextlib.suppress(OSError):  # tidying only: where it fails, the writing itself will say why
        for half in path.parent.glob(f".{glob.escape(path.name)}.*{HALF}"):
            if time.time() - half.stat().st_mtime > LIVING_S:
                half.unlink()


def _refuse_protected(target: Path, path: Path) -> None:
    with contextlib.suppress(FileNotFoundError):
        mode = target.stat().st_mode
        if stat.S_ISREG(mode) and not mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
            raise BadFile(
                tr(
                    "{0} is write-protected. Nothing was changed. Save under another name or remove the protection.",
                    path,
                )
            )


def _copy_permissions(target: Path, temporary: str) -> None:
    """Gives a new file the mode of the one it replaces and its owner, else what a plainly created file would get."""
    try:
        old = target.stat()
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(temporary, 0o666 & ~mask)
        return
    new = os.stat(temporary)
    if hasattr(os, "chown") and (old.st_uid, old.st_gid) != (new.st_uid, new.st_gid):
        with contextlib.suppress(OSError):  # only root may give files away; saving matters more
            os.chown(temporary, old.st_uid, old.st_gid)
    os.chmod(temporary, stat.S_IMODE(old.st_mode))


def os_reason(error: OSError | ValueError) -> str:
    """The system's own words for a failure, without its number."""
    return (getattr(error, "strerror", None) or str(error)).lower()
