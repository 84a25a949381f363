"""Atomic writing: a file is replaced as a whole or not at all."""

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

PARTIAL_SUFFIX = ".part"
"""Suffix of a file while it is being written."""
ABANDONED_AFTER_S = 60.0
"""Age in seconds from which a partial file counts as abandoned."""

_finished: dict[str, None] = {}
"""Files written by this process since forget_finished(), in order."""


def finished_files() -> tuple[str, ...]:
    """Returns the files written so far, which a command lists when it ends early."""
    return tuple(_finished)


def note_finished(*paths: str | Path) -> None:
    """Adds files that were not written by write_atomic."""
    _finished.update(dict.fromkeys(map(str, paths)))


def forget_finished() -> None:
    _finished.clear()


def write_atomic(path: Path, data: bytes) -> None:
    """Writes the whole file, or leaves the old one unchanged. Raises BadFile with a sentence.

    A symbolic link is kept: its target is replaced. The file keeps its permissions and, where the system allows it, its
    owner. A write-protected file is refused, even if its folder permits replacing it.
    """
    path = Path(path)
    temporary = None
    try:
        target = link_target(path)
        remove_partial_files(target)
        _refuse_protected(target, path)
        with tempfile.NamedTemporaryFile(
            dir=target.parent, prefix=f".{target.name}.", suffix=PARTIAL_SUFFIX, delete=False
        ) as file:
            temporary = file.name
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        _copy_permissions(target, temporary)
        os.replace(temporary, target)
        temporary = None
    except (OSError, ValueError) as error:  # ValueError: a null byte in the name
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
    """Returns the file at the end of a chain of symbolic links, existing or not. Raises OSError for a circular chain."""
    if not path.is_symlink():
        return path
    target = Path(os.path.realpath(path))
    if target.is_symlink():
        target.stat()  # raises with the system's message for circular links
    return target


def sync_folder(folder: Path) -> None:
    """Flushes a folder's entries to disk, to survive a power failure, where supported (fsync of a directory, POSIX)."""
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):  # network folders may refuse it; the files themselves are safe
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def remove_partial_files(path: Path) -> None:
    """Removes partial files that a killed process left beside this file."""
    with contextlib.suppress(OSError):  # cleanup only: if it fails, the write itself reports why
        for partial in path.parent.glob(f".{glob.escape(path.name)}.*{PARTIAL_SUFFIX}"):
            if time.time() - partial.stat().st_mtime > ABANDONED_AFTER_S:
                partial.unlink()


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
    """Gives a new file the mode and owner of the one it replaces, else the default mode."""
    try:
        old = target.stat()
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(temporary, 0o666 & ~mask)
        return
    new = os.stat(temporary)
    if hasattr(os, "chown") and (old.st_uid, old.st_gid) != (new.st_uid, new.st_gid):
        with contextlib.suppress(OSError):  # only root may change the owner; saving matters more
            os.chown(temporary, old.st_uid, old.st_gid)
    os.chmod(temporary, stat.S_IMODE(old.st_mode))


def os_reason(error: OSError | ValueError) -> str:
    """Returns the system's message for a failure, without its number."""
    return (getattr(error, "strerror", None) or str(error)).lower()
