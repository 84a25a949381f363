"""Reading artwork beside the window: a large file takes seconds."""

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


@dataclass(frozen=True)
class Given:
    """Something to be read: what a file or the clipboard holds."""

    name: str
    data: bytes | None = None
    """None: what is in the file."""
    path: Path | None = None
    media: str = ""
    """Its kind; "": to be seen from the content."""

    @staticmethod
    def file(path: Path) -> Given:
        return Given(path.name, path=path)


class Reading(QThread):
    """Reads artwork. Look at `found` and `trouble` when it has finished."""

    def __init__(self, given: tuple[Given, ...], centre: tuple[float, float] | None, parent: QObject) -> None:
        super().__init__(parent)
        self.centre = centre
        self.found: list[Found] = []
        self.trouble: list[str] = []
        self._given = given

    def run(self) -> None:
        from app.artwork.media import SVG, media_of
        from app.artwork.read import read_artwork
        from app.artwork.svg.bring import with_pictures

        for given in self._given:
            try:
                data = given.path.read_bytes() if given.data is None else given.data
                media = given.media or media_of(data, given.name)
                if media == SVG and given.path is not None:
                    data = with_pictures(data, given.name, given.path.parent)
                # Coarse: only whether it can be read, and how large it is; the planner reads it finely.
                drawing = read_artwork(data, media, given.name, flatness=5.0)
            except OSError as error:
                self.trouble.append(tr("{0} cannot be read: {1}.", given.name, why(error)))
            except Trouble as trouble:
                self.trouble.append(str(trouble))
            else:
                self.found.append(Found(given.name, media, data, (drawing.width, drawing.height)))
