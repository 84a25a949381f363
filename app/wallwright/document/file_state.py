"""State of a project file when it was read or written, to detect changes by others."""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path

from wallwright.document.atomic_write import os_reason, write_atomic
from wallwright.document.document import Document
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.locks import free, lock_name, try_lock
from wallwright.document.project import LARGEST_PROJECT, decode_project_file, encode_project
from wallwright.document.whole_file import MB, open_regular_file


@dataclass(frozen=True)
class FileState:
    """Size, digest and modification time of a file."""

    modified_ns: int
    """Modification time, ns since 1970; -1 when unknown."""
    size: int
    """Bytes."""
    digest: str
    """SHA-256 of the content."""


def open_project(path: Path) -> tuple[Document, FileState]:
    """Returns a project and the state of its file. Raises BadFile with a sentence."""
    with open_regular_file(Path(path), str(path)) as file:
        state = _state(file, str(path))
        file.seek(0)
        return decode_project_file(file, str(path)), state


def _state(file: BufferedReader, name: str) -> FileState:
    """Returns the state of an open file. Raises BadFile when it cannot be read, or is larger than any project."""
    try:
        found = os.fstat(file.fileno())
        if found.st_size > LARGEST_PROJECT:
            raise BadFile(
                tr(
                    "{0} has {1:,} MB and is not opened: a project has at most {2:,} MB. Open another copy.",
                    name,
                    -(-found.st_size // MB),
                    LARGEST_PROJECT // MB,
                )
            )
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError) as error:
        raise BadFile(tr("{0} cannot be opened: {1}.", name, os_reason(error))) from error
    return FileState(found.st_mtime_ns, found.st_size, digest)


def state_of(path: Path) -> FileState | None:
    """Returns the present state of a file; None when it cannot be read."""
    try:
        with open_regular_file(Path(path), str(path)) as file:
            return _state(file, str(path))
    except BadFile:
        return None


def newer_state(path: Path, known: FileState | None, quick: bool = False) -> FileState | None:
    """Returns the state of a file whose content differs from the known one; None when unchanged or gone.

    quick: trust time and size, and read the content only when one of them differs.
    """
    if quick and known is not None:
        with contextlib.suppress(OSError, ValueError):
            now = os.stat(path)
            if (now.st_mtime_ns, now.st_size) == (known.modified_ns, known.size):
                return None
    now_state = state_of(path)
    if now_state is None or (known is not None and now_state.digest == known.digest):
        return None
    return now_state


class ChangedMeanwhile(BadFile):
    """A file was written by somebody else since it was read."""


def save_project(path: Path, document: Document, known: FileState | None) -> FileState:
    """Saves atomically over a file last seen in the known state; returns its new state.

    Raises ChangedMeanwhile when somebody else has written it since, BadFile when it cannot be written. known None:
    overwrites any file.
    """
    data = encode_project(document)
    with saving_alone(path):
        if known is not None and newer_state(path, known) is not None:
            raise ChangedMeanwhile(
                tr(
                    "{0} was changed by another program or window after it was opened, so it was not "
                    "overwritten. Run the command again or save under another name.",
                    path,
                )
            )
        write_atomic(path, data)
        return FileState(os.stat(path).st_mtime_ns, len(data), hashlib.sha256(data).hexdigest())


@contextlib.contextmanager
def saving_alone(path: Path) -> Iterator[None]:
    """Keeps other processes from saving the same file between check and write. Raises BadFile while one is saving it. Does
    not lock without a state folder."""
    lock = None
    try:
        lock = try_lock(lock_name(path).with_suffix(".saving"))
        if lock is None:
            raise BadFile(tr("Another Wallwright window is saving {0} right now. Try again.", path))
    except OSError:
        lock = None
    try:
        yield
    finally:
        if lock is not None:
            free(lock)
