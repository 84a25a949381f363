"""The lines of a small program as the controller would get it; those that the last change made are marked."""

from __future__ import annotations

import difflib

from PySide6.QtGui import QFontDatabase, QTextCursor, QTextFormat
from PySide6.QtWidgets import QTextEdit, QWidget

from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.line_text import TextField

FAINT = 70
"""Of 255: opacity of a mark, on light and on dark ground."""


class ProgramPreview(TextField):
    """Of a document's machine, one hanging and pens."""

    def __init__(self, most: int | None = None, parent: QWidget | None = None) -> None:
        """most: lines of the beginning and of the end that are shown; None: all."""
        super().__init__(parent)
        self._most = most
        self._shown: tuple[object, ...] = ()
        self._lines: list[str] = []
        self.setReadOnly(True)
        self.setLineWrapMode(TextField.LineWrapMode.NoWrap)
        self.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        help = tr("The lines of a file with these settings. Those that your last change made are marked.")
        explain(self, help, tr("Resulting lines"))

    def show_document(self, document: Document, hanging: int) -> None:
        """Shows the lines as they are for the document's machine in one of its hangings."""
        from wallwright.jobs.sample_program import sample_lines  # scipy, numba: slow to import

        now = document.machine, document.hangings[hanging], document.pens
        if self._shown == now:
            return
        lines = sample_lines(document, hanging)
        if self._most is not None and len(lines) > 2 * self._most:
            lines = [*lines[: self._most], "...", *lines[-self._most :]]
        is_first, before = not self._shown, self._lines
        self._shown, self._lines = now, lines
        at = self.verticalScrollBar().value()
        self.setPlainText("\n".join(lines))
        changed = [] if is_first else _changed(before, lines)
        self._mark(changed)
        if changed:
            self.setTextCursor(QTextCursor(self.document().findBlockByNumber(changed[0])))
            self.centerCursor()
        else:
            self.verticalScrollBar().setValue(at)

    def marked_lines(self) -> list[str]:
        """The lines that the last change made."""
        return [selection.cursor.block().text() for selection in self.extraSelections()]

    def _mark(self, numbers: list[int]) -> None:
        marks = []
        for number in numbers:
            mark = QTextEdit.ExtraSelection()
            mark.cursor = QTextCursor(self.document().findBlockByNumber(number))
            ground = self.palette().highlight().color()
            ground.setAlpha(FAINT)
            mark.format.setBackground(ground)
            mark.format.setProperty(QTextFormat.Property.FullWidthSelection, True)
            marks.append(mark)
        self.setExtraSelections(marks)


def _changed(before: list[str], after: list[str]) -> list[int]:
    """Numbers, from 0, of the lines that were not there before."""
    blocks = difflib.SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    return [line for kind, _, _, first, last in blocks if kind in ("replace", "insert") for line in range(first, last)]
