"""Pictures inside an SVG file, unpacked."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from wallwright.artwork.raster.raster import Pixels
from wallwright.artwork.raster.raster_reader import LONGEST_SIDE, reduced
from wallwright.artwork.usage import Usage
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.reading_limits import most

if TYPE_CHECKING:
    from PIL import Image

MOST_PIXELS = 40_000_000
"""Of one picture in the file."""


@dataclass(frozen=True)
class EmbeddedPicture:
    """A picture unpacked, once for all its places in the file."""

    rgba: Pixels
    """(rows, columns, 4)."""
    natural: tuple[int, int]
    """Width and height in the file, pixels."""
    colour: str
    """Its mean."""
    opacity: float
    """Its mean."""


def unpack_picture(data: bytes, usage: Usage) -> EmbeddedPicture:
    """The picture in a file's bytes (PNG, JPEG, GIF, WebP), counted in the usage. Raises BadFile."""
    rgba, natural = _pixels(data)
    usage.add_pixels(rgba.shape[0] * rgba.shape[1])
    weight = rgba[..., 3].astype(np.float32)
    mean = np.einsum("ijk,ij->k", rgba[..., :3].astype(np.float32), weight) / max(float(weight.sum(dtype=float)), 1.0)
    colour = "#" + "".join(f"{min(round(float(v)), 255):02x}" for v in mean)
    return EmbeddedPicture(rgba, natural, colour, float(weight.mean(dtype=float)) / 255)


def _pixels(data: bytes) -> tuple[Pixels, tuple[int, int]]:
    """(rows, columns, 4) uint8, no more than a wall needs, and width and height in the file. Raises BadFile."""
    from PIL import Image, UnidentifiedImageError

    try:
        with (
            warnings.catch_warnings(action="ignore"),  # about oddities of the file; what matters is reported
            Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "GIF", "WEBP")) as image,
        ):
            if image.width * image.height > most(MOST_PIXELS):
                raise BadFile(tr("its picture of {0} by {1} pixels is too large", image.width, image.height))
            natural = image.size
            if image.format == "JPEG":
                image.draft(None, (LONGEST_SIDE, LONGEST_SIDE))  # unpacks at a half or less when that is enough
            factor = max(1, max(image.size) // LONGEST_SIDE)
            image.load()
            # Reduced with its colours multiplied by opacity: what cannot be seen has no say in a mean.
            small = image if factor == 1 else reduced(image, factor, _multiplied(image.info), lambda done: None)
            return np.asarray(small.convert("RGBA")), natural
    except Image.DecompressionBombError as error:
        raise BadFile(tr("its picture has too many pixels")) from error
    except UnidentifiedImageError as error:
        raise BadFile(tr("its picture is in a format that cannot be read")) from error
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
