"""Checks of how the body moves."""

from __future__ import annotations

import numpy as np

from app.document.language import tr
from app.jobs.checks import Check, Verdict
from app.motion.detours import Ways
from app.planning.looked import Looked
from app.statics.modes import inertia_of, modes_of
from app.statics.pose import hang

POSES = 200
"""Of the strokes' points, looked at for the range of frequencies."""


def swing(looked: Looked) -> list[Check]:
    """How far the pen swings off its line, how fast the body swings, and where it is worst."""
    motion, machine = looked.motion, looked.document.machine
    if not motion.down.any():
        return []
    drawn = np.flatnonzero(np.repeat(motion.down, np.diff(motion.runs)))
    worst = int(drawn[np.argmax(motion.farthest_swing[drawn])])
    x, y = map(float, motion.pen_xy[worst])
    points = looked.strokes.points[:: max(1, len(looked.strokes.points) // POSES)]
    modes = modes_of(looked.rig, machine.body.mass, inertia_of(machine.body), hang(looked.rig, points))
    slowest = modes.frequency[:, 0]
    text = tr(
        "The body swings {0:.1f} to {1:.1f} times a second here. The pen leaves its line by up to {2:.1f} mm, most at "
        "{3:.0f}, {4:.0f} mm; {5:g} mm are allowed.",
        float(np.nanmin(slowest)),
        float(np.nanmax(slowest)),
        looked.estimate.swing_mm,
        x,
        y,
        machine.limits.swing,
    )
    good = looked.estimate.swing_mm <= machine.limits.swing
    if not good:
        text += " " + tr("Lower the pen acceleration or the speed, or hang the drawing higher.")
    return [
        Check("swing", Verdict.GOOD if good else Verdict.WARNING, tr("Swing of the body"), text, (x, y, x, y))
    ]


def one_speed(looked: Looked) -> list[Check]:
    """What a controller that draws each stroke at one speed makes of its corners."""
    motion, machine = looked.motion, looked.document.machine
    if machine.controller.pacing != "constant" or not motion.down.any():
        return []
    speeds = motion.speed[motion.runs[:-1]][motion.down]
    text = tr(
        "The controller draws each stroke at one speed, here {0:.0f} to {1:.0f} mm/s: the pen leaves its corners by up to "
        "{2:.2f} mm ({3:g} mm are allowed), and its line by {4:.1f} mm where the body swings.",
        float(speeds.min()),
        float(speeds.max()),
        looked.estimate.corner_mm,
        machine.limits.corner_tolerance,
        looked.estimate.swing_mm,
    )
    return [Check("one-speed", Verdict.GOOD, tr("One speed a stroke"), text)]


def travels(looked: Looked) -> list[Check]:
    """Travels that cross what lies outside the draw zone: there was no way round."""
    motion, document = looked.motion, looked.document
    up = np.flatnonzero(~motion.down)
    ends = np.stack([motion.pen_xy[motion.runs[up]], motion.pen_xy[motion.runs[up + 1] - 1]], axis=1)
    straight = (
        np.add.reduceat(motion.vertex, motion.runs[:-1])[up] == 2 if len(up) else np.zeros(0, dtype=bool)
    )
    blocked = np.flatnonzero(straight)[
        Ways(document.wall, document.machine, looked.hanging).blocked(ends[straight])
    ]
    if not len(blocked):
        return []
    low, high = ends[blocked].min(axis=(0, 1)), ends[blocked].max(axis=(0, 1))
    text = tr(
        "{0} travels with the pen up leave the draw zone on the way; there is no way round inside it. Draw the parts "
        "in hangings of their own.",
        len(blocked),
    )
    return [Check("travels", Verdict.BAD, tr("Travels"), text, (*map(float, low), *map(float, high)))]
