"""The document of one window: its history, and the file that it is saved in. No widgets."""

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
    """The document and the ways to change it. A signal says what changed; who shows it reads it afresh."""

    loaded = Signal()
    """Another document is shown, and nothing of the last one stays; `changed` follows."""
    changed = Signal()
    """The document is another value than before."""
    refused = Signal()
    """An edit was not applied: what shows the document shows it again as it is."""
    file_changed = Signal()
    """Path, state of the file, or what counts as saved."""

    def __init__(self, document: Document, messages: Messages) -> None:
        super().__init__()
        self._messages = messages
        self.history = History(document)
        self.saved: Document | None = document
        """As it is on disk; None when it is nowhere."""
        self.path: Path | None = None
        self.disk: FileState | None = None
        """The file as it was when it was read or written here; None when that is not known."""
        self.closed_cautions: set[str] = set()
        """Occasions whose cautions the person has closed since the document was loaded."""

    @property
    def document(self) -> Document:
        """The present document."""
        return self.history.present

    @property
    def is_dirty(self) -> bool:
        """Whether there are changes that are not saved."""
        return self.document != self.saved

    @property
    def name(self) -> str:
        """Of the project, as titles show it."""
        return self.path.stem if self.path else tr("Untitled")

    def edit(self, title: str, document: Document, merge: str | None = None) -> bool:
        """Applies an edit when it is valid; else says why not and changes nothing. Edits in a row with the same merge word
        are one step of undo."""
        try:
            validate(document)
        except BadValue as trouble:
            self._messages.say(f"{trouble}.")
            self.refused.emit()
            return False
        self.history.edit(title, document, merge)
        self.changed.emit()
        return True

    def set_field(self, title: str, path: FieldPath, value: object, merge: str | None = None) -> bool:
        """Sets one field of the document, named like "machine.body.mass"."""
        return self.edit(title, edits.set_field(self.document, path, value), merge)

    def close_step(self) -> None:
        """The next edit is a separate undo step."""
        self.history.close_step()

    def abandon_step(self) -> None:
        """Takes back the edits of the step under way, and forgets them."""
        if self.history.abandon():
            self.changed.emit()

    def undo(self) -> None:
        self.history.undo()
        self.changed.emit()

    def redo(self) -> None:
        self.history.redo()
        self.changed.emit()

    def load(self, document: Document, path: Path | None, disk: FileState | None = None, is_saved: bool = True) -> None:
        """Shows another document; nothing of the last one stays. disk: the state of its file. is_saved: whether it is what
        is in that file, or no work yet."""
        self.history, self.closed_cautions = History(document), set()
        self.saved, self.path, self.disk = document if is_saved else None, path, disk
        self.loaded.emit()
        self.changed.emit()
        self.file_changed.emit()

    def mark_saved(self, path: Path, disk: FileState | None = None) -> None:
        """The present document is what is in a file."""
        self.saved, self.path, self.disk = self.document, path, disk
        self.file_changed.emit()

    def copy_state_from(self, other: ProjectModel) -> None:
        """Has history and file of another model, before anything shows this one; titles in the present language."""
        self.history, self.saved, self.path, self.disk = other.history, other.saved, other.path, other.disk
        self.closed_cautions = other.closed_cautions
        self.history.retranslate()
