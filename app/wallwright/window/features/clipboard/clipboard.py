"""Copying artwork to the clipboard, and bringing what is there, or what is dropped, onto the wall."""

from __future__ import annotations

from collections.abc import Collection

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication

from wallwright.document import artwork_exchange, edits_arrangement
from wallwright.document.errors import UserError
from wallwright.document.language import tr
from wallwright.window.features.clipboard.foreign_formats import has_only_address, sources_in
from wallwright.window.model.session import Session


def copy(session: Session) -> None:
    """Puts the selected artworks on the clipboard; one drawing alone also as SVG for other programs."""
    ids = session.placement_ids
    if not ids:
        return
    mime = QMimeData()
    mime.setData(
        artwork_exchange.MEDIA,
        artwork_exchange.encode_clip(session.document, ids, _drawing_pens(session, ids)),
    )
    artworks = {p.artwork for p in session.placements}
    if len(artworks) == 1:
        artwork = session.document.artwork(artworks.pop())
        mime.setData(artwork.media, artwork.data)
    QGuiApplication.clipboard().setMimeData(mime)


def _drawing_pens(session: Session, ids: Collection[str]) -> set[str]:
    """Ids of the pens that draw some placements, as far as planning has said."""
    if session.preview is None:
        return set()
    pens = session.preview_document.pens
    reports = [r for r in session.preview.reports if r.placement in ids]
    return {pens[use.pen].id for report in reports for use in report.colours if use.pen >= 0}


def cut(session: Session) -> None:
    """Like copy, and takes them off the wall."""
    copy(session)
    session.edit(tr("Cut"), edits_arrangement.remove_placements(session.document, session.placement_ids))


def paste(session: Session, centre: tuple[float, float] | None) -> None:
    """Brings what is on the clipboard. centre: where what other programs have put there goes, mm."""
    mime = QGuiApplication.clipboard().mimeData()
    if mime.hasFormat(artwork_exchange.MEDIA):
        centre = None  # artwork of a window goes where it was
    if not import_mime(session, mime, centre):
        session.trouble.emit(
            tr("There is nothing on the clipboard that can be drawn; copy SVG, a picture or words.")
        )


def import_mime(session: Session, mime: QMimeData, centre: tuple[float, float] | None) -> bool:
    """Brings artwork onto the wall, its middle at a point, mm; False when there is none. What takes long is read beside
    the window."""
    if not mime.hasFormat(artwork_exchange.MEDIA):
        sources = sources_in(mime)
        if sources:
            session.imports.add(sources, centre)
        elif has_only_address(mime):
            session.trouble.emit(
                tr("The other program gave only the address of a picture. Copy the picture itself there, or save it and "
                   "drop the file.")
            )  # fmt: skip
            return True
        return bool(sources)
    try:
        document, ids = artwork_exchange.paste_clip(
            session.document, mime.data(artwork_exchange.MEDIA).data(), centre
        )
    except UserError as trouble:
        session.trouble.emit(str(trouble))
        return True
    if session.edit(tr("Paste"), document):
        session.select(*(f"placement:{i}" for i in ids))
    return True
