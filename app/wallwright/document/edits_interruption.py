"""Edits of the record of an interrupted job."""

from __future__ import annotations

from wallwright.document.continuation import Interruption
from wallwright.document.document import Document
from wallwright.document.edits import replace


def remember_interruption(document: Document, stopped: Interruption) -> Document:
    """Records how far the job was drawn."""
    return replace(document, stopped=stopped)


def discard_interruption(document: Document) -> Document:
    return replace(document, stopped=None)
