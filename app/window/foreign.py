"""What other programs put on the clipboard or drag over the wall, as artwork files."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMimeData

from app.document import clip, made
from app.document.language import tr
from app.window.reading import Given

SVG_TYPES = ("image/svg+xml", "image/svg")
PICTURE_TYPES = {"image/png": ".png", "image/jpeg": ".jpg", "image/webp": ".webp"}
SVG_TEXT = re.compile(
    r"(<\?xml[^>]*\?>\s*)?(<!DOCTYPE[^>]*>\s*)?<svg[\s>].*</svg\s*>", re.DOTALL | re.IGNORECASE
)
LONGEST_WORDS = 2000
"""Letters: more is not meant to be lettering on a wall."""


def is_usable(mime: QMimeData) -> bool:
    """Whether artwork may be in it: quick, nothing is read."""
    files = any(url.isLocalFile() for url in mime.urls())
    kinds = (*SVG_TYPES, *PICTURE_TYPES, clip.MEDIA)
    has_words = mime.hasText() or mime.hasHtml()
    return files or has_words or mime.hasImage() or any(mime.hasFormat(k) for k in kinds)


def given_by(mime: QMimeData) -> tuple[Given, ...]:
    """The artwork in it, the best form first: files, SVG, SVG within text, a picture, words."""
    files = tuple(Given.file(Path(url.toLocalFile())) for url in mime.urls() if url.isLocalFile())
    if files:
        return files
    for kind in SVG_TYPES:
        if mime.hasFormat(kind):
            return (Given(tr("Pasted drawing") + ".svg", mime.data(kind).data()),)
    for text in (mime.html(), mime.text()):
        if found := SVG_TEXT.search(text):
            return (Given(tr("Pasted drawing") + ".svg", found[0].encode()),)
    for kind, suffix in PICTURE_TYPES.items():
        if mime.hasFormat(kind):
            return (Given(tr("Pasted picture") + suffix, mime.data(kind).data()),)
    if mime.hasImage():
        data = QByteArray()
        buffer = QBuffer(data)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        mime.imageData().save(buffer, "PNG")
        return (Given(tr("Pasted picture") + ".png", data.data()),)
    text = mime.text().strip()
    if text and len(text) <= LONGEST_WORDS:
        words = made.Words(text)
        return (Given(made.name_of(words), made.encode(words), media=made.MEDIA[made.Words]),)
    return ()
