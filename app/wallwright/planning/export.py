"""Writes the files of a job from its plan."""

from __future__ import annotations

import csv
import dataclasses
import io
from collections.abc import Callable
from pathlib import Path

import numpy as np

from wallwright.document.document import Document
from wallwright.document.edits import file_title
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.register import RegisterMark
from wallwright.jobs.arcs import with_arcs
from wallwright.jobs.checks import Verdict
from wallwright.jobs.coordinates import ControllerPath, controller_coordinates
from wallwright.jobs.drawing_files import drawing_set
from wallwright.jobs.file_formats import formats_of, run_files
from wallwright.jobs.file_names import JOB_NAMES, LIST, REPORT, VISIT
from wallwright.jobs.file_set import FileSet, file_set, write_synced
from wallwright.jobs.hanging_position import folder_of, hanging_folders
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.jobs.job import Job, NeighbourInk
from wallwright.jobs.job_writer import (
    earlier_drawings,
    job_names,
    refuse_foreign_drawings,
    write_job,
    write_report,
)
from wallwright.jobs.register_file import verify_visit, visit_code, visit_list, visit_of
from wallwright.jobs.wall_report import WALL_REPORT, wall_report
from wallwright.motion.constant_feed import runs_of_motion, spaced_samples, timed_points, with_ramp_points
from wallwright.motion.friction import Drag
from wallwright.motion.plan import Estimate
from wallwright.motion.ramp_points import move_limits
from wallwright.planning.drawing_outside import limits_ignored_by
from wallwright.planning.plan import Plan, Request, StrokePreview
from wallwright.planning.register_marks import drawn_by
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import ControllerKind
from wallwright.statics.drag_field import DraggedBelts
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

PATHS_SHARE = 0.3
"""Share of the time of writing a job that computing the paths in the controller's coordinates takes. The files take the
rest."""


def job_of(document: Document, hanging: int, plan: Plan, progress: Callable[[str, float], None]) -> Job:
    """Returns the job of a plan. Raises BadValue while a check has an error."""
    bad = [c for c in plan.checks if c.verdict is Verdict.ERROR]
    if bad:
        raise BadValue(tr("The job was not exported.") + " " + " ".join(f"{c.title}: {c.text}" for c in bad))
    if not len(plan.strokes):
        reasons = [f"{c.title}: {c.text}" for c in plan.checks if c.id == "drawable"]
        raise BadValue(" ".join([tr("The job was not exported."), *(reasons or [tr("There is nothing to draw.")])]))
    place = document.hangings[hanging]
    rig = CableRobotModel.of(document.machine, place)
    start_point = np.array(place.start_point, dtype=float)
    motion, step = plan.motion, 1 / document.machine.steps_per_mm
    if document.machine.controller.pacing == "timed":
        motion = with_ramp_points(motion, move_limits(document, motion, rig), step)
    has_times = document.machine.controller.pacing == "accelerating"
    drag, time = Drag.of(document), None
    if has_times:
        runs, time, load = timed_points(motion, move_limits(document, motion, rig), step)
    else:
        kept = spaced_samples(motion, motion.vertex, step)
        runs, load = runs_of_motion(motion, kept), motion.load[kept].copy()
        if drag.feet <= 0:  # without ramps belts do not lead
            load[:, 2:] = 0.0
    field = DraggedBelts(rig, runs.points, drag.most, drag.at_centre)

    friction = load if drag.has_load else None

    def path(kind: ControllerKind, before: float) -> ControllerPath:
        def part(done: float) -> None:
            progress("write", PATHS_SHARE * (before + done / 2))

        found = controller_coordinates(document, place, runs, field, kind, time, friction, part)
        return dataclasses.replace(found, settling=motion.settling)

    belts = path("belts", 0.0)
    try:
        plane = path("plane", 0.5)
    except BadValue:  # reported by the formula check
        if document.machine.controller.takes_plane:
            raise
        plane = None
    plane_code = plane
    if plane is not None and document.machine.controller.curves == "arcs":
        plane_code = with_arcs(document, place, plan.motion, plane, field)
    job = Job(
        document,
        hanging,
        rig,
        plan.strokes,
        motion,
        plan.estimate,
        plan.checks,
        belts,
        plane,
        plane_code,
        inverse_kinematics(rig, start_point[None]),
        limits_ignored_by(document, plan),
        plan.before,
        leaves=drawn_by(document, hanging, plan.preview.marks),
        seeks=plan.preview.marks.get(hanging, ()),
    )
    if document.machine.controller.takes == "drawing":
        return dataclasses.replace(job, drawing=drawing_set(job))
    return job


def _job_on_wall(
    request: Request, document: Document, whole: StrokePreview, plan: Plan, progress: Callable[[str, float], None]
) -> Job:
    """The job of a plan with what its sheet shows besides. whole: the preview of the whole wall."""
    neighbours = tuple(
        NeighbourInk(number, part.strokes)
        for number, part in enumerate(whole.by_hanging)
        if number != plan.hanging and len(part.strokes)
    )
    return dataclasses.replace(
        job_of(document, plan.hanging, plan, progress),
        project=file_title(request.project),
        neighbours=neighbours,
        handover_lines=whole.row.lines if whole.row is not None else (),
    )


def sheet_pages(
    request: Request, document: Document, whole: StrokePreview, plan: Plan, progress: Callable[[str, float], None]
) -> tuple[bytes, ...]:
    """Returns the pages of the hanging sheet that an export of this plan would write, PNG. whole: the preview of the whole
    wall. Raises UserError."""
    from wallwright.jobs.sheet.pdf import sheet_pictures  # imports Qt: only needed when a sheet is made

    job = _job_on_wall(request, document, whole, plan, progress)
    return sheet_pictures(job, run_files(job, [form.file for form in formats_of(job)]))


def write_plan(
    request: Request, document: Document, whole: StrokePreview, plan: Plan, progress: Callable[[str, float], None]
) -> tuple[str, ...]:
    """Writes the job of a plan into the request's folder; returns the files. whole: the preview of the whole wall. Raises
    UserError."""
    job = _job_on_wall(request, document, whole, plan, progress)
    folder = Path(request.folder)
    with file_set(folder) as files:
        refuse_foreign_drawings(folder, job)
        names = _stage_plan(files, "", document, plan, job, progress)
        files.publish(names, [*job_names(job), *earlier_drawings(folder, job.file(REPORT))])
    return tuple(str(Path(request.folder) / name) for name in names)


def _stage_plan(
    files: FileSet, folder: str, document: Document, plan: Plan, job: Job, progress: Callable[[str, float], None]
) -> tuple[str, ...]:
    """Writes a job, and the files for visiting its register marks, into a folder of the set's stage; returns the paths in
    the set."""
    marks = plan.preview.marks.get(plan.hanging, ())
    visits = _stage_visit(files.stage / folder, job, marks) if marks and plan.before is None else ()
    _keep_readings(files.folder / folder / LIST)

    def part(stage: str, done: float) -> None:
        progress(stage, PATHS_SHARE + (1 - PATHS_SHARE) * done)

    return write_job(files, folder, job, part, visits)


def _stage_visit(stage: Path, job: Job, marks: tuple[RegisterMark, ...]) -> tuple[str, ...]:
    """Writes the list of register marks to fill in and, where the controller runs programs, the program that visits them,
    read back and compared; returns their names. Raises OSError and Mismatch."""
    stage.mkdir(exist_ok=True)
    write_synced(stage / LIST, visit_list(job.document, job.hanging, marks, job.ignored))
    document = job.document
    if document.machine.controller.takes == "drawing":  # one of its drawings marks the pen's actual position
        return (LIST,)
    visit = visit_of(document, job.hanging_index, marks)
    name = job.file(VISIT)
    write_synced(stage / name, visit_code(document, visit, job.ignored))
    verify_visit((stage / name).read_bytes(), document, visit, job.ignored)
    return name, LIST


def _keep_readings(path: Path) -> None:
    """Copies a filled-in list of register marks to a backup before an export replaces it. Raises OSError."""
    if not path.is_file():
        return
    data = path.read_bytes()
    rows = csv.DictReader(io.StringIO(data.decode("utf-8", "replace")))
    if not any(row.get(name) for row in rows for name in ("right", "down")):
        return
    number = 1
    while (copy := path.with_stem(f"{path.stem}-filled-in-{number}")).exists():
        if copy.is_file() and copy.read_bytes() == data:
            return
        number += 1
    write_synced(copy, data)


def write_wall(
    request: Request,
    document: Document,
    whole: StrokePreview,
    plans: tuple[Plan, ...],
    progress: Callable[[str, float], None],
) -> tuple[str, ...]:
    """Writes the job of every hanging that draws something into its folder, and a report on all of them; returns the files.
    whole: the preview of the whole wall. Raises UserError; nothing is written while a check of any of them has an error."""
    drawn = [plan for plan in plans if len(plan.strokes)]
    bad = [
        f"{document.hangings[p.hanging].name}: {c.title}: {c.text}"
        for p in drawn or plans
        for c in p.checks
        if c.verdict is Verdict.ERROR
    ]
    if bad:
        raise BadValue(tr("The job was not exported.") + " " + " ".join(bad))
    if not drawn:
        raise BadValue(tr("The job was not exported.") + " " + tr("There is nothing to draw."))
    top = Path(request.folder)
    with file_set(top) as files:
        names: list[str] = []
        taken: list[tuple[int, Strokes, Estimate, IgnoredLimits]] = []
        for number, plan in enumerate(drawn):

            def part(stage: str, done: float, number: int = number) -> None:
                progress(stage, (number + done) / len(drawn))

            job = _job_on_wall(request, document, whole, plan, part)
            refuse_foreign_drawings(top / folder_of(plan.hanging), job)
            names.extend(_stage_plan(files, folder_of(plan.hanging), document, plan, job, part))
            taken.append((plan.hanging, plan.strokes, plan.estimate, job.ignored))
        write_report(files.stage / WALL_REPORT, wall_report(document, taken))
        names.append(WALL_REPORT)
        # Includes hangings of an earlier export that no longer exist.
        old = [
            f"{folder.name}/{name}"
            for folder in hanging_folders(top)
            for name in (*JOB_NAMES, *earlier_drawings(folder))
        ]
        files.publish(names, [WALL_REPORT, *old])
    return tuple(str(top / name) for name in names)
