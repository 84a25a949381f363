"""Lines that somebody types in: other text is shown without disturbing them, and errors stand at the line."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QToolTip

ERROR_MS = 6000


class LineField(QLineEdit):
    """A line that keeps half-typed text while another window is used, for example to look a number up. A dialog of the same
    window finishes it."""

    def _waits(self) -> bool:
        """Whether the window that is active now has nothing to do with this one."""
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
        if self.isModified():  # Qt takes what was typed before the other window for finished
            self.editingFinished.emit()


def finish_typing() -> None:
    """Takes what is half typed in the line that has the keys as entered: before something is done with the document."""
    line = QApplication.focusWidget()
    if isinstance(line, LineField) and line.isModified():
        line.editingFinished.emit()


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


def show_error(line: QLineEdit, sentence: str) -> None:
    """Says below a line what is wrong with what was typed."""
    if line.isVisible():
        QToolTip.showText(line.mapToGlobal(QPoint(0, line.height())), sentence, line, line.rect(), ERROR_MS)
