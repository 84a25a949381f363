"""What kind of file this is, by its content first and its name second."""

from __future__ import annotations

from pathlib import PurePath

from wallwright.document.document import PICTURES
from wallwright.document.errors import BadFile

SVG = "image/svg+xml"
PNG, JPEG, WEBP = PICTURES
KINDS = {".svg": SVG, ".svgz": SVG, ".png": PNG, ".jpg": JPEG, ".jpeg": JPEG, ".webp": WEBP}
ARTWORK_FILES = " ".join(f"*{suffix}" for suffix in KINDS)
"""Patterns for choosing a file, as Qt's dialogs take them."""
PICTURE_FILES = " ".join(f"*{suffix}" for suffix, media in KINDS.items() if media in PICTURES)


def media_of(data: bytes, name: str) -> str:
    """The media type of a file's content. Raises BadFile for a kind that is not read."""
    head = data[:1024].lstrip(b"\xef\xbb\xbf \t\r\n")
    if b"<svg" in data[:4096] or head.startswith(b"<?xml") or data[:2] == b"\x1f\x8b":
        return SVG
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return PNG
    if data[:3] == b"\xff\xd8\xff":
        return JPEG
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return WEBP
    suffix = PurePath(name).suffix.lower()
    if suffix in KINDS:
        return KINDS[suffix]  # the reader says what is wrong with it
    raise BadFile(
        f"{name} is not a kind of artwork that is read; bring an SVG file (.svg, .svgz) or a "
        "picture (.png, .jpg, .webp)."
    )
