"""Reading of artwork files with the pictures and fonts that they link to."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from wallwright.artwork import media
from wallwright.artwork.svg.embed_links import embed_fonts, embed_pictures
from wallwright.commands.options import read_file


def read_artwork_file(path: Path, fonts: Sequence[Path] = ()) -> bytes:
    """Returns the bytes of an artwork file, with linked files and named fonts embedded in an SVG. Raises BadFile."""
    data = read_file(path)
    if media.media_of(data, path.name) == media.SVG:
        data = embed_pictures(data, path.name, path.parent)
        for folder in fonts:
            data = embed_fonts(data, path.name, folder)
    return data
