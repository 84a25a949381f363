"""What one file may ask for: each count has a limit that its message names, for time and memory grow with it."""

from __future__ import annotations

from dataclasses import dataclass

from wallwright.document.errors import BadFile
from wallwright.document.language import tr

MILLION = 1_000_000
MOST_POINTS = 10 * MILLION
"""Of all outlines, copies included: 160 MB, and twice that while they are made."""
MOST_LETTERS = 50_000
"""8 KB each, as outlines with their places."""
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
        """Raises BadFile."""
        self.points += count
        if self.points > MOST_POINTS:
            raise BadFile(
                tr("{0} has outlines of more than {1} million points and is not read. Simplify its paths, or bring it in "
                   "parts.", self.name, MOST_POINTS // MILLION)
            )  # fmt: skip

    def add_letters(self, count: int) -> None:
        """Raises BadFile."""
        self.letters += count
        if self.letters > MOST_LETTERS:
            raise BadFile(
                tr("{0} has more than {1:,} letters and is not read. Shorten its text, or bring it in parts.", self.name,
                   MOST_LETTERS)
            )  # fmt: skip

    def has_room_for_dashes(self, count: float) -> bool:
        """Counts dashes when there is room for them."""
        if not self.dashes + count <= MOST_DASHES:
            return False
        self.dashes += int(count)
        return True

    def add_pixels(self, count: int) -> None:
        """Raises BadFile, for the picture that is too much."""
        if self.pixels + count > MOST_PIXELS:
            raise BadFile(
                tr(
                    "the pictures in the file have more than {0} million pixels together",
                    MOST_PIXELS // MILLION,
                )
            )
        self.pixels += count
