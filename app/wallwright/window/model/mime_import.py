"""Imports clipboard and drop data. No widgets."""

from __future__ import annotations

from PySide6.QtCore import QMimeData

from wallwright.document import artwork_exchange
from wallwright.document.errors import UserError
from wallwright.document.language import tr
from wallwright.window.model.foreign_formats import has_only_address, sources_in
from wallwright.window.model.items import PlacementItem
from wallwright.window.model.models import Models


def import_mime(models: Models, mime: QMimeData, centre: tuple[float, float] | None) -> bool:
    """Imports artwork with its middle at a point, mm; returns False if there is none. Long reading is done in the
    background."""
    if not mime.hasFormat(artwork_exchange.MEDIA):
        sources = sources_in(mime)
        if sources:
            models.imports.add(sources, centre)
        elif has_only_address(mime):
            models.messages.say(
                tr(
                    "The other program only copied the address of a picture. Copy the picture itself there, or "
                    "save it and drop the file here."
                )
            )
            return True
        return bool(sources)
    try:
        document, ids = artwork_exchange.paste_clip(
            models.project.document, bytes(mime.data(artwork_exchange.MEDIA).data()), centre
        )
    except UserError as error:
        models.messages.say(str(error))
        return True
    if models.project.edit(tr("Paste"), document):
        models.selection.select(*(PlacementItem(i) for i in ids))
    return True
