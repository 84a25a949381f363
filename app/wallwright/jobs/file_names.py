"""What the files of a job are called, and which of them a controller runs."""

from __future__ import annotations

import re

from wallwright.document.controller import Controller

BELTS, PLANE, SVG, TABLE = "belts.ngc", "plane.ngc", "corrected.svg", "motion.jsonl"
SHEET = "hanging-sheet.pdf"
REPORT = "report.json"
ALL_PENS, REGISTER = "all-pens.svg", "register.svg"
DRAWING_NAME = re.compile(r"(\d+-[\w-]+|(all-pens|register)(-from-stroke-\d+)?)\.svg")
"""What the files for a machine that takes drawings are called."""
PART_NAME = re.compile(r"(belts|plane)(-from-stroke-\d+)?-part-\d+\.ngc")
"""What the files of a program that is split are called."""


def file_for(controller: Controller) -> str:
    """The file that such a controller runs; the others would send another kind astray. A machine that takes drawings has
    several, which what_to_type names."""
    if controller.pacing == "timed":
        return TABLE
    return PLANE if controller.takes_plane else BELTS
