"""Trials of pen friction: exported belts, drawn by a simulated controller and body."""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np
import shapely

from tests.support.controller import Played, played
from tests.support.dragged_body import DraggedBody
from tests.support.jobs import document_of, planned_job
from wallwright.document import edits
from wallwright.document.document import Document, Fill
from wallwright.document.document import Ink as ColourChoice
from wallwright.document.machine import Belt
from wallwright.jobs.expected_settings import ACCELERATION_RATIO
from wallwright.jobs.job import Job
from wallwright.jobs.motion_table import motion_table
from wallwright.jobs.rs274 import code
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.swing_modes import inertia_of

STEP = 5e-4
"""Time step of the simulation, s."""
DAMPING = 0.01
"""Damping of the tilt, N m s/rad: gives the typical machine at 800, 1000 mm a damping ratio of 0.05, the program's
default."""
BELT_LOSS = 0.02
"""Damping ratio of the body on its elastic belts. Loss factors of rubber are 0.05 to 0.2, which gives 0.025 to 0.1 (from
memory). Without damping, 12 Hz vibration from every change of speed would accumulate over the job."""

SHAPES = {
    "square": "M-30-30H30V30H-30Z",
    "zigzag": "M-30 30L-20-30L-10 30L0-30L10 30L20-30L30 30",
    "circle": "M30 0A30 30 0 1 1-30 0A30 30 0 1 1 30 0",
    "lettering": (
        "M-30 20V-20H-20A10 10 0 0 1-20 0H-30M-20 0L-10 20M-5 5H15A10 10 0 1 0 12 12M30-16C24-24 16-18 19-10"
        "S33 0 31 12S20 24 17 15"
    ),
}
"""Path data, 60 mm wide, centred at 0, 0."""


def hatch_path(angle: float, lines: int = 8, spacing: float = 5.0, length: float = 50.0) -> str:
    """Returns path data of parallel lines at an angle, rad, centred at 0, 0."""
    u, n = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    middles = [n * spacing * (k - (lines - 1) / 2) for k in range(lines)]
    ends = [(m - u * length / 2, m + u * length / 2) for m in middles]
    return "".join(f"M{a[0]:.6f} {a[1]:.6f}L{b[0]:.6f} {b[1]:.6f}" for a, b in ends)


def hatched_area(angle: float, lines: int = 8, spacing: float = 5.0, length: float = 50.0) -> str:
    """Returns path data of the rectangle, centred at 0, 0, covered by a fill of `lines` lines at an angle, rad."""
    u, n = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    corners = [u * length / 2 * i + n * spacing * lines / 2 * j for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return "M" + "L".join(f"{x:.6f} {y:.6f}" for x, y in corners) + "Z"


def document_with(path: str, centre, drag: float, uncertainty: float = 0.0, **limits) -> Document:
    """Returns a document with path data moved to a centre on the wall, mm, and a pen with the entered drag and uncertainty,
    N."""
    return _document(path, 'fill="none" stroke="#202020" stroke-width="0.1"', centre, drag, uncertainty, limits)


def one_way_document(
    angle: float, centre, drag: float, uncertainty: float, lines: int, length: float, **limits
) -> Document:
    """Returns a document with a fill hatched every 5 mm at an angle, rad, with all lines drawn in one direction."""
    path = hatched_area(angle, lines, 5.0, length)
    document = _document(path, 'fill="#202020"', centre, drag, uncertainty, limits)
    order = edits.replace(document.settings.order, fill_lines="one-way")
    document = edits.replace(document, settings=edits.replace(document.settings, order=order))
    ink = ColourChoice("#202020", document.pens[0].id, outline=False, fill=Fill("hatch", 5.0, float(angle)))
    return edits.set_ink(document, document.placements[0].id, ink)


def _document(path: str, look: str, centre, drag: float, uncertainty: float, limits: dict[str, float]) -> Document:
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="80mm" viewBox="-40 -40 80 80">'
        f'<path d="{path}" {look}/></svg>'
    )
    document = document_of(svg.encode(), (80.0, 80.0), centre, 80.0, belt=Belt(mass=0.0))
    machine = document.machine
    machine = edits.replace(machine, limits=edits.replace(machine.limits, **limits))
    pen = edits.replace(document.pens[0], drag=drag, drag_uncertainty=uncertainty)
    return edits.replace(document, machine=machine, pens=(pen,))


@dataclass(frozen=True)
class Ink:
    """Ink of the simulated pen."""

    lines: list[np.ndarray]
    """(n, 2) points of each drawn stroke, mm."""
    wanted: list[np.ndarray]
    """The planned strokes."""
    seconds: float
    """Duration of the program, s."""


def timed(document: Document) -> Document:
    """Returns the document for a controller that follows a timed table."""
    machine = document.machine
    controller = edits.replace(machine.controller, pacing="timed")
    return edits.replace(document, machine=edits.replace(machine, controller=controller))


def belts_in_time(job: Job, form: str = "belts") -> Played:
    """Returns the belts over time. form: "belts" or "coordinates", run by a controller with the file's expected settings;
    "table", which has its own times."""
    if form == "table":
        return _by_table(b"".join(motion_table(job, lambda done: None)).decode(), job.document.machine.lift.lower_time)
    limits, machine = job.document.machine.limits, job.document.machine
    path = job.belts if form == "belts" else job.in_plane
    text = b"".join(code(job, path, lambda done: None)).decode()
    run = played(text, ACCELERATION_RATIO * limits.acceleration, limits.corner_tolerance, STEP)
    if form == "belts":
        return run
    return Played(run.time, controller_to_belts(machine, job.hanging, "plane", run.axes), run.down)


def _by_table(text: str, lowering: float) -> Played:
    """Interpolates belts linearly between lines; the pen touches the wall from and until the middle of its lift, s."""
    rows = np.array([json.loads(line) for line in text.splitlines()[1:]])
    time = np.arange(0.0, rows[-1, 0], STEP)
    belts = np.column_stack([np.interp(time, rows[:, 0], rows[:, k]) for k in (1, 2)])
    down = rows[:, 3] >= 0
    changes = np.flatnonzero(down[1:] != down[:-1]) + 1
    # It is lowered from a travel's last line to the stroke's first; the lift ends before a travel's first line.
    moments = (rows[changes, 0] + rows[changes - 1, 0]) / 2
    moments = np.where(down[changes], rows[changes, 0] - lowering / 2, moments)
    return Played(time, belts, np.searchsorted(moments, time) % 2 == 1)


def drawn_by_controller(
    document: Document,
    true_drag: float,
    job: Job | None = None,
    form: str = "belts",
    inertia: float = 1.0,
    damping: float = 1.0,
) -> Ink:
    """Draws with MuJoCo's body with pen friction, moved by the exported belts. form: see belts_in_time; inertia and damping:
    of the body, as multiples of the plan's values."""
    job = job or planned_job(document)
    rig = job.rig
    played_ = belts_in_time(job, form)
    body = DraggedBody(
        rig.anchors,
        rig.exits,
        rig.centre,
        document.machine.body.mass,
        rig.stiffness,
        true_drag,
        inertia_of(document.machine.body) * 1e-6 * inertia,
        DAMPING * damping,
        BELT_LOSS,
    )
    every = 4
    pens = body.replay(
        played_.time, played_.axes, played_.down, job.motion.pen_xy[0], float(job.start_pose.tilt[0]), every
    )
    down = played_.down[::every]
    edge = np.diff(np.concatenate([[False], down, [False]]).astype(int))
    lines = [pens[a:b] for a, b in zip(np.flatnonzero(edge > 0), np.flatnonzero(edge < 0), strict=True)]
    motion = job.motion
    wanted = [motion.pen_xy[motion.runs[r] : motion.runs[r + 1]] for r in np.flatnonzero(motion.down)]
    assert len(lines) == len(wanted)
    return Ink(lines, wanted, float(played_.time[-1]))


def landing_swings(document: Document, share: float = 1.0) -> tuple[np.ndarray, float]:
    """Returns (k,) the largest distance of the pen from each stroke's start while it is lowered, mm, for the exported
    belts and a body without friction, with inertia and damping multiplied by share; and the duration of the program, s."""
    job = planned_job(document)
    text = b"".join(code(job, job.belts, lambda done: None)).decode()
    limits, rig, motion = document.machine.limits, job.rig, job.motion
    run = played(text, ACCELERATION_RATIO * limits.acceleration, limits.corner_tolerance, STEP)
    mass, inertia = document.machine.body.mass, inertia_of(document.machine.body) * 1e-6 * share
    body = DraggedBody(
        rig.anchors, rig.exits, rig.centre, mass, rig.stiffness, 0.0, inertia, DAMPING * share, BELT_LOSS
    )
    pens = body.replay(
        run.time, run.axes, np.zeros_like(run.down), motion.pen_xy[0], float(job.start_pose.tilt[0]), every=1
    )
    begins = np.flatnonzero(np.diff(run.down.astype(int)) > 0) + 1
    resting = (np.diff(run.axes, axis=0) == 0).all(axis=1)
    swings = []
    for at, stroke in zip(begins, motion.runs[:-1][motion.down], strict=True):
        goes = at + int(np.argmin(resting[at:]))  # the axes move again
        lowering = slice(goes - int(document.machine.lift.lower_time / STEP), goes)
        swings.append(float(np.hypot(*(pens[lowering] - motion.pen_xy[stroke]).T).max()))
    return np.array(swings), float(run.time[-1])


def spacings(ink: Ink, angle: float, share: float = 0.8) -> np.ndarray:
    """Returns the distances between neighbouring lines of a hatch, mm, along the middle share of their length."""
    u, n = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    order = np.argsort([w.mean(axis=0) @ n for w in ink.wanted])
    ends = np.array([w @ u for w in (ink.wanted[0][[0, -1]],)])[0]
    middle, half = ends.mean(), share * np.ptp(ends) / 2
    stations = np.linspace(middle - half, middle + half, 41)
    across = []
    for k in order:
        along = ink.lines[k] @ u
        by = np.argsort(along)
        across.append(np.interp(stations, along[by], (ink.lines[k] @ n)[by]))
    return np.diff(np.array(across), axis=0)


def deviations(ink: Ink) -> tuple[float, float]:
    """Returns the largest and RMS distance of the ink from the planned lines, mm; the largest includes missing ink."""
    far, missing = [], 0.0
    for line, wanted in zip(ink.lines, ink.wanted, strict=True):
        path, found = shapely.LineString(wanted), shapely.LineString(line)
        # Evenly along the ink, so that a resting pen counts once.
        even = shapely.line_interpolate_point(found, np.arange(0.0, found.length, 0.25))
        far.append(shapely.distance(even, path))
        even = shapely.line_interpolate_point(path, np.append(np.arange(0.0, path.length, 0.5), path.length))
        missing = max(missing, float(shapely.distance(even, found).max()))
    distance = np.concatenate(far)
    return max(float(distance.max()), missing), float(np.sqrt((distance**2).mean()))
