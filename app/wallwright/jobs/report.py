"""The machine-readable report of a job and its verification. Schema: resources/schemas/report.schema.json."""

from __future__ import annotations

from math import isnan
from typing import Any

import msgspec

from wallwright.jobs.hanging_position import anchor_positions_report
from wallwright.jobs.job import Job
from wallwright.jobs.read_back import VerifiedFile
from wallwright.jobs.what_to_type import what_to_type
from wallwright.motion.estimate import refills_of
from wallwright.motion.timetable import stroke_marks
from wallwright.statics.calibration.expected_error import expected_error_over_strokes

FORM = "wallwright report"
ORIGIN = "left anchor of the first hanging, x to the right, y down"
"""Origin of all points, mm, except in what_to_type, which counts from its own hanging's left anchor."""


def _expected_error(job: Job) -> dict[str, Any]:
    pens = [job.document.pens[k] for k in sorted({block.pen for block in job.motion.blocks})]
    found = expected_error_over_strokes(job.document.machine, job.hanging, job.strokes.points, pens)
    return {
        "calibrated": found.calibrated,
        "typical_mm": round(found.typical, 2),
        "worst_mm": round(found.worst, 2),
        "whole_mm": round(found.whole, 2),
        "causes_mm": {cause.key: round(cause.rms, 3) for cause in found.causes},
    }


def _line_of(found: VerifiedFile, stroke: int) -> int | None:
    """Returns the line of a file, from 1, at which a stroke of the job, from 0, begins; None if it is not in the file."""
    at = stroke - found.first_stroke
    return int(found.stroke_lines[at]) if 0 <= at < len(found.stroke_lines) else None


def _places(job: Job, files: dict[str, VerifiedFile]) -> list[dict[str, Any]]:
    """Returns time, position and line in each file for strokes at regular intervals."""
    if not len(job.motion.down):
        return []
    marks, pens = stroke_marks(job.motion), job.document.pens
    return [
        {
            "stroke": k + job.first + 1,
            "pen": pens[job.strokes.pen[k]].name,
            "at_s": round(at, 2),
            "point_mm": [round(x, 1), round(y, 1)],
            "lines": {name: line for name, found in files.items() if (line := _line_of(found, k)) is not None},
        }
        for k, at, (x, y) in zip(marks.strokes.tolist(), marks.time.tolist(), marks.points.tolist(), strict=True)
    ]


def _before(job: Job) -> dict[str, Any] | None:
    """Returns what was drawn before a continued job."""
    if job.before is None:
        return None
    rest = job.before.rest
    return {
        "from_stroke": job.first + 1,
        "from_mm_along": round(rest.place.along, 2),
        "of_strokes": job.of,
        "start_known_by": rest.known_by,
        "lines_up_within_mm": [round(v, 2) for v in job.before.lines_up],
    }


def report(job: Job, verified: dict[str, Any], files: dict[str, VerifiedFile]) -> dict[str, Any]:
    """Returns the report as plain values. verified: entries of the files; files: those that were read back."""
    estimate, pens, filled = job.estimate, job.document.pens, refills_of(job.document, job.motion)
    several = (
        {"places": anchor_positions_report(job.document, job.hanging_index)} if len(job.document.hangings) > 1 else {}
    )
    return {
        "form": FORM,
        "version": 2,
        "project": job.project,
        "origin": ORIGIN,
        "hanging": job.hanging.name,
        "anchors_mm": [[a.x, a.y] for a in (job.hanging.left, job.hanging.right)],
        **several,
        **({"what_to_type": msgspec.to_builtins(what)} if (what := what_to_type(job)) is not None else {}),
        "start_point_mm": list(job.hanging.start_point),
        "start_belts_mm": [round(float(v), 3) for v in job.start_pose.belts[0]],
        "start_counted_mm": [round(float(v), 3) for v in job.counted(job.start_pose.belts)[0]],
        "strokes": len(job.strokes),
        "fingerprint": job.fingerprint,
        "strokes_outside": job.ignored.strokes,
        "drawn_outside_anyway": bool(job.ignored),
        "limits_ignored": job.ignored.report(),
        "total_s": round(estimate.total_s, 2),
        "changing_s": round(estimate.changing_s, 2),
        "drying_s": [round(v, 2) for v in estimate.drying_s],
        "ink_price": round(estimate.ink_price, 2),
        "passes": [
            {
                "pen": pens[p.pen].name,
                "strokes": p.strokes,
                "drawing_s": round(p.drawing_s, 2),
                "travel_s": round(p.travel_s, 2),
                "lifting_s": round(p.lifting_s, 2),
                "ink_m": round(p.ink_m, 4),
                "travel_m": round(p.travel_m, 4),
                "ink_left_m": None if isnan(left := filled.left[p.pen]) else round(left, 3),
            }
            for p in estimate.per_pen
        ],
        "refills": len(filled.runs),
        "belt_run_m": [round(v, 3) for v in estimate.belt_run_m],
        "longest_belt_mm": [round(v, 2) for v in estimate.longest_belt_mm],
        "mean_motor_load": [round(v, 4) for v in estimate.mean_load],
        "largest_motor_load": [round(v, 4) for v in estimate.largest_load],
        "energy_wh": round(estimate.energy_wh, 3),
        "work_j": [round(v, 2) for v in estimate.work_j],
        "swing_mm": round(estimate.swing_mm, 3),
        "corner_mm": round(estimate.corner_mm, 3),
        "bend_mm": {c.kind: round(c.bend, 5) for c in (job.belts, job.plane) if c},
        "expected_error": _expected_error(job),
        "continued": _before(job),
        "stroke_places": _places(job, files),
        "checks": [{"id": c.id, "verdict": c.verdict.value, "title": c.title, "text": c.text} for c in job.checks],
        "verified": verified,
    }
