"""Undo and redo history: documents with the titles of the edits between them. No Qt."""

from __future__ import annotations

from dataclasses import dataclass, field

from wallwright.document.document import Document
from wallwright.document.language import in_present_language

MOST_STEPS = 500


@dataclass
class History:
    """The present document and its history. Documents are frozen and share their parts, so that many cost little."""

    present: Document
    past: list[tuple[str, Document]] = field(default_factory=list)
    """Titles of edits with the documents before them, oldest first."""
    future: list[tuple[str, Document]] = field(default_factory=list)
    """Titles of undone edits with the documents after them, next one last."""
    _open: str | None = None

    def edit(self, title: str, document: Document, merge: str | None = None) -> None:
        """Makes a document the present one. Consecutive edits with the same merge word are one undo step."""
        if document == self.present:
            return
        if merge is not None and merge == self._open and document == self.past[-1][1]:
            self.abandon()  # taken back by hand: no step is left that would undo nothing
            return
        if merge is None or merge != self._open:
            self.past.append((title, self.present))
            del self.past[:-MOST_STEPS]
        self._open = merge
        self.future.clear()
        self.present = document

    def retranslate(self) -> None:
        """Translates the titles to the current language."""
        for steps in (self.past, self.future):
            steps[:] = [(in_present_language(title), document) for title, document in steps]

    def close_step(self) -> None:
        """Ends merging: the next edit begins a new step."""
        self._open = None

    def abandon(self) -> bool:
        """Undoes the step still being merged, without a redo; returns False if there is none."""
        if self._open is None:
            return False
        _, self.present = self.past.pop()
        self._open = None
        return True

    def undo(self) -> None:
        if self.past:
            title, document = self.past.pop()
            self.future.append((title, self.present))
            self.present = document
            self._open = None

    def redo(self) -> None:
        if self.future:
            title, document = self.future.pop()
            self.past.append((title, self.present))
            self.present = document
            self._open = None
