"""Section of the hanging sheet with the numbers for hanging, and room for measurements."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.language import format_number, tr
from wallwright.document.origin import height_text, left_anchor
from wallwright.document.wall import FIXING_RESERVE, Point
from wallwright.jobs.job import Job
from wallwright.jobs.what_to_type import what_to_type
from wallwright.statics.cable_robot import GRAVITY


def numbers_section(job: Job) -> str:
    """Returns the numbers to measure on the wall, with room for the measurements."""
    hanging, pose = job.hanging, job.start_pose
    left, right = hanging.left, hanging.right
    dx, dy = right.x - left.x, right.y - left.y
    start_right, start_down = left_anchor(job.document, hanging).from_wall(*hanging.start_point)
    chord = np.hypot(*(pose.exits[0] - np.array(job.rig.anchors)).T)
    pull = _largest_pull(job)
    rows = [
        (tr("Distance from anchor to anchor"), f"<b>{format_number(np.hypot(dx, dy), '.0f')} mm</b>", _measured("mm")),
        (tr("Right anchor, higher or lower than the left one"), f"<b>{_level(dy)}</b>", _measured("mm")),
        (
            tr("Left anchor, below the ceiling"),
            f"{format_number(left.y - job.document.wall.top, '.0f')} mm",
            _measured("mm"),
        ),
        (
            tr("Left anchor, from the wall's left edge"),
            f"{format_number(left.x - job.document.wall.left, '.0f')} mm",
            _measured("mm"),
        ),
        (tr("Left anchor, height"), height_text(job.document, left.y), _measured("mm")),
        (tr("Right anchor, height"), height_text(job.document, right.y), _measured("mm")),
        (
            tr("Pen at the start, right of this hanging's left anchor"),
            f"<b>{format_number(start_right, '.0f')} mm</b>",
            _measured("mm"),
        ),
        (
            tr("Pen at the start, below this hanging's left anchor"),
            f"<b>{format_number(start_down, '.0f')} mm</b>, {height_text(job.document, hanging.start_point[1])}",
            _measured("mm"),
        ),
        (
            tr("Left belt at the start, anchor to body"),
            tr("<b>{0:.1f} mm</b> straight, by tape", chord[0]),
            _measured("mm"),
        ),
        (
            tr("Right belt at the start, anchor to body"),
            tr("<b>{0:.1f} mm</b> straight, by tape", chord[1]),
            _measured("mm"),
        ),
        _controller_row(job),
        (
            tr("Tilt of the body at the start"),
            _tilt(float(np.degrees(pose.tilt[0]))),
            _measured("°"),
        ),
        (tr("Largest pull on the left anchor"), _pull_on(pull[0]), _rating_text(left.rating)),
        (tr("Largest pull on the right anchor"), _pull_on(pull[1]), _rating_text(right.rating)),
        (tr("Belt needed, left and right"), tr("{0:.0f} and {1:.0f} mm", *job.estimate.longest_belt_mm), ""),
        *_body_rows(job),
    ]
    body = "".join(f"<tr><th>{name}</th><td>{value}</td><td>{noted}</td></tr>" for name, value, noted in rows)
    # Written by hand: the same job gives the same sheet on every day.
    body += f"<tr><th>{tr('Date')}</th><td></td><td>________________</td></tr>"
    return f"<h2>{tr('How to hang it')}</h2><table>{body}</table>"


def _measured(unit: str) -> str:
    """Returns a line to write a measurement on."""
    return tr("measured: ________ {0}", unit)


def _body_rows(job: Job) -> list[tuple[str, str, str]]:
    """Returns the body data used for belts and pulls, to compare with the weighed and measured body."""
    body = job.document.machine.body
    exits = tr("{0} and {1}", _from_tip(body.left_exit), _from_tip(body.right_exit))
    return [
        (tr("Mass of the body, with pen and cable"), f"{format_number(body.mass)} kg", _measured("kg")),
        (tr("Left and right belt exit, from the pen tip"), exits, ""),
    ]


def _from_tip(point: Point) -> str:
    """Returns a point of the body relative to the pen tip."""
    x, y = point
    parts = []
    if x:
        parts.append(tr("{0} mm right", format_number(x)) if x > 0 else tr("{0} mm left", format_number(-x)))
    if y:
        parts.append(tr("{0} mm below", format_number(y)) if y > 0 else tr("{0} mm above", format_number(-y)))
    return ", ".join(parts) or tr("at the tip")


def _controller_row(job: Job) -> tuple[str, str, str]:
    """Returns the starting position in the numbers of the controller."""
    what = what_to_type(job)
    if what is not None:
        return (
            tr("The start as the machine knows it"),
            tr("{0:.1f} mm right, {1:.1f} mm down", what.start.machine_right, what.start.machine_down),
            "",
        )
    return (
        tr("The same, as the controller counts"),
        tr("{0:.2f} and {1:.2f} mm", *job.counted(job.start_pose.belts)[0]),
        "",
    )


def _pull_on(pull: float) -> str:
    """Returns the largest pull on an anchor and the recommended rating of its fixing, N."""
    return tr(
        "{0:.1f} N ({1:.1f} kg); fixing: {2:g} times that, <b>{3:.0f} N</b>",
        pull,
        pull / GRAVITY,
        FIXING_RESERVE,
        FIXING_RESERVE * pull,
    )


def _rating_text(rating: float) -> str:
    """Returns the rating of a fixing, N, or a line to write it on."""
    return tr("rated for: {0:.0f} N", rating) if rating else tr("rated for: ________ N")


def _tilt(degrees: float) -> str:
    """Returns the angle and direction of the tilt."""
    if abs(degrees) < 0.05:
        return tr("upright")
    return tr("{0:.1f}° clockwise", degrees) if degrees > 0 else tr("{0:.1f}° anticlockwise", -degrees)


def _level(dy: float) -> str:
    if abs(dy) < 0.5:
        return tr("at the same height")
    return tr("{0:.0f} mm lower", dy) if dy > 0 else tr("{0:.0f} mm higher", -dy)


def _largest_pull(job: Job) -> Floats:
    """Returns (2,) N at the anchors: belt weight adds to the pull at the exits."""
    if not len(job.motion.tension):
        at_rest: Floats = job.start_pose.anchor_tension[0]
        return at_rest
    hanging_belt = job.rig.belt_weight * job.motion.belts.max(axis=0)
    pull: Floats = job.motion.tension.max(axis=0) + hanging_belt
    return pull
