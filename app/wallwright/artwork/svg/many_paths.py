"""Path elements that stand side by side, read together: what makes a drawing of a hundred thousand paths open in seconds.

It serves absolute moves, lines, quadratics and cubics of one subpath with each command written out (SVG 1.1, 8.3), as
drawing programs write them; every other path is left to be read by itself, which also says what is wrong with it.
"""

from __future__ import annotations

import re

import numpy as np

from wallwright.artwork.svg.curves import polylines
from wallwright.artwork.svg.numbers import TooLarge
from wallwright.artwork.svg.path_data import NO_LETTERS, TO_BLANK
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.document.arrays import Integers

BLOCK = 128
"""Paths read together: arrays long enough to be quick, and work short enough to be cancelled in."""
PLAIN = re.compile(rb"M[LQC]+[Zz]?")
POINTS = np.zeros(256, dtype=np.intp)
"""Points that a command takes, by its code."""
POINTS[[ord(c) for c in "LQC"]] = 1, 2, 3


def read_together(texts: list[str], tolerance: float) -> list[list[Subpath] | None]:
    """The subpaths of each path data; None for those to be read by themselves."""
    found: list[list[Subpath] | None] = [None] * len(texts)
    try:
        data = "\n".join(text.replace("\n", " ") for text in texts).encode("ascii")
    except UnicodeEncodeError:
        return found
    lines, commands = data.split(b"\n"), data.translate(None, NO_LETTERS).split(b"\n")
    plain = [k for k, command in enumerate(commands) if PLAIN.fullmatch(command)]
    if not plain:
        return found
    bodies = [commands[k][1:].rstrip(b"Zz") for k in plain]
    widths = POINTS[np.frombuffer(b"".join(bodies), np.uint8)]
    straight = widths == 1
    lengths = np.array([len(body) for body in bodies])
    blank = b"\n".join([lines[k] for k in plain]).translate(TO_BLANK).replace(b"-", b" -")
    last = np.cumsum(widths) + np.repeat(np.arange(len(plain)), lengths)
    if (_numbers_in_lines(blank) != 2 * (np.add.reduceat(widths, np.cumsum(lengths) - lengths) + 1)).any():
        return found
    try:
        points = np.fromstring(blank, sep=" ").reshape(-1, 2)
    except ValueError:
        return found
    first = last - widths
    a, b = points[first], points[np.where(straight, first, first + 1)]
    c, d = points[np.where(straight, last, last - 1)], points[last]
    bent = (widths == 2)[:, None]  # a quadratic's one control point serves both ends (SVG 2, 9.3.7)
    cubics = np.stack([a, np.where(bent, a + 2 / 3 * (b - a), b), np.where(bent, d + 2 / 3 * (c - d), c), d], axis=1)
    try:
        subpaths = polylines(cubics, straight, lengths, [commands[k][-1:] in b"Zz" for k in plain], tolerance)
    except TooLarge:
        return found
    for k, subpath in zip(plain, subpaths, strict=True):
        found[k] = [subpath]
    return found


def _numbers_in_lines(text: bytes) -> Integers:
    """How many words each line has."""
    codes = np.frombuffer(text, np.uint8)
    ink = codes > 32
    begins = ink.copy()
    begins[1:] &= ~ink[:-1]
    breaks = np.flatnonzero(codes == 10)
    return np.diff(np.concatenate([[0], np.cumsum(begins)[breaks], [begins.sum()]]))
