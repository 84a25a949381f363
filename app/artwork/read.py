"""Reading artwork of any kind: one line a media type."""

from __future__ import annotations

from collections.abc import Callable

from app.artwork import media
from app.artwork.drawing import Drawing
from app.artwork.svg.walk import read_svg
from app.document.errors import BadFile

READERS = {media.SVG: read_svg}


def read_artwork(
    data: bytes, media_type: str, name: str, flatness: float,
    progress: Callable[[float], None] = lambda done: None,
) -> Drawing:  # fmt: skip
    """Reads a file's bytes. flatness: how far chords may leave a curve, mm in the artwork frame.

    Raises BadFile with a sentence; Cancelled through progress.
    """
    if media_type not in READERS:
        raise BadFile(f"{name} is of a kind that this program does not read ({media_type}).")
    return READERS[media_type](data, name, flatness, progress)
