"""Finds, beside the window, the place at a line of a file that ran."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QThread
from PySide6.QtWidgets import QWidget

from app.document.atomic import why
from app.document.errors import BadValue
from app.document.going_on import Place
from app.document.language import tr
from app.document.machine import Machine
from app.document.wall import Hanging
from app.jobs.line_place import place_at_line
from app.strokes.strokes import Strokes


class Finding(QThread):
    """Read `place` or `trouble` when it has finished."""

    def __init__(
        self, file: Path, line: int, machine: Machine, hanging: Hanging, strokes: Strokes, parent: QWidget
    ) -> None:
        """strokes: of the whole job."""
        super().__init__(parent)
        self._asked = (line, machine, hanging, strokes)
        self._file = file
        self.place: Place | None = None
        self.trouble = ""

    def run(self) -> None:
        try:
            with self._file.open("rb") as lines:
                self.place = place_at_line(lines, *self._asked)
        except OSError as error:
            self.trouble = tr("{0} cannot be read: {1}.", self._file, why(error))
        except BadValue as trouble:
            self.trouble = f"{trouble}."
