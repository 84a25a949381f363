"""Artwork from other programs' clipboard and drag data."""

from __future__ import annotations

import html
import re
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMimeData

from wallwright.artwork.data_uri import bytes_of
from wallwright.document import artwork_exchange, generated_artwork
from wallwright.document.language import tr
from wallwright.planning.file_reading import ArtworkSource

SVG_TYPES = ("image/svg+xml", "image/svg")
PICTURE_TYPES = {"image/png": ".png", "image/jpeg": ".jpg", "image/webp": ".webp"}
SVG_TAG = re.compile(r"<(/?)svg(?=[\s>/])[^>]*?(/?)>", re.IGNORECASE)
SVG_HEAD = re.compile(r"(<\?xml[^>]*\?>\s*)?(<!DOCTYPE[^>]*>\s*)?$", re.IGNORECASE)
IMAGE = re.compile(r"<img\b[^>]*?\bsrc\s*=\s*(?:\"([^\"]*)\"|'([^']*)')", re.IGNORECASE)
MOST_DRAWINGS = 20
"""Largest number of drawings taken from one text; web pages with more have them as icons."""
LONGEST_WORDS = 2000
"""Largest length of text, characters; more is not meant to be drawn on a wall."""


def is_usable(mime: QMimeData) -> bool:
    """Whether the data may contain artwork; quick, reads nothing."""
    files = any(url.isLocalFile() for url in mime.urls())
    kinds = (*SVG_TYPES, *PICTURE_TYPES, artwork_exchange.MEDIA)
    has_words = mime.hasText() or mime.hasHtml()
    return files or has_words or mime.hasImage() or any(mime.hasFormat(k) for k in kinds)


def sources_in(mime: QMimeData) -> tuple[ArtworkSource, ...]:
    """Returns the artwork in the best available format: files, SVG, SVG within text, a picture, text."""
    files = tuple(ArtworkSource.file(Path(url.toLocalFile())) for url in mime.urls() if url.isLocalFile())
    if files:
        return files
    for kind in SVG_TYPES:
        if mime.hasFormat(kind):
            return (ArtworkSource(tr("Pasted drawing") + ".svg", bytes(mime.data(kind).data())),)
    for text in (mime.html(), mime.text()):
        if found := svgs_in(text):
            return tuple(ArtworkSource(tr("Pasted drawing") + ".svg", svg.encode()) for svg in found)
    if pictures := images_in(mime.html()):
        return pictures
    for kind, suffix in PICTURE_TYPES.items():
        if mime.hasFormat(kind):
            return (ArtworkSource(tr("Pasted picture") + suffix, bytes(mime.data(kind).data())),)
    if mime.hasImage():
        data = QByteArray()
        buffer = QBuffer(data)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        mime.imageData().save(buffer, "PNG")
        return (ArtworkSource(tr("Pasted picture") + ".png", bytes(data.data())),)
    text = "" if has_only_address(mime) else mime.text().strip()
    if text and len(text) <= LONGEST_WORDS:
        words = generated_artwork.TextArtwork(text)
        return (
            ArtworkSource(
                generated_artwork.generated_name(words),
                generated_artwork.encode(words),
                media=generated_artwork.MEDIA[generated_artwork.TextArtwork],
            ),
        )
    return ()


def has_only_address(mime: QMimeData) -> bool:
    """Whether the data has only the address of a picture or page, not the picture itself."""
    return bool(mime.urls()) and not any(url.isLocalFile() for url in mime.urls()) and not mime.hasImage()


def svgs_in(text: str) -> list[str]:
    """Returns the outermost SVG elements in a text or page, at most MOST_DRAWINGS."""
    found, depth, start = [], 0, 0
    for tag in SVG_TAG.finditer(text):
        closes, is_empty = bool(tag[1]), bool(tag[2])
        if closes and depth:
            depth -= 1
            if depth == 0:
                found.append(_standing_alone(text, start, tag.end()))
        elif not closes and not is_empty:
            if depth == 0:
                start = tag.start()
            depth += 1
    return found[:MOST_DRAWINGS]


def _standing_alone(text: str, start: int, end: int) -> str:
    """Returns an SVG element as a document, with the namespace declarations that pages may omit (XML namespaces)."""
    before, svg = SVG_HEAD.search(text[:start]), text[start:end]
    head = before[0] if before is not None else ""
    if "xlink:" in svg and "xmlns:xlink" not in svg:
        svg = svg[:4] + ' xmlns:xlink="http://www.w3.org/1999/xlink"' + svg[4:]
    return head + svg


def images_in(page: str) -> tuple[ArtworkSource, ...]:
    """Returns the pictures embedded in a page as data: URIs (RFC 2397)."""
    given = []
    for found in IMAGE.finditer(page):
        uri = html.unescape(found[1] or found[2] or "")
        data = bytes_of(uri)
        if data:
            media = uri.lstrip()[5:].partition(",")[0].partition(";")[0].lower()
            suffix = ".svg" if media in SVG_TYPES else PICTURE_TYPES.get(media, "")
            name = tr("Pasted drawing") if suffix == ".svg" else tr("Pasted picture")
            given.append(ArtworkSource(name + suffix, data))
    return tuple(given[:MOST_DRAWINGS])
