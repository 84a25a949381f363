"""The view of each project, restored on opening: the visible part of the wall, and the layer of the draw zone."""

from __future__ import annotations

import hashlib
import math
from pathlib import Path

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QComboBox

from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.view import View
from wallwright.window.model.models import Models
from wallwright.window.model.settings import settings

GROUP = "views"
MOST_KEPT = 40
"""Largest number of stored views."""


class ProjectView(QObject):
    """View of one window. A project without a file has none, and is shown whole."""

    def __init__(self, models: Models, canvas: Canvas, zone: QComboBox) -> None:
        """zone: the chooser of the draw zone's layer; its entries' data are the choices."""
        super().__init__(canvas)
        self._models, self._canvas, self._zone = models, canvas, zone
        self._path = models.project.path
        models.project.loaded.connect(self._show_loaded)
        models.project.file_changed.connect(self._follow_file)

    def keep(self) -> None:
        """Stores the present project's view."""
        if self._path is None:
            return
        kept, key, box = settings(), _key(self._path), self._seen()
        kept.setValue(key, [*(f"{value:.3f}" for value in box or ()), self._zone.currentData()])
        kept.beginGroup(GROUP)
        names = kept.childKeys()
        for name in names[: max(len(names) - MOST_KEPT, 0)]:
            if f"{GROUP}/{name}" != key:
                kept.remove(name)

    def _seen(self) -> tuple[float, float, float, float] | None:
        """Returns the visible box of the wall, mm; None for all of it."""
        canvas = self._canvas
        if canvas.is_fitted:
            return None
        view, width, height = canvas.view, canvas.width(), canvas.height()
        return view.left, view.top, view.left + width / view.scale, view.top + height / view.scale

    def _show_loaded(self) -> None:
        # The document is the new one already, the view is still the previous project's.
        self.keep()
        self._path = self._models.project.path
        self._canvas.fit()
        value = settings().value(_key(self._path)) if self._path is not None else None
        words = [value] if isinstance(value, str) else value if isinstance(value, list) else []
        if not words:
            return
        *numbers, choice = map(str, words)
        if self._zone.findData(choice) >= 0:
            self._canvas.show_zone(choice)
        try:
            box = tuple(float(number) for number in numbers)
        except ValueError:
            return
        if len(box) == 4 and all(map(math.isfinite, box)) and box[0] < box[2] and box[1] < box[3]:
            self._look_at((box[0], box[1], box[2], box[3]))
            if not self._canvas.isVisible():  # behind the start page it has another size than it will have
                QTimer.singleShot(0, self._canvas, lambda: self._look_at((box[0], box[1], box[2], box[3])))

    def _look_at(self, box: tuple[float, float, float, float]) -> None:
        canvas = self._canvas
        canvas.view = View.fitting(box, canvas.width(), canvas.height(), 0.0)
        canvas.update()

    def _follow_file(self) -> None:
        self._path = self._models.project.path


def _key(path: Path) -> str:
    return f"{GROUP}/{hashlib.sha256(str(path.resolve()).encode()).hexdigest()[:24]}"
