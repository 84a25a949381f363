"""Names of a job's files, and which of them a controller runs."""

from __future__ import annotations

import re

from wallwright.document.controller import Controller

BELTS, PLANE, SVG, TABLE = "belts.ngc", "plane.ngc", "corrected.svg", "motion.jsonl"
VISIT, LIST = "register.ngc", "register.csv"
SHEET = "hanging-sheet.pdf"
REPORT = "report.json"
CSV, BINARY = "motion.csv", "motion.bin"
LIMITS_IGNORED = "-LIMITS-IGNORED"
"""Suffix that marks a job that ignores limits, for files without room for a sentence."""
ALL_PENS, REGISTER = "all-pens.svg", "register.svg"
DRAWING_NAME = re.compile(r"(\d+-[\w-]+|(all-pens|register)(-from-stroke-\d+)?)\.svg")
"""Matches names of files for a machine that takes drawings."""
PART_NAME = re.compile(r"(belts|plane)(-LIMITS-IGNORED)?(-from-stroke-\d+)?-part-\d+\.ngc")
"""Matches names of files of a split program."""


def marked_name(name: str) -> str:
    """Returns the marked name of a file whose job ignores limits, where the file has no room to say so."""
    stem, _, kind = name.rpartition(".")
    return f"{stem}{LIMITS_IGNORED}.{kind}"


JOB_NAMES = (
    *(BELTS, PLANE, SVG, TABLE, CSV, BINARY, SHEET, REPORT, VISIT, LIST),
    *(marked_name(name) for name in (BELTS, PLANE, CSV, BINARY, VISIT)),
)
"""Every file that a whole job can have, except drawings and parts of programs: those of an earlier job must not be mistaken
for this job's."""


def name_for(name: str, controller: Controller, ignores_limits: bool) -> str:
    """Returns the name of one of a job's files, marked where the job ignores limits and the file has no room to say so:
    tables for custom firmware, and RS-274 without comments."""
    is_code = name in (BELTS, PLANE, VISIT) and controller.code.comments == "none"
    return marked_name(name) if ignores_limits and (is_code or name in (CSV, BINARY)) else name


def file_for(controller: Controller) -> str:
    """Returns the file that a controller of this kind runs; others would misdirect it. A machine that takes drawings has
    several, listed by what_to_type."""
    if controller.pacing == "timed":
        return TABLE
    return PLANE if controller.takes_plane else BELTS
