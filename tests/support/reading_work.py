"""Faulty reading processes: main functions that replace that of wallwright.planning.artwork_reader."""

import os
import time

from wallwright.planning import artwork_reader
from wallwright.planning.file_reading import ReadArtwork


def never(connection) -> None:
    """Never answers, as for a file on an unreachable network drive."""
    connection.recv()
    time.sleep(1000)


def dies(connection) -> None:
    connection.recv()
    os._exit(3)


def fails(connection) -> None:
    """Raises an unexpected exception for every source named "bad"."""
    artwork_reader.read_source = fault
    artwork_reader.work(connection)


def fault(source, progress):
    if source.name == "bad":
        raise ZeroDivisionError
    return ReadArtwork(source.name, "image/svg+xml", b"data", (1.0, 2.0))


def with_few_letters(connection) -> None:
    """Sets the limit without consent to five letters."""
    from wallwright.artwork import usage

    usage.MOST_LETTERS = 5
    artwork_reader.work(connection)
