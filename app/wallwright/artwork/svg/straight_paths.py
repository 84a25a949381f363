"""Path data of straight lines only, read at once: most of what large drawings hold, in a tenth of the time.

It serves absolute moves, lines and closes (SVG 1.1, 8.3) of well-formed numbers; anything else is left to the general
reader, which also says what is wrong.
"""

from __future__ import annotations

import re

import numpy as np

from wallwright.artwork.svg.numbers import LARGEST
from wallwright.document.arrays import Floats, Points

Subpath = tuple[Points, bool]
"""(n, 2) points in user units, closed (first point not repeated)."""
NUMBER = r"[-+]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
GAP = r"(?:[ \t\r\n]+(?:,[ \t\r\n]*)?|,[ \t\r\n]*)"
SPACE = r"[ \t\r\n]*"
PAIR = f"{NUMBER}{GAP}{NUMBER}"
STRAIGHT = re.compile(f"(?:{SPACE}M{SPACE}{PAIR}(?:(?:{SPACE}L{SPACE}|{GAP}){PAIR})*+{SPACE}(?:[Zz]{SPACE})?)+")
SPLIT = str.maketrans("L,Zz", "    ")


def straight_path(d: str) -> list[Subpath] | None:
    """Subpaths of path data of straight lines; None when there is anything else in it."""
    if not STRAIGHT.fullmatch(d):
        return None
    found = []
    for part in d.split("M")[1:]:
        # Not split(): a string for each number takes ten times the memory of the text.
        line = np.fromstring(part.translate(SPLIT), dtype=float, sep=" ").reshape(-1, 2)
        if not (np.isfinite(line).all() and np.abs(line).max() < LARGEST):
            return None
        closed = part.rstrip()[-1] in "Zz"
        if len(line) > 1 or closed:  # a lone move draws nothing
            found.append((without_repeats(line, closed), closed))
    return found


def without_repeats(line: Points, closed: bool) -> Floats:
    """(n, 2) points without those equal to the one before, and, when closed, without a last one equal to the first.

    points: (n, 2), numbers in user units.
    """
    keep = np.ones(len(line), dtype=bool)
    keep[1:] = np.any(line[1:] != line[:-1], axis=1)
    line = line[keep]
    return line[:-1] if closed and len(line) > 1 and np.all(line[0] == line[-1]) else line
