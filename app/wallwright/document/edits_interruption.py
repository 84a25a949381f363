"""Edits of what is remembered of an interrupted job."""

from __future__ import annotations

from wallwright.document.continuation import Stopped
from wallwright.document.document import Document
from wallwright.document.edits import replace


def remember_stop(document: Document, stopped: Stopped) -> Document:
    """Keeps how far the job was drawn."""
    return replace(document, stopped=stopped)


def forget_stop(document: Document) -> Document:
    return replace(document, stopped=None)
