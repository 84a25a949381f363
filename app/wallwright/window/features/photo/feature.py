"""The photo of the real wall behind the artwork: choosing it, and picking the points that straighten it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from wallwright.document import edits_photo
from wallwright.document.errors import UserError
from wallwright.document.language import tr
from wallwright.document.wall import Point
from wallwright.document.whole_file import read_whole_file
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.photo_layer import photo_image
from wallwright.window.canvas.points_tool import PointsTool
from wallwright.window.features.photo.straighten import StraightenDialog
from wallwright.window.features.start.feature import StartFeature
from wallwright.window.model.items import PHOTO
from wallwright.window.model.models import Models

MEDIA = {b"\x89PNG": "image/png", b"\xff\xd8\xff": "image/jpeg", b"RIFF": "image/webp"}


class PhotoFeature:
    """Of one window."""

    def __init__(self, models: Models, canvas: Canvas, start: StartFeature, parent: QWidget) -> None:
        self._models, self._canvas, self._start, self._parent = models, canvas, start, parent

    def choose(self) -> None:
        """Asks for a photo and shows it on the wall."""
        name, _ = QFileDialog.getOpenFileName(
            self._parent, tr("Photo of the wall"), "", tr("Pictures (*.jpg *.jpeg *.png *.webp)")
        )
        if name:
            self.show_file(Path(name))

    def show_file(self, path: Path) -> None:
        """Shows a photo on the wall; says why when it cannot be."""
        project = self._models.project
        try:
            data = read_whole_file(path, path.name)
            media = next((m for head, m in MEDIA.items() if data.startswith(head)), "")
            image = photo_image(data if media else b"", path.name)
        except UserError as trouble:
            self._models.messages.say(str(trouble))
            return
        size = (image.width(), image.height())
        document = edits_photo.add_photo(project.document, path.name, media, data, size)
        if project.edit(tr("Photo of the wall"), document):
            self._models.selection.select(PHOTO)

    def straighten(self) -> None:
        """Asks for four points of the photo, then for their distances."""
        self._start.show_wall()
        place = tr("Click four corners of something measured, a door or four marks: {0}. Escape gives up.")
        corners = (tr("top left"), tr("top right"), tr("bottom right"), tr("bottom left"))
        self._canvas.use_tool(
            PointsTool(self._canvas, [place.format(c) for c in corners], self._ask_distances)
        )

    def _ask_distances(self, points: list[Point]) -> None:
        dialog = StraightenDialog(self._models, points, self._parent)
        dialog.exec()
        dialog.deleteLater()
