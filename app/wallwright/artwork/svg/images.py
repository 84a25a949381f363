"""The image element: pictures and drawings inside the file (SVG 2, 12.3). What is elsewhere is not fetched."""

from __future__ import annotations

import dataclasses
import io
import warnings
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from wallwright.artwork.data_uri import bytes_of
from wallwright.artwork.drawing import Severity, Shape
from wallwright.artwork.pixel_paint import PixelPaint
from wallwright.artwork.raster.raster_reader import LONGEST_SIDE, reduced
from wallwright.artwork.svg.clip import clip_to_viewport
from wallwright.artwork.svg.context import Place, mapped
from wallwright.artwork.svg.numbers import BadNumber, length_or
from wallwright.artwork.svg.structure import draw_page, place_page
from wallwright.artwork.svg.transforms import moved
from wallwright.artwork.svg.viewport import fit
from wallwright.artwork.svg.xml_parser import href, parse
from wallwright.artwork.usage import Usage
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.reading_limits import most

if TYPE_CHECKING:
    from PIL import Image

    from wallwright.artwork.svg.walk import Reader

MOST_PIXELS = 40_000_000
"""Of one picture in the file."""
DEEPEST = 4
"""Drawings inside drawings."""
SQUARE = ("optimizeSpeed", "pixelated", "crisp-edges")
"""Values of image-rendering that ask for no interpolation."""


@dataclass(frozen=True)
class Picture:
    """A picture unpacked, once for all its places in the file."""

    rgba: np.ndarray
    """(rows, columns, 4) uint8."""
    natural: tuple[int, int]
    """Width and height in the file, pixels."""
    colour: str
    """Its mean."""
    opacity: float
    """Its mean."""


def read_image(reader: Reader, element: ET.Element, name: str, place: Place) -> None:
    """Appends what an image element shows to the reader's shapes."""
    if place.style["visibility"] != "visible":
        return
    uri = href(element)
    data = bytes_of(uri) if uri not in reader.pictures else b""
    if data is None:
        what = tr("the picture '{0}' is not in the file; bring it as a file of its own", uri[:40])
        reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", what))
        return
    doubts: list[str] = []
    w, h = place.viewport
    font = reader.font_of(place.style)
    try:
        x, y, width, height = (
            length_or(element.get(key), size, default, font, doubts)
            for key, size, default in (("x", w, 0.0), ("y", h, 0.0), ("width", w, -1.0), ("height", h, -1.0))
        )
        asked = (
            None if element.get(key, "auto").strip() in ("", "auto") or size == -1.0 else size
            for key, size in (("width", width), ("height", height))
        )
        is_svg = data[:2] == b"\x1f\x8b" or b"<svg" in data[:4096]
        show = _drawing if is_svg else _picture
        show(
            reader, element, data, name, dataclasses.replace(place, matrix=place.matrix @ moved(x, y)), *asked
        )
    except (BadNumber, BadFile) as error:
        reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", str(error).rstrip(".")))


def _size(natural: tuple[float, float], width: float | None, height: float | None) -> tuple[float, float]:
    """Width and height of the viewport; one that is not asked for follows from the other."""
    w, h = natural
    if width is None and height is None:
        return natural
    if width is None:
        return height * w / h, height
    return width, width * h / w if height is None else height


def _picture(
    reader: Reader, element: ET.Element, data: bytes, name: str, place: Place, width: float | None, height: float | None
) -> None:  # fmt: skip
    uri = href(element)
    reader.breathe()
    if uri not in reader.pictures:
        reader.pictures[uri] = own = _unpacked(data, reader.usage)
        kept = own.rgba.shape[1::-1]
        if kept != own.natural:
            text = tr("its {0} by {1} pixels are reduced to {2} by {3}", *own.natural, *kept)
            reader.tell(Severity.NOTE, name, text)
    picture = reader.pictures[uri]
    columns, rows = picture.natural
    kept_rows, kept_columns = picture.rgba.shape[:2]
    width, height = _size((float(columns), float(rows)), width, height)
    if width <= 0 or height <= 0:
        return
    to_viewport = fit(
        (0.0, 0.0, float(columns), float(rows)), element.get("preserveAspectRatio"), width, height
    )
    corners = mapped(to_viewport, np.array([[0.0, 0.0], [columns, rows]]))
    if place.style["overflow"] not in ("visible", "auto"):
        corners = np.clip(corners, 0.0, [width, height])
    (left, top), (right, bottom) = corners
    if right <= left or bottom <= top:
        return
    to_mm = place.to_mm()
    try:
        to_own = np.diag([kept_columns / columns, kept_rows / rows, 1.0]) @ np.linalg.inv(to_mm @ to_viewport)
    except np.linalg.LinAlgError:
        return  # a transform that flattens everything shows nothing
    ring = mapped(to_mm, np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))
    if reader.extents is not None:
        reader.extents.append(ring)
    opacity = picture.opacity * place.opacity
    is_smooth = place.style["image-rendering"] not in SQUARE
    paint = PixelPaint(picture.colour, opacity, picture.rgba, to_own, is_smooth, place.opacity)
    if opacity > 0:
        reader.tell(
            Severity.NOTE,
            name,
            tr("is a picture and drawn as tone; for line styles bring it as a file"),
        )
        reader.shapes.append(Shape(name, place.group, paint, (ring,), True))


def _unpacked(data: bytes, usage: Usage) -> Picture:
    """Raises BadFile."""
    rgba, natural = _pixels(data)
    usage.add_pixels(rgba.shape[0] * rgba.shape[1])
    weight = rgba[..., 3].astype(np.float32)
    mean = np.einsum("ijk,ij->k", rgba[..., :3].astype(np.float32), weight) / max(
        float(weight.sum(dtype=float)), 1.0
    )
    colour = "#" + "".join(f"{min(round(float(v)), 255):02x}" for v in mean)
    return Picture(rgba, natural, colour, float(weight.mean(dtype=float)) / 255)


def _pixels(data: bytes) -> tuple[np.ndarray, tuple[int, int]]:
    """(rows, columns, 4) uint8, no more than a wall needs, and width and height in the file. Raises BadFile."""
    from PIL import Image, UnidentifiedImageError

    try:
        with (
            warnings.catch_warnings(action="ignore"),  # of what is odd in the file; what matters is said
            Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "GIF", "WEBP")) as image,
        ):
            if image.width * image.height > most(MOST_PIXELS):
                raise BadFile(tr("its picture of {0} by {1} pixels is too large", image.width, image.height))
            natural = image.size
            if image.format == "JPEG":
                image.draft(
                    None, (LONGEST_SIDE, LONGEST_SIDE)
                )  # unpacks at a half or less when that is enough
            factor = max(1, max(image.size) // LONGEST_SIDE)
            image.load()
            # Reduced with its colours multiplied by opacity: what cannot be seen has no say in a mean.
            small = (
                image if factor == 1 else reduced(image, factor, _multiplied(image.info), lambda done: None)
            )
            return np.asarray(small.convert("RGBA")), natural
    except Image.DecompressionBombError as error:
        raise BadFile(tr("its picture has too many pixels")) from error
    except UnidentifiedImageError as error:
        raise BadFile(tr("its picture is of a kind that is not read")) from error
    except (OSError, SyntaxError, ValueError, EOFError) as error:
        raise BadFile(tr("its picture is damaged ({0})", error)) from error


def _multiplied(info: dict[Any, Any]) -> Callable[[Image.Image], Image.Image]:
    """Of a tile: its colours multiplied by its opacity. info: of the whole picture, whose see-through colour its tiles
    lose."""

    def prepare(tile: Image.Image) -> Image.Image:
        if "transparency" in info:
            tile.info["transparency"] = info["transparency"]
        return tile.convert("RGBA").convert("RGBa")

    return prepare


def _drawing(
    reader: Reader, element: ET.Element, data: bytes, name: str, place: Place, width: float | None, height: float | None
) -> None:  # fmt: skip
    """A drawing shown as a picture: with styles and ids of its own."""
    if reader.depth >= DEEPEST:
        raise BadFile(tr("it holds drawings inside drawings, too many levels deep"))
    inner = reader.inside(parse(data, name))
    natural = place_page(inner)
    width, height = _size(natural, width, height)
    if width <= 0 or height <= 0:
        return
    to_viewport = fit((0.0, 0.0, *natural), element.get("preserveAspectRatio"), width, height)
    first = len(reader.shapes)
    draw_page(inner, dataclasses.replace(place, matrix=place.matrix @ to_viewport, viewport=natural))
    clip_to_viewport(reader, first, place.matrix, width, height)
