"""What a reading process may do wrong: main functions that stand in for that of wallwright.planning.artwork_reader."""

import os
import time

from wallwright.planning import artwork_reader
from wallwright.planning.file_reading import ReadArtwork


def never(connection) -> None:
    """Never answers, as with a file on a network drive that is gone."""
    connection.recv()
    time.sleep(1000)


def dies(connection) -> None:
    connection.recv()
    os._exit(3)


def fails(connection) -> None:
    """Meets a fault of the program in every source of the name "bad"."""
    artwork_reader.read_source = fault
    artwork_reader.work(connection)


def fault(source, progress):
    if source.name == "bad":
        raise ZeroDivisionError
    return ReadArtwork(source.name, "image/svg+xml", b"data", (1.0, 2.0))


def with_few_letters(connection) -> None:
    """Reads no more than five letters unasked."""
    from wallwright.artwork import usage

    usage.MOST_LETTERS = 5
    artwork_reader.work(connection)
