"""A control's words for those who hover, ask, or listen: tool tip, what-is-this help and name at once."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget


def explain(widget: QWidget, help: str, name: str = "") -> None:
    """help: a sentence; name: what a screen reader calls the control, when it has no text or label of its own."""
    widget.setToolTip(help)
    widget.setWhatsThis(help)
    if name:
        widget.setAccessibleName(name)
