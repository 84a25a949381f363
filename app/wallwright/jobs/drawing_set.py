"""What the files of a drawing job are written from: lines in the numbers of the file, and which file has which."""

from __future__ import annotations

from dataclasses import dataclass

from wallwright.document.arrays import Floats, Integers
from wallwright.document.document import Pen
from wallwright.document.drawing_page import DrawingPage
from wallwright.jobs.drawing_layout import PageLayout

EVERY_PEN, MARKS = -1, -2
"""Instead of a block's index: the file of all pens, and the file that marks where the pen comes at register marks."""


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
    """Of a pen's drawing that is split: which part, from 1, of how many."""
    first: int
    last: int
    """Lines first .. last - 1 of the set."""


@dataclass(frozen=True)
class DrawingSet:
    """Everything that the files of a drawing job are written from."""

    page: DrawingPage
    pens: tuple[Pen, ...]
    layout: PageLayout
    points: Floats
    """(n, 2) numbers in the file, rounded."""
    offsets: Integers
    """(k + 1,) first point of each line."""
    line_pen: Integers
    """(k,) index into Document.pens."""
    ticks: Floats
    """(t, 2, 2) numbers in the file."""
    files: tuple[DrawingFile, ...]
