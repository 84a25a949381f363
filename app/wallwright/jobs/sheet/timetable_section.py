"""The part of the hanging sheet that helps to go on after trouble: where the job is at which time, and how a rest begins."""

from __future__ import annotations

from html import escape

import numpy as np

from wallwright.document.language import N_, format_number, tr
from wallwright.jobs.file_names import file_for
from wallwright.jobs.job import Job
from wallwright.jobs.post_processor import PostProcessor
from wallwright.motion.timetable import TimetableRow
from wallwright.motion.timetable import timetable as rows_of
from wallwright.statics.pose import inverse_kinematics

COLUMNS = 2
"""Of the timetable, side by side."""

SHORT = 18
"""Characters of a name that stay on one line."""

HANG_IT = N_(
    "Hang the body. Set both belts to their starting lengths: measure with a tape from the anchor to where the belt "
    "leaves the body."
)
CHECK_PEN = N_("Check the pen's position: measure right and down from this hanging's left anchor.")
ANCHORS_AGAIN = N_(
    "Measure from anchor to anchor and check the level again. If a measurement differs from this sheet by more "
    "than 2 mm, an anchor has moved: enter it in the project and export again."
)
BEGIN = {
    "start": (HANG_IT, CHECK_PEN),
    "tape": (
        N_(
            "Leave the machine where it hangs: the starting point above is where the pen was measured. If it "
            "was moved, measure and export again."
        ),
    ),
}
SLIPPED = N_(
    "Move the machine to where its own count is {0:.2f} and {1:.2f} mm, the starting point of the whole job. "
    "Leave the belts as they are. Because of the slip, the pen is then at the starting point above."
)
WIND_IN = N_(
    "Lay the body on a table below the anchors, with the belts free. At the first pause wind both belts in to their "
    "stops ({0:.0f} and {1:.0f} mm from anchor to exit). The program then lets them out. At the next pause hang the body."
)
SET_COUNT = N_(
    "Set the controller to {0} while the machine hangs at the starting point above: the file does not set its position."
)
GO = N_("Insert the pen, pen up. Run <b>{0}</b> from its beginning and no other file.")
GO_PRESET = N_(
    "Insert the pen, pen up. Run <b>{0}</b> from its beginning and no other file: its first lines set the "
    "controller's position."
)
LOOK = N_(
    "The machine pauses once, pen up, where the line continues. If the pen is off, do not resume: measure "
    "how far right and down, choose “It draws off its position” and export again."
)


def rest_steps(job: Job) -> list[str]:
    """What to do at the wall before the rest of a job."""
    assert job.before is not None, "a whole job has no steps of a rest"
    known_by, controller = job.before.rest.known_by, job.document.machine.controller
    own = job.file(file_for(controller))
    is_table = controller.pacing == "timed"
    if controller.code.start == "stop" and not is_table:
        begin = [wind_in_step(job)]
    elif known_by == "slip":
        counts = job.counted(inverse_kinematics(job.rig, np.array([job.before.start_point])).belts)[0]
        begin = [tr(SLIPPED, *counts)]
    else:
        begin = [tr(step) for step in BEGIN[known_by]]
    if controller.code.start == "none" and not is_table:
        post, path = PostProcessor(job.document.machine), job.code_in_plane if controller.takes_plane else job.belts
        begin.append(tr(SET_COUNT, post.position(path.values[0])))
    go = GO_PRESET if controller.code.start == "preset" and not is_table else GO
    return [tr(ANCHORS_AGAIN), *begin, tr(go, own), *([] if is_table else [tr(LOOK)])]


def wind_in_step(job: Job) -> str:
    """How belts that are wound in to their stops get their starting lengths."""
    belt = job.document.machine.belt
    return tr(WIND_IN, belt.left_stop, belt.right_stop)


def clock(seconds: float, has_seconds: bool) -> str:
    """ "0:05", "1:20" hours and minutes; "0:00:30" with seconds."""
    whole = round(seconds)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02d}:{rest:02d}" if has_seconds else f"{hours}:{minutes:02d}"


def timetable(job: Job) -> str:
    """Which stroke is drawn where at which time."""
    rows = rows_of(job.motion)
    if not rows:
        return ""
    half = -(-len(rows) // COLUMNS)
    has_seconds = any(round(row.since) % 60 for row in rows)
    heads = "".join(f"<th>{head}</th>" for head in (tr("pen"), tr("time"), tr("stroke"), tr("right"), tr("down")))
    lines = []
    for i in range(half):
        pair = [rows[i + half * k] for k in range(COLUMNS) if i + half * k < len(rows)]
        lines.append(
            "<tr>" + "<td>&nbsp;&nbsp;&nbsp;</td>".join(_cells(job, row, has_seconds) for row in pair) + "</tr>"
        )
    note = tr(
        "Where the drawing is, in {1} since each pen began. Strokes are numbered from 1 to {0}. Positions are mm right of "
        "and below this hanging's left anchor. If the job stops, find its stroke here by the clock or on the wall. Then "
        "choose “Job › Continue from here”.",
        job.of,
        tr("h:min:s") if has_seconds else tr("h:min"),
    )
    controller = job.document.machine.controller
    if job.drawing is None and controller.pacing != "timed" and controller.code.comments != "none":
        note += " " + tr("The file gives the number before each stroke.")
    note += " " + tr("Fingerprint of the strokes: {0}. The numbers are valid while it is the same.", job.fingerprint)
    between = f"<th></th>{heads}" if len(rows) > 1 else ""
    return (
        f"<h2>{tr('If it stops: where to continue')}</h2><p>{note}</p>"
        f"<table><tr>{heads}{between}</tr>{''.join(lines)}</table>"
    )


def _cells(job: Job, row: TimetableRow, has_seconds: bool) -> str:
    pen, left = job.document.pens[job.motion.blocks[row.block].pen], job.hanging.left
    x, y = row.point
    name = escape(pen.name).replace(" ", "&nbsp;") if len(pen.name) <= SHORT else escape(pen.name)
    return (
        f"<td><span style='color:{pen.colour}'>■</span>&nbsp;{name}</td><td>{clock(row.since, has_seconds)}</td>"
        f"<td class='n'>{row.stroke + job.first + 1}</td><td class='n'>{format_number(x - left.x, '.0f')}</td>"
        f"<td class='n'>{format_number(y - left.y, '.0f')}</td>"
    )
