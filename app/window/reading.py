"""Reading artwork files beside the window: a large one takes seconds."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, QThread

from app.document.atomic import why
from app.document.errors import Trouble
from app.document.language import tr


@dataclass(frozen=True)
class Found:
    """One file that can be read."""

    name: str
    media: str
    data: bytes
    natural: tuple[float, float]
    """Its size, mm."""


class Reading(QThread):
    """Reads files. Look at `found` and `trouble` when it has finished."""

    def __init__(self, paths: tuple[Path, ...], centre: tuple[float, float] | None, parent: QObject) -> None:
        super().__init__(parent)
        self.centre = centre
        self.found: list[Found] = []
        self.trouble: list[str] = []
        self._paths = paths

    def run(self) -> None:
        from app.artwork.media import media_of
        from app.artwork.read import read_artwork

        for path in self._paths:
            try:
                data = path.read_bytes()
                media = media_of(data, path.name)
                # Coarse: only whether it can be read, and how large it is; the planner reads it finely.
                drawing = read_artwork(data, media, path.name, flatness=5.0)
            except OSError as error:
                self.trouble.append(tr("{0} cannot be read: {1}.", path.name, why(error)))
            except Trouble as trouble:
                self.trouble.append(str(trouble))
            else:
                self.found.append(Found(path.name, media, data, (drawing.width, drawing.height)))
