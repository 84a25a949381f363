"""Reading the written files again, to compare them with the plan before the export is called done."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np

from app.document.language import tr
from app.jobs.coordinates import Coordinates
from app.jobs.job import Job

WORD = re.compile(r"([A-Z])([-+]?[0-9.]+)")


class Mismatch(Exception):
    """A written file does not say what the plan says."""


@dataclass(frozen=True)
class Verified:
    """What was compared."""

    points: int
    strokes: int
    largest_difference: float
    """mm."""


def verify_code(text: str, path: Coordinates) -> Verified:
    """Follows RS-274 lines and compares every point, and whether the pen is down, with the path."""
    up_height = _first_height(text)
    pen_down = False
    found, is_down = [], []
    for line in text.splitlines():
        if line.startswith("("):
            continue
        words = dict(WORD.findall(line))
        if "Z" in words:
            pen_down = float(words["Z"]) != up_height
        elif line == "M5" or line.startswith("M3 "):
            pen_down = line != "M5"
        elif line.startswith("G1 "):
            found.append((float(words["X"]), float(words["Y"])))
            is_down.append(pen_down)
    moves = np.ones(len(path.values), dtype=bool)
    moves[path.runs[:-1]] = False
    wanted = path.values[moves]
    run = np.repeat(np.arange(len(path.down)), np.diff(path.runs))[moves]
    return _compared(
        np.array(found).reshape(-1, 2), wanted, np.array(is_down, dtype=bool), path.down[run], 1e-4, path
    )


def _first_height(text: str) -> float:
    """The first height in a program is that of the lifted pen."""
    match = re.search(r"^G0 Z(\S+)$", text, re.MULTILINE)
    return float(match[1]) if match else 0.0


def verify_svg(text: str, path: Coordinates) -> Verified:
    """Compares every point of the corrected SVG with the path's strokes."""
    root = ElementTree.fromstring(text)
    data = [p.get("d", "") for p in root.iter("{http://www.w3.org/2000/svg}path")]
    parts = [np.array([v.split(",") for v in d[1:].split("L")], dtype=float) for d in data]
    found = np.concatenate(parts) if parts else np.zeros((0, 2))
    keep = np.repeat(path.down, np.diff(path.runs))
    down = np.ones(len(found), dtype=bool)
    return _compared(found, path.values[keep], down, np.ones(int(keep.sum()), dtype=bool), 1e-3, path)


def verify_table(text: str, job: Job) -> Verified:
    """Compares every line of the motion table with the motion."""
    head, *rows = text.splitlines()
    found = np.array(json.loads("[" + ",".join(rows) + "]"), dtype=float).reshape(-1, 4)
    if json.loads(head)["lines"] != len(found):
        raise Mismatch(tr("the motion table is cut short"))
    if np.any(np.diff(found[:, 0]) < -1e-9):
        raise Mismatch(tr("the motion table runs backwards in time"))
    down = np.repeat(job.motion.down, np.diff(job.motion.runs))
    return _compared(found[:, 1:3], job.counted(job.motion.belts), found[:, 3] >= 0, down, 1e-4, job.belts)


def _compared(found, wanted, down, wanted_down, tolerance: float, path: Coordinates) -> Verified:
    if found.shape != wanted.shape:
        raise Mismatch(tr("it holds {0} points instead of {1}", len(found), len(wanted)))
    if not np.array_equal(down, wanted_down):
        raise Mismatch(tr("the pen is down where it should be up"))
    difference = float(np.abs(found - wanted).max(initial=0.0))
    if not difference <= tolerance:
        raise Mismatch(tr("a point is {0:.4f} mm off", difference))
    return Verified(len(found), int(path.down.sum()), round(difference, 6))
