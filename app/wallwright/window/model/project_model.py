"""The document of one window, with its history and file. No widgets."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from wallwright.document import edits
from wallwright.document.consistency import validate
from wallwright.document.document import Document
from wallwright.document.edits import FieldPath
from wallwright.document.errors import BadValue
from wallwright.document.file_state import FileState
from wallwright.document.language import tr
from wallwright.window.model.history import History
from wallwright.window.model.messages import Messages


class ProjectModel(QObject):
    """The document and its edits. Signals announce changes; views then read the new state."""

    loaded = Signal()
    """Another document was loaded; `changed` follows."""
    changed = Signal()
    """The document has changed."""
    refused = Signal()
    """An edit was not applied; views show the document again as it is."""
    file_changed = Signal()
    """Path, file state or the saved document has changed."""

    def __init__(self, document: Document, messages: Messages) -> None:
        super().__init__()
        self._messages = messages
        self.history = History(document)
        self.saved: Document | None = document
        """The document as saved; None if it never was."""
        self.path: Path | None = None
        self.disk: FileState | None = None
        """State of the file when it was last read or written here; None if unknown."""
        self.closed_cautions: set[str] = set()
        """Occasions whose cautions were closed since the document was loaded."""

    @property
    def document(self) -> Document:
        """The present document."""
        return self.history.present

    @property
    def is_dirty(self) -> bool:
        """Whether there are unsaved changes."""
        return self.document != self.saved

    @property
    def name(self) -> str:
        """Name of the project in titles."""
        return self.path.stem if self.path else tr("Untitled")

    def edit(self, title: str, document: Document, merge: str | None = None) -> bool:
        """Applies an edit if it is valid, else shows the reason; returns whether it was applied. Consecutive edits with the
        same merge word are one undo step."""
        try:
            validate(document)
        except BadValue as error:
            self._messages.say(f"{error}.")
            self.refused.emit()
            return False
        self.history.edit(title, document, merge)
        self.changed.emit()
        return True

    def set_field(self, title: str, path: FieldPath, value: object, merge: str | None = None) -> bool:
        """Sets a field of the document by its path, such as "machine.body.mass"."""
        return self.edit(title, edits.set_field(self.document, path, value), merge)

    def close_step(self) -> None:
        """Ends merging: the next edit begins a new undo step."""
        self.history.close_step()

    def abandon_step(self) -> None:
        """Undoes the edits of the step still being merged, without a redo."""
        if self.history.abandon():
            self.changed.emit()

    def undo(self) -> None:
        self.history.undo()
        self.changed.emit()

    def redo(self) -> None:
        self.history.redo()
        self.changed.emit()

    def load(self, document: Document, path: Path | None, disk: FileState | None = None, is_saved: bool = True) -> None:
        """Loads another document, with a new history. disk: the state of its file. is_saved: whether it equals that file, or
        contains no work yet."""
        self.history, self.closed_cautions = History(document), set()
        self.saved, self.path, self.disk = document if is_saved else None, path, disk
        self.loaded.emit()
        self.changed.emit()
        self.file_changed.emit()

    def mark_saved(self, path: Path, disk: FileState | None = None) -> None:
        """Marks the present document as saved in a file."""
        self.saved, self.path, self.disk = self.document, path, disk
        self.file_changed.emit()

    def copy_state_from(self, other: ProjectModel) -> None:
        """Takes history and file from another model, before anything shows this one; titles in the current language."""
        self.history, self.saved, self.path, self.disk = other.history, other.saved, other.path, other.disk
        self.closed_cautions = other.closed_cautions
        self.history.retranslate()
