"""The report: what the job is and what was verified, for programs. Schema: resources/schemas/report.schema.json."""

from __future__ import annotations

from typing import Any

from app.jobs.job import Job
from app.jobs.places import places_told
from app.statics.calibration.expected import over_strokes


def _expected_error(job: Job) -> dict[str, Any]:
    found = over_strokes(job.document.machine, job.hanging, job.strokes.points)
    return {
        "calibrated": found.calibrated,
        "typical_mm": round(found.typical, 2),
        "worst_mm": round(found.worst, 2),
        "causes_mm": {name: round(size, 3) for name, size in found.parts},
    }


def report(job: Job, verified: dict[str, Any]) -> dict[str, Any]:
    """The report as plain values."""
    estimate, pens = job.estimate, job.document.pens
    several = (
        {"places": places_told(job.document, job.hanging_index)} if len(job.document.hangings) > 1 else {}
    )
    return {
        "form": "wallwright report",
        "version": 1,
        "hanging": job.hanging.name,
        "anchors_mm": [[a.x, a.y] for a in (job.hanging.left, job.hanging.right)],
        **several,
        "datum_mm": list(job.hanging.datum),
        "datum_belts_mm": [round(float(v), 3) for v in job.datum.belts[0]],
        "datum_counted_mm": [round(float(v), 3) for v in job.counted(job.datum.belts)[0]],
        "strokes": len(job.strokes),
        "strokes_outside": job.outside,
        "overridden": job.outside > 0,
        "total_s": round(estimate.total_s, 2),
        "passes": [
            {
                "pen": pens[p.pen].name,
                "strokes": p.strokes,
                "drawing_s": round(p.drawing_s, 2),
                "travel_s": round(p.travel_s, 2),
                "lifting_s": round(p.lifting_s, 2),
                "ink_m": round(p.ink_m, 4),
                "travel_m": round(p.travel_m, 4),
            }
            for p in estimate.per_pen
        ],
        "belt_run_m": [round(v, 3) for v in estimate.belt_run_m],
        "longest_belt_mm": [round(v, 2) for v in estimate.longest_belt_mm],
        "mean_motor_load": [round(v, 4) for v in estimate.mean_load],
        "largest_motor_load": [round(v, 4) for v in estimate.largest_load],
        "energy_wh": round(estimate.energy_wh, 3),
        "swing_mm": round(estimate.swing_mm, 3),
        "bend_mm": {c.kind: round(c.bend, 5) for c in (job.belts, job.plane) if c},
        "expected_error": _expected_error(job),
        "checks": [
            {"id": c.id, "verdict": c.verdict.value, "title": c.title, "text": c.text} for c in job.checks
        ],
        "verified": verified,
    }
