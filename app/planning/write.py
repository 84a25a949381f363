"""From a plan to the files of its job."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import numpy as np

from app.document.atomic import write_atomic
from app.document.document import Document
from app.document.errors import BadFile, BadValue
from app.document.language import tr
from app.document.register import RegisterMark
from app.jobs.checks import Verdict
from app.jobs.coordinates import Coordinates, coordinates
from app.jobs.job import Job
from app.jobs.read_back import Mismatch
from app.jobs.register_file import LIST, VISIT, verify_visit, visit_code, visit_list, visit_of
from app.jobs.wall_report import WALL_REPORT, folder_of, wall_report
from app.jobs.write import write_job, write_report
from app.motion.paced import apart, paced, runs_in
from app.planning.plan import Plan, Request
from app.planning.register import drawn_by
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
    motion, step = plan.motion, 1 / document.machine.steps_per_mm
    runs, time = (
        paced(motion, step)
        if document.machine.controller.pacing == "accelerating"
        else (runs_in(motion, apart(motion, motion.vertex, step)), None)
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
    plane_code = plane
    if plane is not None and document.machine.controller.curves == "arcs":
        from app.jobs.arcs import with_arcs  # numba: slow to import

        plane_code = with_arcs(document, place, plan.motion, plane, field)
    outside = 0
    if document.settings.outside == "override":
        hit = np.flatnonzero(plan.preview.outside.bits)
        outside = len(np.unique(plan.preview.strokes.stroke_of_point[hit]))
    return Job(
        document, hanging, rig, plan.strokes, plan.motion, plan.estimate, plan.checks, belts, plane,
        plane_code, hang(rig, datum[None]), outside, plan.before,
        leaves=drawn_by(document, hanging, plan.preview.marks),
        seeks=plan.preview.marks.get(hanging, ()),
    )  # fmt: skip


def write_plan(
    request: Request, document: Document, plan: Plan, progress: Callable[[str, float], None], folder: str = ""
) -> tuple[str, ...]:
    """Writes the job of a plan of a document into the request's folder, or another one; returns the files. Raises
    Trouble."""
    job = job_of(document, plan.hanging, plan, progress)
    named = dataclasses.replace(job, project=request.project)
    place = folder or request.folder
    files = write_job(place, named, progress)
    marks = plan.preview.marks.get(plan.hanging, ())
    if not marks or plan.before is not None:
        return files
    return (*files, *write_visit(place, document, plan.hanging, marks))


def write_visit(
    folder: str, document: Document, hanging: int, marks: tuple[RegisterMark, ...]
) -> tuple[str, ...]:
    """Writes the program that visits the register marks, read back and compared, and the list to fill in; returns the
    files. Raises BadFile."""
    visit = visit_of(document, hanging, marks)
    code, table = Path(folder) / VISIT, Path(folder) / LIST
    write_atomic(code, visit_code(document, visit))
    try:
        verify_visit(code.read_bytes(), visit)
    except (Mismatch, OSError) as error:
        code.unlink(missing_ok=True)
        raise BadFile(tr("{0} did not read back as planned ({1}). Export again.", code, error)) from error
    write_atomic(table, visit_list(marks))
    return str(code), str(table)


def write_wall(
    request: Request, document: Document, plans: tuple[Plan, ...], progress: Callable[[str, float], None]
) -> tuple[str, ...]:
    """Writes the job of every hanging that draws something into a folder of its own, and a report of them all; returns
    the files. Raises Trouble; nothing is written while a check of one of them is bad."""
    drawn = [plan for plan in plans if len(plan.strokes)]
    bad = [
        f"{document.hangings[p.hanging].name}: {c.title}: {c.text}"
        for p in drawn or plans
        for c in p.checks
        if c.verdict is Verdict.BAD
    ]
    if bad:
        raise BadValue(tr("The job is not exported.") + " " + " ".join(bad))
    files: list[str] = []
    for number, plan in enumerate(drawn):

        def part(stage: str, done: float, number=number) -> None:
            progress(stage, (number + done) / len(drawn))

        place = str(Path(request.folder) / folder_of(plan.hanging))
        files.extend(write_plan(request, document, plan, part, place))
    told = wall_report(document, [(plan.hanging, plan.strokes, plan.estimate) for plan in drawn])
    return (*files, write_report(Path(request.folder) / WALL_REPORT, told))
