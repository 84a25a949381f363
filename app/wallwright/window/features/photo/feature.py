"""The photo of the real wall behind the artwork: choosing it, and picking the points that straighten it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from wallwright.artwork.media import PICTURE_FILES
from wallwright.document.language import tr
from wallwright.document.wall import Point
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.points_tool import PointsTool
from wallwright.window.features.start.feature import StartFeature
from wallwright.window.model.models import Models
from wallwright.window.model.settings import keep_folder, last_folder


class PhotoFeature:
    """Of one window."""

    def __init__(self, models: Models, canvas: Canvas, start: StartFeature, parent: QWidget) -> None:
        self._models, self._canvas, self._start, self._parent = models, canvas, start, parent

    def choose(self) -> None:
        """Asks for a photo of the wall; it is shown once it is read."""
        name, _ = QFileDialog.getOpenFileName(
            self._parent, tr("Photo of the wall"), last_folder("photo"), tr("Pictures ({0})", PICTURE_FILES)
        )
        if name:
            keep_folder("photo", Path(name))
            self._models.imports.add_photo(Path(name))

    def straighten(self) -> None:
        """Asks for four points of the photo, then for their distances."""
        self._start.show_wall()
        place = tr("Click four corners of something you have measured, such as a door: {0}. Escape cancels.")
        corners = (tr("top left"), tr("top right"), tr("bottom right"), tr("bottom left"))
        self._canvas.use_tool(PointsTool(self._canvas, [place.format(c) for c in corners], self._ask_distances))

    def _ask_distances(self, points: list[Point]) -> None:
        from wallwright.window.features.photo.straighten import StraightenDialog  # the window opens sooner without

        dialog = StraightenDialog(self._models, points, self._parent)
        dialog.exec()
        dialog.deleteLater()
