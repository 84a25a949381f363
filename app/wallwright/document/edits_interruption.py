"""Edits of what is remembered of an interrupted job."""

from __future__ import annotations

from wallwright.document.continuation import Interruption
from wallwright.document.document import Document
from wallwright.document.edits import replace


def remember_interruption(document: Document, stopped: Interruption) -> Document:
    """Keeps how far the job was drawn."""
    return replace(document, stopped=stopped)


def discard_interruption(document: Document) -> Document:
    return replace(document, stopped=None)
