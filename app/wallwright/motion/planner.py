"""Plans a timed motion from strokes: sampled path, limits along it, speed profile, and times including the pen lift."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Document
from wallwright.document.origin import left_anchor
from wallwright.motion.detours import DetourFinder
from wallwright.motion.friction import Drag, with_friction
from wallwright.motion.known_runs import KnownRuns
from wallwright.motion.lead import LEAD_RAMP_DIVISOR, leading_pens
from wallwright.motion.path import RAMP_DIVISOR, build_runs, sample_runs
from wallwright.motion.path_constraints import ramp_lengths
from wallwright.motion.plan import Motion
from wallwright.motion.run_timing import RunTiming
from wallwright.motion.swing import SwingField
from wallwright.motion.travels import with_fastest_travels
from wallwright.motion.unreachable import check_moves, refuse_unreachable_start
from wallwright.statics.belt_field import BeltField, bounds
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.drag_field import LOAD_COLUMNS, DragField
from wallwright.statics.pen_tip import holder_strokes
from wallwright.statics.pose import inverse
from wallwright.strokes.strokes import Strokes


def plan_motion(
    document: Document,
    hanging: int,
    rig: CableRobotModel,
    strokes: Strokes,
    progress: Callable[[float], None] = lambda done: None,
) -> Motion:
    """Returns the timed motion of ordered strokes in one hanging; all numbers are finite.

    Raises BadValue if the path has a point where the machine cannot hang or cannot move.
    """
    return time_runs(document, hanging, rig, strokes, progress).motion


def time_runs(
    document: Document,
    hanging: int,
    rig: CableRobotModel,
    strokes: Strokes,
    progress: Callable[[float], None] = lambda done: None,
    known: KnownRuns | None = None,
) -> KnownRuns:
    """Returns the same with data that speeds up the planning of the next motion.

    known: of a motion with the same machine, hanging and pens. Its runs are reused unless the pen would swing too far
    because of what is drawn before them; the result therefore depends on that motion.
    """
    progress(0.0)
    place = document.hangings[hanging]
    ways = DetourFinder(document.wall, document.machine, place)
    change = None if place.pen_change is None else np.array(place.pen_change, dtype=float)
    start_point = np.array(place.start_point, dtype=float)
    asked = build_runs(holder_strokes(rig, strokes, document.pens), start_point, _nearest(document), change)
    if not len(asked.down):
        return KnownRuns(_nothing(), asked, np.zeros(0), np.zeros((0, 3)))
    origin = left_anchor(document, place)
    refuse_unreachable_start(rig, start_point, origin)  # before the box around it is computed, which may be large
    progress(0.1)
    if known is not None and not len(known.asked.down):
        known = None
    old = np.full(len(asked.down), -1) if known is None else known.find(asked)
    field, swing = BeltField(rig, asked.points), SwingField(rig, document.machine, asked.points)
    progress(0.2)
    lines = {}
    if known is not None:
        lines = {i: known.vertices(old[i]) for i in np.flatnonzero((old >= 0) & known.is_bent[old]).tolist()}
    runs = with_fastest_travels(
        document, rig, field, swing, asked, ways, lambda d: progress(0.2 + 0.05 * d), old < 0, lines
    )
    if (_box(runs.points) != _box(asked.points)).any():
        field, swing = BeltField(rig, runs.points), SwingField(rig, document.machine, runs.points)
    drag, ramp, finest = Drag.of(document), ramp_lengths(document, runs), float(RAMP_DIVISOR)
    if drag.lead > 0:
        ramp, finest = (
            np.where(runs.down & leading_pens(document)[runs.pen], ramp / LEAD_RAMP_DIVISOR, ramp),
            2.0 * LEAD_RAMP_DIVISOR,
        )
    samples = sample_runs(runs, ramp=ramp, tolerance=document.machine.limits.corner_tolerance, finest=finest)
    rubbing = DragField(rig, runs.points, drag.most, drag.at_centre) if drag.has_load else None
    if rubbing is not None and drag.is_active:
        samples = with_friction(
            drag, runs, samples, _moved_by(field, rubbing), document.machine.limits.corner_tolerance
        )
    progress(0.25)
    work = RunTiming(document, origin, field, swing, runs, samples, rubbing)
    # Each run begins with the feet's force at the end of the previous one, and with the pens' weight.
    if known is not None and drag.feet <= 0 and not drag.weights.any():
        work.take(known, old)
    work.find_belts(lambda d: progress(0.25 + 0.1 * d))
    work.find_profile(lambda d: progress(0.35 + 0.65 * d))
    check_moves(samples, work.time, origin)
    work.lead_belts()
    motion = Motion(
        work.time,
        samples.points,
        work.belts,
        work.speed,
        work.tension,
        work.swing,
        work.farthest,
        samples.vertex >= 0,
        samples.runs,
        runs.down,
        runs.stroke,
        runs.blocks,
        work.load,
        samples.takes_up,
        work.settling,
        work.landing,
    )
    return KnownRuns(motion, asked, work.max_acceleration, work.endings)


def _moved_by(field: BeltField, rubbing: DragField) -> Callable[[Points, Floats], Floats]:
    """Returns (n, 2) mm: how far forces on pen and feet, (n, 4) N, move a free pen at (n, 2) points, mm, with the belts
    held."""

    def moves(points: Points, load: Floats) -> Floats:
        belts, _ = rubbing.changes(points, load)
        found: Floats = -np.einsum("nij,nj->ni", inverse(field.slopes(points).gradient), belts)
        return found

    return moves


def _nearest(document: Document) -> float:
    """Returns the distance, mm, below which points are merged: a motor step; if steps are coarse, limited so that the
    path keeps its tolerance."""
    return min(1 / document.machine.steps_per_mm, document.settings.path_tolerance)


def _box(points: Points) -> Floats:
    return np.stack(bounds(points))


def _nothing() -> Motion:
    zero, none = np.zeros(0), np.zeros(0, dtype=np.int64)
    return Motion(
        zero,
        np.zeros((0, 2)),
        np.zeros((0, 2)),
        zero,
        np.zeros((0, 2)),
        zero,
        zero,
        none.astype(bool),
        np.zeros(1, dtype=np.int64),
        none.astype(bool),
        none,
        (),
        np.zeros((0, LOAD_COLUMNS)),
        none.astype(bool),
        zero,
        zero,
    )
