"""Replacing the text of a line that somebody may be in: cursor and selection stay."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit


def replace_text(line: QLineEdit, text: str) -> None:
    """Shows another text. Where all of it was selected it is again, so that what is typed next replaces it."""
    if text == line.text():
        return
    is_all_selected = line.hasFocus() and line.hasSelectedText() and line.selectedText() == line.text()
    cursor = line.cursorPosition()
    line.setText(text)
    if is_all_selected:
        line.selectAll()
    else:
        line.setCursorPosition(min(cursor, len(text)) if line.hasFocus() else 0)
