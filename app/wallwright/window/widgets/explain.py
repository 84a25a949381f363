"""Sets a control's tool tip, What's This help and accessible name."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget


def explain(widget: QWidget, help: str, name: str = "") -> None:
    """Explains a control. help: a sentence; name: accessible name, if the control has no text or label."""
    widget.setToolTip(help)
    widget.setWhatsThis(help)
    if name:
        widget.setAccessibleName(name)
