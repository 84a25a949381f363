"""Reading a whole regular file of limited size."""

from __future__ import annotations

import os
import stat
from io import BufferedReader
from pathlib import Path

from wallwright.document.atomic_write import os_reason
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.reading_limits import TooCostly, most

MB = 1 << 20
LARGEST_FILE = 256 * MB
"""Largest artwork, photo or list, in bytes; reading it takes less than a gigabyte."""
LARGEST_AGREED = 512 * MB
"""Largest file with the person's consent, in bytes: as much as a project may hold."""
COST = 8
"""Bytes of memory per byte of a file while it is read."""


def read_whole_file(path: Path, name: str = "", largest: int = LARGEST_FILE) -> bytes:
    """Returns the bytes of a regular file; name: name in messages, by default its path.

    Folders, pipes, sockets and devices are refused before reading: they may be endless or block.
    Raises BadFile with a sentence.
    """
    name = name or str(path)
    with open_regular_file(path, name) as file:
        try:
            size = os.fstat(file.fileno()).st_size
            check_size(size, name, largest)
            # read() allocates a buffer of the requested size at once; special files may report size 0.
            data = file.read(min(_bound(largest), max(size, MB)) + 1)
        except OSError as error:
            raise BadFile(tr("{0} cannot be read: {1}.", name, os_reason(error))) from error
    check_size(len(data), name, largest)  # it may have grown, or its size was unknown
    return data


def open_regular_file(path: Path, name: str) -> BufferedReader:
    """Opens a regular file for reading, without blocking on others. name: name in messages. Raises BadFile."""
    try:
        # Without O_NONBLOCK, opening a pipe waits for a writer.
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except IsADirectoryError as error:
        raise BadFile(_is_folder(name)) from error
    except (OSError, ValueError) as error:  # ValueError: a null byte in the path
        if os.path.isdir(path):  # Windows reports that access is denied
            raise BadFile(_is_folder(name)) from error
        reason = os_reason(error) if isinstance(error, OSError) else str(error)
        raise BadFile(tr("{0} cannot be read: {1}.", name, reason)) from error
    kind = os.fstat(descriptor).st_mode
    if not stat.S_ISREG(kind):
        os.close(descriptor)
        raise BadFile(
            _is_folder(name)
            if stat.S_ISDIR(kind)
            else tr("{0} is a device or a pipe, not a file. Choose a file.", name)
        )
    return os.fdopen(descriptor, "rb")


def check_size(size: int, name: str, largest: int) -> None:
    """Raises TooCostly for a file above the limit, BadFile for one above the limit with consent."""
    is_too_large = size > LARGEST_AGREED >= largest
    bound = LARGEST_AGREED if is_too_large else _bound(largest)
    if size > bound:
        text = tr(
            "{0} has {1:,} MB; the limit is {2:,} MB. Make it smaller or split it into several files.",
            name,
            -(-size // MB),
            bound // MB,
        )
        raise BadFile(text) if is_too_large else TooCostly(text, COST * size)


def _bound(largest: int) -> int:
    return largest if most(largest) == largest else max(largest, min(most(largest), LARGEST_AGREED))


def _is_folder(name: str) -> str:
    return tr("{0} is a folder. Choose a file in it.", name)
