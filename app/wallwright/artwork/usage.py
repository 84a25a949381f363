"""What one file may ask for: each count has a limit that its message names, for time and memory grow with it."""

from __future__ import annotations

from dataclasses import dataclass

from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.reading_limits import TooCostly, most

MILLION = 1_000_000
POINT = 50
"""Bytes of memory for a point, while outlines are made."""
LETTER = 8_000
"""Bytes of memory for a letter, as an outline with its place."""
MOST_POINTS = 10 * MILLION
"""Of all outlines, copies included."""
MOST_LETTERS = 50_000
MOST_DASHES = 500_000
"""Of all lines; an array each."""
MOST_PIXELS = 60 * MILLION
"""Kept of all pictures inside the file, 4 bytes each."""


@dataclass
class Usage:
    """What has been read of a file so far, drawings inside it included."""

    name: str
    points: int = 0
    letters: int = 0
    dashes: int = 0
    pixels: int = 0

    def add_points(self, count: int) -> None:
        """Raises TooCostly."""
        self.points += count
        if self.points > most(MOST_POINTS):
            raise TooCostly(
                tr(
                    "{0} has outlines with more than {1} million points and is not read. Simplify its paths or "
                    "split it into several files.",
                    self.name,
                    most(MOST_POINTS) // MILLION,
                ),
                POINT * self.points,
            )

    def add_letters(self, count: int) -> None:
        """Raises TooCostly."""
        self.letters += count
        if self.letters > most(MOST_LETTERS):
            raise TooCostly(
                tr(
                    "{0} has more than {1:,} letters and is not read. Shorten its text or split it into several files.",
                    self.name,
                    most(MOST_LETTERS),
                ),
                LETTER * self.letters,
            )

    def has_room_for_dashes(self, count: float) -> bool:
        """Counts dashes when there is room for them."""
        if not self.dashes + count <= most(MOST_DASHES):
            return False
        self.dashes += int(count)
        return True

    def add_pixels(self, count: int) -> None:
        """Raises BadFile, for the picture that is too much."""
        if self.pixels + count > most(MOST_PIXELS):
            raise BadFile(
                tr(
                    "the pictures in the file have more than {0} million pixels in total",
                    most(MOST_PIXELS) // MILLION,
                )
            )
        self.pixels += count
