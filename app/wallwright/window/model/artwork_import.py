"""Brings artwork onto the wall: it is read in another process, then placed as an edit. No widgets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QObject, Qt, Signal

from wallwright.document import edits
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.planning.artwork_reader import ArtworkReader, ArtworkSource, ReadingProgress, ReadingResult
from wallwright.window.model.items import PlacementItem
from wallwright.window.model.messages import Messages
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel

Centre = tuple[float, float] | None
"""Where the middle of artwork goes, mm; None: where there is room."""


class ArtworkImport(QObject):
    """What one window is reading."""

    progress = Signal(str, float)
    """Name of the artwork being read and share done; "" when nothing is read."""
    _arrived = Signal()

    def __init__(self, project: ProjectModel, selection: SelectionModel, messages: Messages) -> None:
        super().__init__()
        self._project, self._selection, self._messages = project, selection, messages
        self._centres: dict[int, Centre] = {}
        """Of each request."""
        self._arrived.connect(self.receive, Qt.ConnectionType.QueuedConnection)
        self._reader = ArtworkReader(self._arrived.emit)

    @property
    def is_busy(self) -> bool:
        """Whether a file is being read."""
        return bool(self._reader.pending)

    def add(self, sources: Sequence[ArtworkSource], centre: Centre = None) -> None:
        """Reads artwork and places it. Says why when one cannot be read."""
        self._centres[self._reader.submit(tuple(sources))] = centre
        self.progress.emit(sources[0].name if sources else "", 0.0)

    def add_files(self, paths: Sequence[Path], centre: Centre = None) -> None:
        """Reads artwork files and places them. Says why when one cannot be read."""
        self.add([ArtworkSource.file(path) for path in paths], centre)

    def hand_over(self, add: Callable[[Sequence[ArtworkSource], Centre], None]) -> None:
        """Has what is not read yet read by another import."""
        for request in self._reader.pending:
            add(self._reader.sources_of(request), self._centres[request])
        self.cancel()

    def cancel(self) -> None:
        """Gives up what is being read, at once."""
        self._reader.cancel()
        self._centres.clear()
        self.progress.emit("", 0.0)

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
            self._place(message, self._centres.pop(message.id))

    def _place(self, result: ReadingResult, centre: Centre) -> None:
        for read in result.artworks:
            try:
                document, placed = edits.add_artwork(
                    self._project.document, read.name, read.media, read.data, read.natural, centre
                )
            except BadValue as trouble:
                self._messages.say(f"{trouble}.")
                continue
            if self._project.edit(tr("Place {0}", read.name), document):
                self._selection.select(PlacementItem(placed.id))
        if result.trouble:
            self._messages.say(" ".join(result.trouble))
