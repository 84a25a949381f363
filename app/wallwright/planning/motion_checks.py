"""Checks of the body's motion."""

from __future__ import annotations

import numpy as np

from wallwright.document.language import duration, format_number, tr
from wallwright.document.placing import box_around
from wallwright.jobs.checks import LONG_JOB, Check, Remedy, Verdict
from wallwright.motion.corners import ROUNDING
from wallwright.motion.detours import DetourFinder
from wallwright.motion.lead import swing_bounds
from wallwright.motion.path_constraints import LEAST_SPEED
from wallwright.motion.plan import Motion
from wallwright.planning.check_context import CheckContext
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.swing_modes import inertia_of, swing_modes

POSES = 200
"""Number of sample points of the strokes for the range of frequencies."""


MANY_HOURS = 8.0
"""Duration of a job, h, above which it takes more than a day's work."""
STANDING = 10.0
"""Period over which the pen's mean speed is measured, s: a marker that stands longer bleeds."""
STANDING_SHARE = 0.5
"""Share of LEAST_SPEED below which a mean speed is absurd. A start from rest within a sample has half of its speed."""
LONG_WAITS = 1.0
"""Total wait, s, below which it is not mentioned."""
MOST_HOURS = 1000.0
"""Longest plausible job, h: six weeks without a pause. Nothing temporary takes longer."""


def long_job(context: CheckContext) -> list[Check]:
    """Checks whether the job takes longer than someone can stay beside it."""
    seconds = context.estimate.total_s
    if seconds <= 3600 * MANY_HOURS:
        return []
    text = tr(
        "The job takes {0}, and somebody has to stay beside it. “Shorter…” lists changes that shorten it, with about how "
        "much each saves. You can also interrupt it between two pens and continue later.",
        duration(seconds),
    )
    return [Check(LONG_JOB, Verdict.NOTE, tr("Long job"), text, None, (Remedy.SHORTEN,), figure=duration(seconds))]


def pace(context: CheckContext) -> list[Check]:
    """Checks that the job progresses everywhere: the pen nearly stands nowhere, and the total time is plausible."""
    motion, document = context.motion, context.document
    if not motion.down.any():
        return []
    title, found = tr("Drawing speed"), []
    for pen in sorted({block.pen for block in motion.blocks}):
        own = document.pens[pen].speed
        if 0 < own < LEAST_SPEED:
            text = tr(
                "Pen {0} has its own speed limit of {1:g} mm/s. Below {2:g} mm/s ink bleeds. Raise the limit, "
                "or enter 0 for none.",
                document.pens[pen].name,
                own,
                LEAST_SPEED,
            )
            found.append(Check("pace", Verdict.ERROR, title, text, figure=f"{format_number(own)} mm/s"))
    slow = _slow_place(motion, STANDING_SHARE * LEAST_SPEED)
    if slow is not None:
        seconds, way, (x, y) = slow
        text = tr(
            "The pen almost stops {0}: {1:.0f} s for {2:.3f} mm. Raise the limits for acceleration, swing and corner "
            "tolerance, or move the drawing down.",
            context.origin.text(x, y),
            seconds,
            way,
        )
        found.append(
            Check("pace", Verdict.ERROR, title, text, (x, y, x, y), figure=f"{format_number(seconds, '.0f')} s")
        )
    hours = context.estimate.total_s / 3600
    if hours > MOST_HOURS:
        text = tr(
            "The job takes {0:.0f} hours; jobs above {1:.0f} hours are not exported. Raise the limits for "
            "speed and acceleration, or draw less.",
            hours,
            MOST_HOURS,
        )
        found.append(
            Check(
                "pace",
                Verdict.ERROR,
                title,
                text,
                box_around(motion.pen_xy),
                figure=f"{format_number(hours, '.0f')} h",
            )
        )
    if not found:
        text = tr("The pen keeps moving. It never stands still for {0:.0f} s or longer.", STANDING)
        found.append(Check("pace", Verdict.OK, title, text))
    return found


def _slow_place(motion: Motion, speed: float) -> tuple[float, float, tuple[float, float]] | None:
    """Returns s, mm and position (mm) of the lowest mean speed over STANDING or more within a run, if it is below a
    speed, mm/s."""
    way = np.zeros(len(motion.time))
    way[1:] = np.cumsum(np.hypot(*np.diff(motion.pen_xy, axis=0).T))
    i = np.arange(len(way))
    j = np.searchsorted(motion.time, motion.time + STANDING)
    last = np.repeat(motion.runs[1:] - 1, np.diff(motion.runs))
    i, j = i[j <= last], j[j <= last]
    if not len(i):
        return None
    seconds, gone = motion.time[j] - motion.time[i], way[j] - way[i]
    worst = int(np.argmin(gone / seconds))
    if gone[worst] >= speed * seconds[worst]:
        return None
    x, y = map(float, motion.pen_xy[i[worst]])
    return float(seconds[worst]), float(gone[worst]), (x, y)


def swing(context: CheckContext) -> list[Check]:
    """Checks how far the pen swings off its line, how fast the body swings, and where it is worst."""
    motion, machine = context.motion, context.document.machine
    if not motion.down.any() or machine.controller.has_one_speed:  # its own check reports the swing and a speed
        return []
    drawn = np.flatnonzero(np.repeat(motion.down, np.diff(motion.runs)))
    worst = int(drawn[np.argmax(motion.farthest_swing[drawn])])
    x, y = map(float, motion.pen_xy[worst])
    points = context.strokes.points[:: max(1, len(context.strokes.points) // POSES)]
    modes = swing_modes(
        context.rig, machine.body.mass, inertia_of(machine.body), inverse_kinematics(context.rig, points)
    )
    slowest, most = modes.frequency[:, 0], float(swing_bounds(context.document).max())
    text = tr(
        "Natural swing: {0:.1f} to {1:.1f} per second. The pen strays up to {2:.1f} mm (allowed: {3:g} mm); worst place: "
        "{4}.",
        float(np.nanmin(slowest)),
        float(np.nanmax(slowest)),
        context.estimate.swing_mm,
        most,
        context.origin.text(x, y),
    )
    good = context.estimate.swing_mm <= most * (1 + ROUNDING)
    if not good:
        text += " " + tr("Reduce the pen acceleration or the speed, or move the drawing up.")
    estimate, allowed = context.estimate, machine.limits.landing_swing
    if estimate.settling_s >= LONG_WAITS:
        text += " " + tr("Waits of {0:.0f} s in all let the swing fade before the pen is lowered.", estimate.settling_s)
    if machine.controller.takes != "drawing" and estimate.landing_mm > allowed * (1 + ROUNDING):
        good = False
        text += " " + tr(
            "While the pen is lowered the body swings up to {0:.1f} mm (allowed: {1:g} mm). Reduce the pen acceleration.",
            estimate.landing_mm,
            allowed,
        )
    return [
        Check(
            "swing",
            Verdict.OK if good else Verdict.WARNING,
            tr("Swing of the body"),
            text,
            (x, y, x, y),
            figure=f"{format_number(context.estimate.swing_mm, '.1f')} mm",
        )
    ]


def one_speed(context: CheckContext) -> list[Check]:
    """Checks the corners of a controller that draws each stroke at one speed."""
    motion, machine = context.motion, context.document.machine
    if machine.controller.pacing != "constant" or machine.controller.has_one_speed or not motion.down.any():
        return []
    speeds = motion.speed[motion.runs[:-1]][motion.down]
    text = tr(
        "The controller draws each stroke at one speed, here {0:.0f} to {1:.0f} mm/s. Corners are off by up to "
        "{2:.2f} mm (allowed: {3:g} mm), and lines by {4:.1f} mm where the body swings.",
        float(speeds.min()),
        float(speeds.max()),
        context.estimate.corner_mm,
        machine.limits.corner_tolerance,
        context.estimate.swing_mm,
    )
    good = context.estimate.corner_mm <= machine.limits.corner_tolerance * (1 + ROUNDING)
    if not good:
        text += " " + tr("At one speed, corners cannot be drawn more accurately. Raise the corner tolerance.")
    verdict = Verdict.OK if good else Verdict.WARNING
    figure = f"{format_number(context.estimate.corner_mm, '.2f')} mm"
    return [Check("one-speed", verdict, tr("One speed per stroke"), text, figure=figure)]


def travels(context: CheckContext) -> list[Check]:
    """Checks for travels that cross what lies outside the draw zone because there was no detour."""
    motion, document = context.motion, context.document
    up = np.flatnonzero(~motion.down)
    ends = np.stack([motion.pen_xy[motion.runs[up]], motion.pen_xy[motion.runs[up + 1] - 1]], axis=1)
    straight = np.add.reduceat(motion.vertex, motion.runs[:-1])[up] == 2 if len(up) else np.zeros(0, dtype=bool)
    blocked = np.flatnonzero(straight)[
        DetourFinder(document.wall, document.machine, context.hanging).blocked(ends[straight])
    ]
    if not len(blocked):
        return []
    text = tr(
        "{0} travels leave the draw zone, and no way around inside it exists. Draw the parts in separate hangings.",
        len(blocked),
    )
    return [
        Check(
            "travels",
            Verdict.ERROR,
            tr("Travels"),
            text,
            box_around(ends[blocked].reshape(-1, 2)),
            figure=str(len(blocked)),
        )
    ]
