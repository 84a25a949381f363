"""Dated copies of files that are about to be replaced, so that no command destroys a person's work."""

from __future__ import annotations

import datetime
from pathlib import Path

from wallwright.document.atomic_write import os_reason, write_atomic
from wallwright.document.document import Document
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.project import encode_project
from wallwright.document.whole_file import read_whole_file

ANY_SIZE = 1 << 50
"""Size limit in bytes that no file reaches: a file of any size is copied."""
MARK = ".backup-"
"""Between a file's name and the date of its copy."""


def keep_backup(path: Path) -> Path:
    """Copies a file to a dated name beside it, such as job.backup-2026-05-01-143000.wallwright; returns the copy's path.

    An existing copy is never replaced: a number is added to the name. Raises BadFile when the file cannot be read or the
    copy cannot be written; nothing is changed then.
    """
    now = datetime.datetime.now().strftime("%Y-%m-%d-%H%M%S")
    try:
        data, mode, number = read_whole_file(path, largest=ANY_SIZE), path.stat().st_mode & 0o777, 1
        while True:
            copy = path.with_stem(f"{path.stem}{MARK}{now}" + (f"-{number}" if number > 1 else ""))
            try:
                copy.open("xb").close()  # claims the name, so that two programs at once make two copies
                break
            except FileExistsError:
                number += 1
    except OSError as error:
        raise BadFile(
            tr(
                "{0} was not changed, because its backup could not be written ({1}).",
                path,
                os_reason(error),
            )
        ) from error
    try:
        write_atomic(copy, data)
    except BadFile:
        copy.unlink(missing_ok=True)
        raise
    copy.chmod(mode)
    return copy


def replace_project(path: Path, document: Document) -> Path | None:
    """Saves a project atomically and keeps a dated copy of the old file. Returns the copy's path, or None when there was no
    file or it has the same content already and is left untouched. Raises BadFile."""
    data = encode_project(document)
    try:
        before = read_whole_file(path, largest=ANY_SIZE) if path.exists() else None
    except OSError as error:
        raise BadFile(tr("{0} cannot be opened: {1}.", path, os_reason(error))) from error
    if before == data:
        return None
    copy = keep_backup(path) if before is not None else None
    write_atomic(path, data)
    return copy
