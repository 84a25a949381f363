"""Copying artwork to the clipboard, and bringing what is there onto the wall."""

from __future__ import annotations

from collections.abc import Collection

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication

from wallwright.document import artwork_exchange, edits_arrangement
from wallwright.document.language import tr
from wallwright.window.model.models import Models


def copy(models: Models) -> None:
    """Puts the selected artworks on the clipboard; one drawing alone also as SVG for other programs."""
    ids, document = models.selection.placement_ids, models.project.document
    if not ids:
        return
    mime = QMimeData()
    mime.setData(
        artwork_exchange.MEDIA,
        artwork_exchange.encode_clip(document, ids, _drawing_pens(models, ids)),
    )
    artworks = {p.artwork for p in models.selection.placements}
    if len(artworks) == 1:
        artwork = document.artwork(artworks.pop())
        mime.setData(artwork.media, artwork.data)
    QGuiApplication.clipboard().setMimeData(mime)


def _drawing_pens(models: Models, ids: Collection[str]) -> set[str]:
    """Ids of the pens that draw some placements, as far as planning has found them."""
    preview, document = models.planning.preview, models.planning.preview_document
    if preview is None or document is None:
        return set()
    reports = [r for r in preview.reports if r.placement in ids]
    uses = [use for report in reports for use in report.colours]
    numbers = {use.pen for use in uses} | {tint.pen for use in uses for tint in use.tints}
    return {document.pens[number].id for number in numbers if number >= 0}


def cut(models: Models) -> None:
    """Like copy, and takes them off the wall."""
    copy(models)
    document, ids = models.project.document, models.selection.placement_ids
    models.project.edit(tr("Cut"), edits_arrangement.remove_placements(document, ids))


def paste(models: Models, centre: tuple[float, float] | None) -> None:
    """Brings what is on the clipboard. centre: where what other programs have put there goes, mm."""
    from wallwright.window.model.mime_import import import_mime  # the window opens sooner without

    mime = QGuiApplication.clipboard().mimeData()
    if mime.hasFormat(artwork_exchange.MEDIA):
        centre = None  # artwork of a window goes where it was
    if not import_mime(models, mime, centre):
        models.messages.say(tr("The clipboard has nothing that can be drawn. Copy SVG, a picture or text."))
