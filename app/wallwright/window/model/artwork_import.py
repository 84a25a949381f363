"""Files that one window reads: artwork for its wall, a photo, a project. They are read in another process. No widgets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, Qt, Signal

from wallwright.document import edits, edits_photo
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.planning.artwork_reader import ArtworkReader, CostlySource, ReadingProgress, ReadingResult
from wallwright.planning.file_reading import (
    ArtworkSource,
    PhotoSource,
    ProjectSource,
    ReadArtwork,
    ReadPhoto,
    ReadProject,
    Source,
)
from wallwright.window.model.items import PHOTO, PlacementItem
from wallwright.window.model.messages import Messages
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel

Centre = tuple[float, float] | None
"""Where the middle of artwork goes, mm; None: where there is room."""


class ArtworkImport(QObject):
    """What one window is reading."""

    costly = Signal(str, object)
    """What reading a file costs, and what to call when the person agrees to it."""
    opened = Signal(object)
    """A ReadProject that was asked for."""
    not_opened = Signal(object)
    """Path of a project that could not be opened, or is not any more."""
    progress = Signal(str, float)
    """Name of the file being read and share done; "" when nothing is read."""
    _arrived = Signal()

    def __init__(self, project: ProjectModel, selection: SelectionModel, messages: Messages) -> None:
        super().__init__()
        self._project, self._selection, self._messages = project, selection, messages
        self._centres: dict[int, Centre] = {}
        """Of each request."""
        self._filling: set[int] = set()
        """Requests whose artwork is to be as large as fits."""
        self._projects: dict[int, Path] = {}
        """Requests for projects."""
        self._arrived.connect(self.receive, Qt.ConnectionType.QueuedConnection)
        self._reader = ArtworkReader(self._arrived.emit)

    @property
    def is_busy(self) -> bool:
        """Whether a file is being read."""
        return bool(self._reader.pending)

    def add(self, sources: Sequence[Source], centre: Centre = None, is_filling: bool = False) -> None:
        """Reads artwork and places it, or a photo and shows it. Says why when one cannot be read. is_filling: the first
        artwork on an empty wall is to be as large as fits with a margin."""
        number = self._reader.submit(tuple(sources))
        self._centres[number] = centre
        if is_filling:
            self._filling.add(number)
        for source in sources:
            if isinstance(source, ProjectSource):
                self._projects[number] = source.path
        self.progress.emit(sources[0].name if sources else "", 0.0)

    def add_files(self, paths: Sequence[Path], centre: Centre = None, is_filling: bool = False) -> None:
        """Reads artwork files and places them. Says why when one cannot be read. is_filling: the first one on an empty wall
        as large as fits."""
        self.add([ArtworkSource.file(path) for path in paths], centre, is_filling)

    def add_photo(self, path: Path) -> None:
        """Reads a photo of the wall and shows it."""
        self.add([PhotoSource(path)])

    def open(self, path: Path) -> None:
        """Reads a project; `opened` or `not_opened` follows. What is being read for the present one is given up."""
        if self.is_busy:
            self.cancel()
        self.add([ProjectSource(path)])

    def hand_over(self, add: Callable[[Sequence[Source], Centre, bool], None]) -> None:
        """Has what is not read yet read by another import."""
        for request in self._reader.pending:
            add(self._reader.sources_of(request), self._centres[request], request in self._filling)
        self._projects.clear()  # the other import opens them
        self.cancel()

    def cancel(self) -> None:
        """Gives up what is being read, at once."""
        given_up, self._projects = self._projects, {}
        self._reader.cancel()
        self._centres.clear()
        self._filling.clear()
        self.progress.emit("", 0.0)
        for path in given_up.values():
            self.not_opened.emit(path)

    def close(self) -> None:
        """Ends the reading process."""
        self._reader.close()

    def receive(self) -> None:
        """Takes what the reading process has sent."""
        for message in self._reader.poll():
            if isinstance(message, ReadingProgress):
                self.progress.emit(message.name, message.done)
                continue
            if not self.is_busy:
                self.progress.emit("", 0.0)
            self._take(message, self._centres.pop(message.id))

    def _take(self, result: ReadingResult, centre: Centre) -> None:
        project, is_filling = self._projects.pop(result.id, None), result.id in self._filling
        self._filling.discard(result.id)
        for read in result.found:
            if isinstance(read, ReadProject):
                self.opened.emit(read)
            else:
                self._place(read, centre, is_filling)
        if project is not None and not result.found:
            self.not_opened.emit(project)
        if result.trouble:
            self._messages.say(" ".join(result.trouble))
        for costly in result.costly:
            self.costly.emit(costly.question, lambda costly=costly: self._read_anyway(costly, centre, is_filling))

    def _place(self, read: ReadArtwork | ReadPhoto, centre: Centre, is_filling: bool) -> None:
        project = self._project
        if isinstance(read, ReadPhoto):
            document = edits_photo.add_photo(project.document, read.name, read.media, read.data, read.size)
            if project.edit(tr("Photo of the wall"), document):
                self._selection.select(PHOTO)
            return
        width: float | None = None
        is_filling = is_filling and not project.document.placements
        if is_filling and min(read.natural) > 0:
            from wallwright.window.model.start_proposal import first_box  # the window opens sooner without

            ratio = read.natural[1] / read.natural[0]
            box = first_box(project.document, self._selection.hanging, ratio, read.drawn)
            if box is not None:
                centre, width = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), float(round(box[2] - box[0]))
        try:
            document, placed = edits.add_artwork(
                project.document,
                read.name,
                read.media,
                read.data,
                read.natural,
                centre,
                width,
                read_anyway=read.read_anyway,
            )
        except BadValue as trouble:
            self._messages.say(f"{trouble}.")
            return
        if is_filling and placed.picture is not None and len(document.pens) > 1:
            # The person has just said which pens they own: a photograph is mixed from all of them.
            picture = edits.replace(placed.picture, pens=tuple(pen.id for pen in document.pens))
            document = edits.set_placement(document, placed.id, picture=picture)
        if project.edit(tr("Place {0}", read.name), document):
            self._selection.select(PlacementItem(placed.id))

    def _read_anyway(self, costly: CostlySource, centre: Centre, is_filling: bool) -> None:
        source = costly.source
        if not isinstance(source, ProjectSource):
            self.add([msgspec.structs.replace(source, read_anyway=True)], centre, is_filling)
