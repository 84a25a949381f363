"""Finds, beside the window, the place at a line of a file that ran."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QWidget

from wallwright.document.continuation import StrokePlace
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging
from wallwright.document.whole_file import open_regular_file
from wallwright.jobs.place_by_line import place_by_line
from wallwright.strokes.strokes import Strokes
from wallwright.window.model.background_work import BackgroundWork


class LineSearch(BackgroundWork):
    """Read `place` or `trouble` when it has finished."""

    def __init__(
        self, file: Path, line: int, machine: Machine, hanging: Hanging, strokes: Strokes, parent: QWidget
    ) -> None:
        """strokes: of the whole job."""
        super().__init__(parent)
        self._asked = (line, machine, hanging, strokes)
        self._file = file
        self.place: StrokePlace | None = None

    def work(self) -> None:
        with open_regular_file(self._file, str(self._file)) as lines:
            self.place = place_by_line(lines, *self._asked)
