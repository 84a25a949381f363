"""Content of the files of a drawing job: lines in file units, and their division into files."""

from __future__ import annotations

from dataclasses import dataclass

from wallwright.document.arrays import Floats, Integers
from wallwright.document.document import Pen
from wallwright.document.drawing_page import DrawingPage
from wallwright.jobs.drawing_layout import PageLayout

EVERY_PEN, MARKS = -1, -2
"""Special values of DrawingFile.block: the file with all pens, and the file with crosses at the register marks."""


@dataclass(frozen=True)
class DrawingFile:
    """One file of a drawing job."""

    name: str
    block: int
    """Index into Motion.blocks, EVERY_PEN or MARKS."""
    pen: int
    """Index into Document.pens; -1: all of them."""
    part: int
    parts: int
    """Part number, from 1, and number of parts of a pen's drawing that is split."""
    first: int
    last: int
    """The file has lines first .. last - 1 of the set."""


@dataclass(frozen=True)
class DrawingSet:
    """Content of all files of a drawing job."""

    page: DrawingPage
    pens: tuple[Pen, ...]
    layout: PageLayout
    points: Floats
    """(n, 2) points in file numbers, rounded."""
    offsets: Integers
    """(k + 1,) first point of each line."""
    line_pen: Integers
    """(k,) index into Document.pens."""
    ticks: Floats
    """(t, 2, 2) ticks in file numbers."""
    files: tuple[DrawingFile, ...]
