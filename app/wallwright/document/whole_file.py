"""Reading a file that a person named: whole, a real file, no larger than can be handled."""

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
"""Bytes of one artwork, photo or list: with what is made of it while it is read, it stays below a gigabyte."""
LARGEST_AGREED = 512 * MB
"""Bytes that the person can agree to: what a project carries."""
COST = 8
"""Bytes of memory for a byte of a file, with what is made of it while it is read."""


def read_whole_file(path: Path, name: str = "", largest: int = LARGEST_FILE) -> bytes:
    """The bytes of a regular file; name: what messages call it, by default its path.

    Folders, pipes, sockets and devices are refused before they are read: they have no end, or may never answer.
    Raises BadFile with a sentence.
    """
    name = name or str(path)
    with open_regular_file(path, name) as file:
        try:
            size = os.fstat(file.fileno()).st_size
            check_size(size, name, largest)
            # A buffer of the size asked for is set aside at once; files of the system may say that they have no size.
            data = file.read(min(_bound(largest), max(size, MB)) + 1)
        except OSError as error:
            raise BadFile(tr("{0} cannot be read: {1}.", name, os_reason(error))) from error
    check_size(len(data), name, largest)  # it may have grown, or its size was unknown
    return data


def open_regular_file(path: Path, name: str) -> BufferedReader:
    """Opens a regular file for reading; nothing else is waited for. name: what messages call it. Raises BadFile."""
    try:
        # Without O_NONBLOCK, opening a pipe waits for somebody who writes to it.
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except IsADirectoryError as error:
        raise BadFile(_is_folder(name)) from error
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the path
        if os.path.isdir(path):  # Windows answers that access is denied
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
    """Raises TooCostly for a file of more bytes than are read, BadFile for more than anybody can agree to."""
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
