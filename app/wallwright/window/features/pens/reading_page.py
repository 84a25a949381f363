"""What pages share that have one drawing to export, and a field for everything that is read of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr, unbroken_units
from wallwright.window.widgets.choices import swatch
from wallwright.window.widgets.explain import explain

MeasurePage = Literal["offsets", "strip", "friction"]
"""The drawings that pens are measured with."""
WIDTH = 520
"""Pixels of the texts."""
FINE_FRICTION = 0.01
"""N: friction that is known better is shown with another digit."""


class FigurePicture(QWidget):
    """A picture of a figure with what is read of it."""

    SIZE = QSize(440, 134)

    def sizeHint(self) -> QSize:
        return self.SIZE

    minimumSizeHint = sizeHint


class ReadingPage(QWidget):
    """One drawing and what is read of it."""

    def __init__(self, words: str, button: str) -> None:
        super().__init__()
        self.changed: Callable[[], None] = lambda: None
        """Called when what is read has changed."""
        self.is_good = True
        """Whether everything that is typed can be used."""
        self.is_read = False
        """Whether something is typed."""
        self.column = QVBoxLayout(self)
        note = QLabel(unbroken_units(words))
        note.setWordWrap(True)
        note.setMinimumWidth(WIDTH)
        self.column.addWidget(note)
        self.export = QPushButton(button)
        explain(self.export, tr("Writes its files and its hanging sheet to a separate folder."))
        self.export.setAutoDefault(False)
        self.buttons = QHBoxLayout()
        self.buttons.addWidget(self.export)
        self.buttons.addStretch(1)
        self.column.addLayout(self.buttons)
        self.message = QLabel()
        self.message.setWordWrap(True)

    def add_field(self, name: str, help: str) -> QLineEdit:
        """A field for a length in mm."""
        field = QLineEdit()
        field.setMaximumWidth(110)
        explain(field, help, name)
        field.textChanged.connect(self.update_result)
        return field

    def learnt(self, document: Document) -> Document:
        """The document with what is read. Raises BadValue."""
        raise NotImplementedError

    def learnt_or_message(self, document: Document) -> Document | None:
        """The document with what is read; None where that cannot be used, and the message says why."""
        try:
            return self.learnt(document)
        except BadValue as trouble:
            self.is_good = False
            self.message.setText(f"{str(trouble).rstrip('.')}.")
            return None

    def update_result(self) -> None:
        """Says what follows from what is read so far."""


def friction_text(pen: Pen) -> str:
    """A pen's friction and how well it is known."""
    form = ".2f" if pen.drag_uncertainty >= FINE_FRICTION else ".3f"
    drag, uncertainty = (format_number(value, form) for value in (pen.drag, pen.drag_uncertainty))
    return tr("{0}: {1} ± {2} N.", pen.name, drag, uncertainty)


def pen_label(pen: Pen) -> QWidget:
    """Swatch and name."""
    label = QWidget()
    row = QHBoxLayout(label)
    row.setContentsMargins(0, 0, 8, 0)
    patch = QLabel()
    patch.setPixmap(swatch(pen.colour).pixmap(16, 16))
    row.addWidget(patch)
    row.addWidget(QLabel(pen.name), 1)
    return label
