"""Reading PNG, JPEG and WebP: upright, in sRGB, on white, no larger than a wall needs."""

from __future__ import annotations

import io
import struct
import warnings
import zlib
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from wallwright.artwork.drawing import Drawing, Finding, Severity
from wallwright.artwork.raster.raster import Raster
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.reading_limits import TooCostly, most

if TYPE_CHECKING:
    from PIL import Image
    from PIL.Image import Image as PillowImage

MOST_MILLION_PIXELS = {"JPEG": 170, "progressive JPEG": 80, "PNG": 100, "WEBP": 45}
"""Of a file; more take longer than 5 s or more than 1 GB to unpack. A crafted file of a few bytes may claim any number."""
PIXEL = 16
"""Bytes of memory for a pixel of the form that takes most, WebP."""
LONGEST_SIDE = 2400
"""Pixels kept: finer than half a line width on a metre of wall."""
STRIP = 4_000_000
"""Pixels of a tile that is averaged in one piece."""
ORIENTATION = 0x0112
"""The orientation tag of Exif 2.3, table 4."""


def read_raster(
    data: bytes,
    name: str,
    flatness: float,
    progress: Callable[[float], None] = lambda done: None,
    longest_side: int | None = None,
) -> Drawing:
    """A drawing that carries the picture, its longest side at most so many pixels; None: LONGEST_SIDE. Raises BadFile.
    flatness has no meaning for pixels."""
    from PIL import Image, UnidentifiedImageError

    progress(0.0)
    findings: list[Finding] = []
    if not data:
        raise BadFile(tr("{0} is empty. Save it again from the program it was made with.", name))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about oddities of the file; what matters is checked here
            with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "WEBP")) as image:
                _check_size(image, name)
                raster = _upright(image, findings, progress, longest_side or LONGEST_SIDE)
    except Image.DecompressionBombError as error:
        raise BadFile(tr("{0} has too many pixels. Make it smaller in an image editor.", name)) from error
    except UnidentifiedImageError as error:
        raise BadFile(tr("{0} is not a readable picture (PNG, JPEG or WebP).", name)) from error
    except (
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
        IndexError,
        KeyError,
        struct.error,
        zlib.error,
    ) as error:
        raise BadFile(tr("{0} is damaged or incomplete ({1}). Open another copy.", name, error)) from error
    width, height = raster.natural
    progress(1.0)
    return Drawing(width, height, (), tuple(findings), raster=raster)


def _check_size(image: PillowImage, name: str) -> None:
    width, height = image.size
    if min(width, height) < 1:
        raise BadFile(tr("{0} has no pixels.", name))
    form = "progressive JPEG" if image.info.get("progressive") else image.format
    millions = most(MOST_MILLION_PIXELS[form or ""])
    if width * height > millions * 1e6:
        raise TooCostly(
            tr(
                "{0} has {1} by {2} pixels; the limit is {3} million. Make it smaller in an image editor.",
                name,
                width,
                height,
                millions,
            ),
            PIXEL * width * height,
        )


def _upright(
    opened: PillowImage, findings: list[Finding], progress: Callable[[float], None], longest_side: int
) -> Raster:
    """The pixels of an opened image. findings gets what was approximated."""
    from PIL import Image, ImageOps

    def tell(text: str) -> None:
        findings.append(Finding(Severity.NOTE, tr("picture"), text))

    image = opened
    width, height = image.size
    orientation = image.getexif().get(ORIENTATION, 1)
    if getattr(image, "n_frames", 1) > 1:
        tell(tr("it is animated; only its first frame is drawn"))
    if image.format == "JPEG":
        image.draft(None, (longest_side, longest_side))  # unpacks at a half or less when that is enough
    profile = image.info.get("icc_profile")
    image.load()
    progress(0.5)
    info = image.info
    image = reduced(
        image,
        max(1, max(image.size) // longest_side),
        lambda tile: _on_white(tile, info),
        lambda done: progress(0.5 + 0.4 * done),
    )
    if max(image.size) > longest_side:
        share = longest_side / max(image.size)
        kept = (max(1, round(image.size[0] * share)), max(1, round(image.size[1] * share)))
        image = image.resize(kept, Image.Resampling.BILINEAR)
    if image.size != (width, height):
        tell(tr("its {0} by {1} pixels are reduced to {2} by {3}", width, height, *image.size))
    if profile:
        image = _in_srgb(image, profile, tell)
    image = image.convert("RGB")
    image.getexif()[ORIENTATION] = orientation
    image = ImageOps.exif_transpose(image)
    turned = orientation in (5, 6, 7, 8)
    return Raster(np.array(image), (height, width) if turned else (width, height))


def reduced(
    image: Image.Image, factor: int, prepare: Callable[[Image.Image], Image.Image], progress: Callable[[float], None]
) -> Image.Image:
    """A picture averaged over squares of factor by factor pixels, a tile at a time to spare memory, whatever its shape.

    prepare: makes of a tile what can be averaged.
    """
    from PIL import Image

    width, height = image.size
    columns = factor * max(1, min(STRIP // factor**2, -(-width // factor)))
    rows = factor * max(1, STRIP // (columns * factor))
    result: Image.Image | None = None
    for top in range(0, height, rows):
        for left in range(0, width, columns):
            progress((top + rows * left / width) / height)
            tile = image.crop((left, top, min(left + columns, width), min(top + rows, height)))
            tile = prepare(tile)
            if factor > 1:
                tile = tile.reduce(factor)
            if result is None:
                result = Image.new(tile.mode, (-(-width // factor), -(-height // factor)))
            result.paste(tile, (left // factor, top // factor))
    assert result is not None, "a picture has pixels"
    return result


def _on_white(strip: PillowImage, info: dict[Any, Any]) -> PillowImage:
    """A strip in 8 bits a channel without transparency: L, RGB or CMYK."""
    from PIL import Image

    if strip.mode.startswith(("I", "F")):  # 16 bits a pixel
        return Image.fromarray((np.asarray(strip, dtype=np.float32) / 257).clip(0, 255).astype(np.uint8))
    if strip.mode in ("P", "LA", "PA") or "transparency" in info:
        strip.info.update({k: v for k, v in info.items() if k == "transparency"})
        strip = strip.convert("RGBA")
    if strip.mode == "RGBA":
        white = Image.new("RGB", strip.size, "#ffffff")
        white.paste(strip, mask=strip.getchannel("A"))
        return white
    return strip if strip.mode in ("L", "RGB", "CMYK") else strip.convert("RGB")


def _in_srgb(image: PillowImage, profile: bytes, tell: Callable[[str], None]) -> PillowImage:
    """Through the picture's own colour profile to sRGB."""
    from PIL import ImageCms

    try:
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        srgb = ImageCms.createProfile("sRGB")
        return ImageCms.profileToProfile(image, own, srgb, outputMode="RGB") or image
    except (ImageCms.PyCMSError, OSError, ValueError):
        tell(tr("its colour profile cannot be read; sRGB is assumed"))
        return image
