"""Reads one file in the reading process: artwork, a project, or a photo of the wall."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import msgspec

from wallwright.artwork.media import SVG, media_of
from wallwright.document.document import PICTURES, Document
from wallwright.document.errors import BadFile
from wallwright.document.file_state import FileState, open_project
from wallwright.document.language import tr
from wallwright.document.reading_limits import reading
from wallwright.document.whole_file import read_whole_file

if TYPE_CHECKING:
    from wallwright.artwork.drawing import Drawing

COARSE = 5.0
"""Flatness, mm: only shows whether an artwork can be read, and its size; the planner reads it with fine tolerance."""
MOST_PHOTO_PIXELS = 16_000_000
"""Largest number of pixels of a photo that is kept unchanged; the window unpacks it, and shows fewer."""


class ArtworkSource(msgspec.Struct, frozen=True):
    """Artwork to read: from a file or the clipboard."""

    name: str
    data: bytes | None = None
    """None: the content of the file."""
    path: Path | None = None
    media: str = ""
    """Its media type; "": to be determined from the content."""
    read_anyway: bool = False
    """True: the user accepted the cost."""

    @staticmethod
    def file(path: Path) -> ArtworkSource:
        return ArtworkSource(path.name, path=path)


class ProjectSource(msgspec.Struct, frozen=True):
    """A project file to open."""

    path: Path

    @property
    def name(self) -> str:
        return self.path.name

    read_anyway = False


class PhotoSource(msgspec.Struct, frozen=True):
    """A photo of the wall to read."""

    path: Path
    read_anyway: bool = False

    @property
    def name(self) -> str:
        return self.path.name


Source = ArtworkSource | ProjectSource | PhotoSource


class ReadArtwork(msgspec.Struct, frozen=True):
    """An artwork that can be read."""

    name: str
    media: str
    data: bytes
    natural: tuple[float, float]
    """Its natural size, mm."""
    read_anyway: bool = False
    drawn: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0)
    """Drawn part: left, top, right, bottom as shares of its page; it may extend beyond the page."""

    def files(self) -> tuple[bytes, ...]:
        return (self.data,)

    def with_files(self, files: tuple[bytes, ...]) -> ReadArtwork:
        return msgspec.structs.replace(self, data=files[0] if files else b"")


class ReadPhoto(msgspec.Struct, frozen=True):
    """A photo that can be shown."""

    name: str
    media: str
    data: bytes
    size: tuple[int, int]
    """Width and height when upright, pixels."""

    def files(self) -> tuple[bytes, ...]:
        return (self.data,)

    def with_files(self, files: tuple[bytes, ...]) -> ReadPhoto:
        return msgspec.structs.replace(self, data=files[0] if files else b"")


class ReadProject(msgspec.Struct, frozen=True):
    """A project that can be opened."""

    path: Path
    document: Document
    disk: FileState
    file_of: tuple[int, ...]
    """For each artwork, the index of the file it shows; several may show the same one."""

    @staticmethod
    def opened(path: Path) -> ReadProject:
        document, disk = open_project(path)
        numbers: dict[str, int] = {}
        file_of = tuple(numbers.setdefault(artwork.digest, len(numbers)) for artwork in document.artworks)
        return ReadProject(path, document, disk, file_of)

    def files(self) -> tuple[bytes, ...]:
        found = dict(zip(self.file_of, (artwork.data for artwork in self.document.artworks), strict=True))
        return tuple(found[number] for number in range(len(found)))

    def with_files(self, files: tuple[bytes, ...]) -> ReadProject:
        artworks = tuple(
            msgspec.structs.replace(artwork, data=files[number] if files else b"")
            for artwork, number in zip(self.document.artworks, self.file_of, strict=True)
        )
        return msgspec.structs.replace(self, document=msgspec.structs.replace(self.document, artworks=artworks))


Found = ReadArtwork | ReadProject | ReadPhoto
AnyFound = TypeVar("AnyFound", ReadArtwork, ReadProject, ReadPhoto)


def read_source(source: Source, progress: Callable[[float], None]) -> Found:
    """Reads one file. Raises BadFile with a sentence, TooCostly for a cost that the user may accept."""
    with reading(source.read_anyway):
        if isinstance(source, ProjectSource):
            return ReadProject.opened(source.path)
        return _photo(source, progress) if isinstance(source, PhotoSource) else _artwork(source, progress)


def _artwork(source: ArtworkSource, progress: Callable[[float], None]) -> ReadArtwork:
    """Reads an artwork with its linked pictures."""
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.artwork.svg.embed_links import embed_pictures

    data = read_whole_file(source.path, source.name) if source.path is not None and source.data is None else source.data
    assert data is not None, "a source has a file or data"
    media = source.media or media_of(data, source.name)
    if media == SVG and source.path is not None:
        data = embed_pictures(data, source.name, source.path.parent)
    drawing = read_artwork(data, media, source.name, COARSE, progress)
    return ReadArtwork(
        source.name, media, data, (drawing.width, drawing.height), source.read_anyway, drawn_part(drawing)
    )


def drawn_part(drawing: Drawing) -> tuple[float, float, float, float]:
    """Returns the inked part of a drawing: left, top, right, bottom as shares of its page; the whole page if there is no
    ink. White counts as no ink; shapes hidden by others or by clips count as ink."""
    import numpy as np

    from wallwright.artwork.colour import WHITE
    from wallwright.artwork.raster.raster import inked_part

    whole = (0.0, 0.0, 1.0, 1.0)
    if drawing.raster is not None:
        return inked_part(drawing.raster.pixels) or whole
    points = [
        (path.min(axis=0) - shape.width / 2, path.max(axis=0) + shape.width / 2)
        for shape in drawing.shapes
        if shape.paint.colour != WHITE and shape.paint.opacity > 0
        for path in shape.paths
        if len(path)
    ]
    if not points or min(drawing.width, drawing.height) <= 0:
        return whole
    size = np.array([drawing.width, drawing.height])
    low = np.min([low for low, _ in points], axis=0) / size
    high = np.max([high for _, high in points], axis=0) / size
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _photo(source: PhotoSource, progress: Callable[[float], None]) -> ReadPhoto:
    """Reads a photo; one larger than the window can show at once is reduced."""
    from PIL import Image

    from wallwright.artwork.raster.raster_reader import read_raster

    data = read_whole_file(source.path, source.name)
    media = media_of(data, source.name)
    if media not in PICTURES:
        raise BadFile(tr("{0} is not a readable picture (PNG, JPEG or WebP).", source.name))
    raster = read_raster(data, source.name, COARSE, progress).raster
    assert raster is not None, "a picture has pixels"
    width, height = raster.size
    if width * height <= MOST_PHOTO_PIXELS:
        return ReadPhoto(source.name, media, data, (width, height))
    buffer = io.BytesIO()
    Image.fromarray(raster.pixels).save(buffer, "JPEG", quality=92)
    rows, columns = raster.pixels.shape[:2]
    return ReadPhoto(source.name, "image/jpeg", buffer.getvalue(), (columns, rows))
