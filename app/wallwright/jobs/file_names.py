"""What the files of a job are called, and which of them a controller runs."""

from __future__ import annotations

from wallwright.document.machine import Controller

BELTS, PLANE, SVG, TABLE = "belts.ngc", "plane.ngc", "corrected.svg", "motion.jsonl"
SHEET = "hanging-sheet.pdf"
REPORT = "report.json"


def file_for(controller: Controller) -> str:
    """The file that such a controller runs; the others would send another kind astray."""
    if controller.pacing == "timed":
        return TABLE
    return BELTS if controller.takes == "belts" else PLANE
