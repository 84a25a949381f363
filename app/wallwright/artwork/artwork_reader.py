"""Reading artwork of any kind: one line a media type."""

from __future__ import annotations

from collections.abc import Callable

from wallwright.artwork import media
from wallwright.artwork.drawing import Drawing
from wallwright.artwork.raster.raster_reader import read_raster
from wallwright.artwork.svg.walk import read_svg
from wallwright.document import generated_artwork
from wallwright.document.document import PICTURES
from wallwright.document.errors import BadFile
from wallwright.document.generated_artwork import HelperFigure, TextArtwork
from wallwright.document.language import tr
from wallwright.document.reading_limits import UNASKED, TooCostly


def read_made(data: bytes, media_type: str, name: str, progress: Callable[[float], None]) -> Drawing:
    """Artwork made in the program."""
    from wallwright.artwork.generated.figures import read_chart, read_figure
    from wallwright.artwork.generated.words import read_words

    thing = generated_artwork.decode(data, media_type, name)
    if isinstance(thing, TextArtwork):
        return read_words(thing, name, progress)
    return read_figure(thing, name) if isinstance(thing, HelperFigure) else read_chart(thing, name)


READERS = {media.SVG: read_svg, **dict.fromkeys(PICTURES, read_raster)}


def read_artwork(
    data: bytes,
    media_type: str,
    name: str,
    flatness: float,
    progress: Callable[[float], None] = lambda done: None,
) -> Drawing:
    """Reads a file's bytes. flatness: how far chords may leave a curve, mm in the artwork frame.

    Raises BadFile with a sentence, TooCostly for what a person can agree to; Cancelled through progress.
    """
    if media_type in generated_artwork.TYPES:
        return read_made(data, media_type, name, progress)
    if media_type not in READERS:
        raise BadFile(f"{name} is of a kind that this program does not read ({media_type}).")
    try:
        return READERS[media_type](data, name, flatness, progress)
    except RecursionError as error:
        raise BadFile(
            tr(
                "{0} is nested too deeply to be read. Simplify it in the program it was made with.",
                name,
            )
        ) from error
    except MemoryError as error:
        raise TooCostly(
            tr(
                "{0} takes more memory to read than it may have. Simplify it in the program it comes from.",
                name,
            ),
            2 * UNASKED,
        ) from error
