"""Line edits whose text can be replaced without disturbing typing, with errors shown at the line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal

from PySide6.QtCore import QEvent, QPoint, QSignalBlocker, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QPalette
from PySide6.QtWidgets import QApplication, QFormLayout, QLineEdit, QPlainTextEdit, QToolTip, QWidget

from wallwright.window.widgets.theme import Role, StyledLabel, TextSize, colour

ERROR_MS = 6000
Step = Literal["undo", "redo"]
UNDO_KEYS = ("Ctrl+Z",)
REDO_KEYS = ("Ctrl+Y", "Ctrl+Shift+Z")
"""Additional key sequences besides those of the system."""


def undo_sequences() -> list[QKeySequence]:
    """Returns the key sequences for undo, those of the system first."""
    return _sequences(QKeySequence.StandardKey.Undo, UNDO_KEYS)


def redo_sequences() -> list[QKeySequence]:
    """Returns the key sequences for redo, those of the system first."""
    return _sequences(QKeySequence.StandardKey.Redo, REDO_KEYS)


def _sequences(standard: QKeySequence.StandardKey, more: tuple[str, ...]) -> list[QKeySequence]:
    found = list(QKeySequence.keyBindings(standard))
    return found + [own for own in map(QKeySequence, more) if own not in found]


def step_of(event: QKeyEvent) -> Step | None:
    """Returns whether a key undoes or redoes; None: neither."""
    keys = QKeySequence(event.keyCombination())
    if keys in undo_sequences():
        return "undo"
    return "redo" if keys in redo_sequences() else None


def _claims(event: QEvent, has_step: Callable[[Step], bool]) -> bool | None:
    """Returns whether a field takes an undo or redo key before the window's shortcuts do; None for other events."""
    if not isinstance(event, QKeyEvent) or event.type() != QEvent.Type.ShortcutOverride:
        return None
    step = step_of(event)
    if step is None:
        return None
    is_own = has_step(step)
    event.setAccepted(is_own)
    return is_own


def _takes(event: QKeyEvent, field: QLineEdit | QPlainTextEdit, has_step: Callable[[Step], bool]) -> bool:
    """Undoes or redoes in a field. Returns whether the key is one of undo or redo."""
    step = step_of(event)
    if step is None:
        return False
    if not has_step(step):
        event.ignore()
    elif step == "undo":
        field.undo()
    else:
        field.redo()
    return True


class LineField(QLineEdit):
    """A line edit that keeps half-typed text while another window is used, such as to look up a number. A dialog of the same
    window commits it. An error message stays below it until the text is edited."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._error: StyledLabel | None = None
        self.textEdited.connect(self.clear_error)

    def show_error(self, sentence: str) -> bool:
        """Shows an error below the line. Returns whether it is visible."""
        self.clear_error()
        if not self.isVisible():
            return False
        form, row = _row_of(self)
        if form is None:
            at = self.mapToGlobal(QPoint(0, self.height()))
            QToolTip.showText(at, sentence, self, self.rect(), ERROR_MS)
            return True
        label = StyledLabel(sentence, TextSize.SMALL, is_strong=True)
        palette = label.palette()
        palette.setColor(QPalette.ColorRole.WindowText, colour(Role.ERROR, palette))
        label.setPalette(palette)
        label.destroyed.connect(self._forget_error)
        self._error = label
        form.insertRow(row + 1, label)
        return True

    @property
    def error(self) -> str:
        """Error below the line; "" if there is none."""
        return self._error.text() if self._error is not None else ""

    def clear_error(self) -> None:
        """Removes the error below the line."""
        label, self._error = self._error, None
        if label is None:
            return
        form, row = _row_of(label)
        if form is not None:
            form.removeRow(row)

    def _forget_error(self) -> None:
        self._error = None

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
        if self.isModified():  # otherwise Qt would treat half-typed text as finished
            self.editingFinished.emit()
        if self.isRedoAvailable():
            with QSignalBlocker(self):
                self.setText(self.text())  # what was taken back in the line is not for later

    def event(self, event: QEvent) -> bool:
        is_own = _claims(event, self._has_step)
        return super().event(event) if is_own is None else is_own

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not _takes(event, self, self._has_step):
            super().keyPressEvent(event)

    def _has_step(self, step: Step) -> bool:
        return self.isModified() or (step == "redo" and self.isRedoAvailable())


class TextField(QPlainTextEdit):
    """A field of several lines. Undo and redo affect its typing first, then the project."""

    def event(self, event: QEvent) -> bool:
        is_own = _claims(event, self._has_step)
        return super().event(event) if is_own is None else is_own

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not _takes(event, self, self._has_step):
            super().keyPressEvent(event)

    def _has_step(self, step: Step) -> bool:
        text = self.document()
        return not self.isReadOnly() and (text.isModified() or (step == "redo" and text.isRedoAvailable()))


def _row_of(widget: QWidget) -> tuple[QFormLayout | None, int]:
    """Returns the form and row of a widget, which may be nested in another widget."""
    while (parent := widget.parentWidget()) is not None:
        layout = parent.layout()
        forms = [layout] if isinstance(layout, QFormLayout) else []
        if layout is not None:
            forms += layout.findChildren(QFormLayout)
        for form in forms:
            position: Any = form.getWidgetPosition(widget)  # (row, role)
            if position[0] >= 0:
                return form, int(position[0])
        widget = parent
    return None, -1


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
