"""Import of artwork, photos and projects for one window, read in another process. No widgets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, Qt, Signal

from wallwright.document import edits, edits_photo
from wallwright.document.document import Document, Placement
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
from wallwright.window.model.planning_client import PlanningClient
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel

Centre = tuple[float, float] | None
"""Position for the middle of artwork, mm; None: a free place."""


class ArtworkImport(QObject):
    """Files that one window is reading."""

    costly = Signal(str, object)
    """A file exceeds the limits: its cost, as a sentence, and the function to call if the person agrees."""
    opened = Signal(object)
    """A requested ReadProject."""
    not_opened = Signal(object)
    """Path of a project that could not be opened, or was cancelled."""
    progress = Signal(str, float)
    """Name of the file being read and share done; "" if none."""
    _arrived = Signal()

    def __init__(
        self, project: ProjectModel, selection: SelectionModel, messages: Messages, planning: PlanningClient
    ) -> None:
        """planning: knows the drawn parts of artworks."""
        super().__init__()
        self._planning = planning
        self._project, self._selection, self._messages = project, selection, messages
        self._centres: dict[int, Centre] = {}
        """Centre by request id."""
        self._filling: set[int] = set()
        """Ids of requests whose artwork is scaled to the largest size that fits."""
        self._projects: dict[int, Path] = {}
        """Paths of requested projects by request id."""
        self._arrived.connect(self.receive, Qt.ConnectionType.QueuedConnection)
        self._reader = ArtworkReader(self._arrived.emit)

    @property
    def is_busy(self) -> bool:
        """Whether a file is being read."""
        return bool(self._reader.pending)

    def add(self, sources: Sequence[Source], centre: Centre = None, is_filling: bool = False) -> None:
        """Reads and places artwork, or reads and shows a photo; reports failures. is_filling: scales the first artwork on an
        empty wall to the largest size that fits with a margin."""
        number = self._reader.submit(tuple(sources))
        self._centres[number] = centre
        if is_filling:
            self._filling.add(number)
        for source in sources:
            if isinstance(source, ProjectSource):
                self._projects[number] = source.path
        self.progress.emit(sources[0].name if sources else "", 0.0)

    def add_files(self, paths: Sequence[Path], centre: Centre = None, is_filling: bool = False) -> None:
        """Reads and places artwork files; reports failures. is_filling: scales the first one on an empty wall to the largest
        size that fits."""
        self.add([ArtworkSource.file(path) for path in paths], centre, is_filling)

    def add_photo(self, path: Path) -> None:
        """Reads a photo of the wall and shows it."""
        self.add([PhotoSource(path)])

    def open(self, path: Path) -> None:
        """Reads a project; `opened` or `not_opened` follows. Cancels reading for the present one."""
        if self.is_busy:
            self.cancel()
        self.add([ProjectSource(path)])

    def hand_over(self, add: Callable[[Sequence[Source], Centre, bool], None]) -> None:
        """Passes the unread files on to another import."""
        for request in self._reader.pending:
            add(self._reader.sources_of(request), self._centres[request], request in self._filling)
        self._projects.clear()  # the other import opens them
        self.cancel()

    def cancel(self) -> None:
        """Cancels all reading immediately."""
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
        """Handles the results of the reading process."""
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
        is_first = not project.document.placements
        is_filling, is_free_to_choose = is_filling and is_first, centre is None and not is_first
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
            # The person has just entered all their pens: a photo is mixed from all of them.
            picture = edits.replace(placed.picture, pens=tuple(pen.id for pen in document.pens))
            document = edits.set_placement(document, placed.id, picture=picture)
        document = self._clear(project.document, document, placed, is_free_to_choose)
        if project.edit(tr("Place {0}", read.name), document):
            self._selection.select(PlacementItem(placed.id))

    def _clear(self, before: Document, document: Document, placed: Placement, is_free_to_choose: bool) -> Document:
        """Returns the document with new artwork in free room and at a readable size, unless a place was given, and with the
        starting point off the first artwork."""
        from wallwright.planning.proposed_places import centre_with_room, readable_size, with_starts_clear_of_ink

        parts = self._planning.drawn_parts()
        if is_free_to_choose:
            size = placed.width, placed.height
            if placed.picture is None:
                size = readable_size(before, size, parts)
                document = edits.set_placement(document, placed.id, width=size[0], height=size[1])
            centre = centre_with_room(before, size, parts, None)
            if centre is not None:
                document = edits.set_placement(document, placed.id, x=float(centre[0]), y=float(centre[1]))
        if before.placements:
            return document
        return with_starts_clear_of_ink(document, range(len(document.hangings)), {})

    def _read_anyway(self, costly: CostlySource, centre: Centre, is_filling: bool) -> None:
        source = costly.source
        if not isinstance(source, ProjectSource):
            self.add([msgspec.structs.replace(source, read_anyway=True)], centre, is_filling)
