"""What the files of a job are called, and which of them a controller runs."""

from __future__ import annotations

import re

from wallwright.document.controller import Controller

BELTS, PLANE, SVG, TABLE = "belts.ngc", "plane.ngc", "corrected.svg", "motion.jsonl"
VISIT, LIST = "register.ngc", "register.csv"
SHEET = "hanging-sheet.pdf"
REPORT = "report.json"
CSV, BINARY = "motion.csv", "motion.bin"
LIMITS_IGNORED = "-LIMITS-IGNORED"
"""In the name of a file that has no room for a sentence: it is of a job that ignores limits."""
ALL_PENS, REGISTER = "all-pens.svg", "register.svg"
DRAWING_NAME = re.compile(r"(\d+-[\w-]+|(all-pens|register)(-from-stroke-\d+)?)\.svg")
"""What the files for a machine that takes drawings are called."""
PART_NAME = re.compile(r"(belts|plane)(-LIMITS-IGNORED)?(-from-stroke-\d+)?-part-\d+\.ngc")
"""What the files of a program that is split are called."""


def marked_name(name: str) -> str:
    """The name of a file whose job ignores limits, where the file itself has no room to say so."""
    stem, _, kind = name.rpartition(".")
    return f"{stem}{LIMITS_IGNORED}.{kind}"


JOB_NAMES = (
    *(BELTS, PLANE, SVG, TABLE, CSV, BINARY, SHEET, REPORT, VISIT, LIST),
    *(marked_name(name) for name in (BELTS, PLANE, CSV, BINARY, VISIT)),
)
"""Every file that a whole job can have, drawings and parts of programs aside: those of an earlier job must not pass for one
of this."""


def name_for(name: str, controller: Controller, ignores_limits: bool) -> str:
    """What one of a job's files is called: where it ignores limits and the file has no room for words, its name says so.
    Tables for own firmware have none, nor has RS-274 without comments."""
    is_code = name in (BELTS, PLANE, VISIT) and controller.code.comments == "none"
    return marked_name(name) if ignores_limits and (is_code or name in (CSV, BINARY)) else name


def file_for(controller: Controller) -> str:
    """The file that such a controller runs; the others would send another kind astray. A machine that takes drawings has
    several, which what_to_type names."""
    if controller.pacing == "timed":
        return TABLE
    return PLANE if controller.takes_plane else BELTS
