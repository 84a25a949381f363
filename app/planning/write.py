"""From a plan to the files of its job."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from app.document.document import Document
from app.document.errors import BadValue
from app.document.language import tr
from app.jobs.checks import Verdict
from app.jobs.coordinates import Coordinates, coordinates
from app.jobs.job import Job
from app.jobs.write import write_job
from app.motion.paced import paced, runs_in
from app.planning.plan import Plan
from app.statics.field import BeltField
from app.statics.pose import hang
from app.statics.rig import Rig


def job_of(document: Document, hanging: int, plan: Plan, progress: Callable[[str, float], None]) -> Job:
    """The job of a plan. Raises BadValue while a check is bad."""
    bad = [c for c in plan.checks if c.verdict is Verdict.BAD]
    if bad:
        raise BadValue(tr("The job is not exported.") + " " + " ".join(f"{c.title}: {c.text}" for c in bad))
    place = document.hangings[hanging]
    rig = Rig.of(document.machine, place)
    datum = np.array(place.datum, dtype=float)
    runs, time = (
        paced(plan.motion)
        if document.machine.controller.pacing == "accelerating"
        else (runs_in(plan.motion), None)
    )
    field = BeltField(rig, runs.points)

    def path(kind: str) -> Coordinates:
        return coordinates(document, place, runs, field, kind, time, lambda d: progress("write", 0.0))

    belts = path("belts")
    try:
        plane = path("plane")
    except BadValue:  # said by the check of the controller's formula
        if document.machine.controller.takes == "plane":
            raise
        plane = None
    outside = 0
    if document.settings.outside == "override":
        hit = np.flatnonzero(plan.preview.outside)
        outside = len(np.unique(plan.preview.strokes.stroke_of_point[hit]))
    return Job(
        document, hanging, rig, plan.strokes, plan.motion, plan.estimate, plan.checks, belts, plane,
        hang(rig, datum[None]), outside,
    )  # fmt: skip


def write_plan(
    folder: str, document: Document, hanging: int, plan: Plan, progress: Callable[[str, float], None]
) -> tuple[str, ...]:
    """Writes the job into a folder; returns the files. Raises Trouble."""
    return write_job(folder, job_of(document, hanging, plan, progress), progress)
