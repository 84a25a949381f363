"""Line edits whose text can be replaced without disturbing typing, with errors shown at the line."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QToolTip

ERROR_MS = 6000


class LineField(QLineEdit):
    """A line edit that keeps half-typed text while another window is used, such as to look up a number. A dialog of the same
    window commits it."""

    def _waits(self) -> bool:
        """Whether the active window is unrelated to this one."""
        active = QApplication.activeWindow()
        while active is not None and active is not self.window():
            active = active.parentWidget()
        return active is None

    def focusOutEvent(self, event: QFocusEvent) -> None:
        if event.reason() == Qt.FocusReason.ActiveWindowFocusReason and self._waits():
            was_blocked = self.blockSignals(True)
            super().focusOutEvent(event)
            self.blockSignals(was_blocked)
            return
        super().focusOutEvent(event)
        if self.isModified():  # Qt would treat the text typed so far as finished
            self.editingFinished.emit()


def finish_typing() -> None:
    """Commits half-typed text in the focused line, before an operation on the document."""
    line = QApplication.focusWidget()
    if isinstance(line, LineField) and line.isModified():
        line.editingFinished.emit()


def replace_text(line: QLineEdit, text: str) -> None:
    """Replaces the text. If all of it was selected, selects it again, so that typing replaces it."""
    if text == line.text():
        return
    is_all_selected = line.hasFocus() and line.hasSelectedText() and line.selectedText() == line.text()
    cursor = line.cursorPosition()
    line.setText(text)
    if is_all_selected:
        line.selectAll()
    else:
        line.setCursorPosition(min(cursor, len(text)) if line.hasFocus() else 0)


def show_error(line: QLineEdit, sentence: str) -> None:
    """Shows below a line what is wrong with its text."""
    if line.isVisible():
        QToolTip.showText(line.mapToGlobal(QPoint(0, line.height())), sentence, line, line.rect(), ERROR_MS)
