"""Checks for a machine that takes drawings: room on its page, handling of paths, and its single speed."""

from __future__ import annotations

import numpy as np

from wallwright.document.columns import row_all
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.jobs.drawing_layout import PageLayout, layout_of_document, start_in_plane
from wallwright.jobs.what_to_type import OFF
from wallwright.motion.lost_steps import fastest_kept
from wallwright.planning.check_context import CheckContext
from wallwright.statics.calibration.proof import undecided_sentence
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.limits import broken, describe_limits

START_OFF = 5.0
"""Distance between the machine's own start and the hanging's starting point, mm, from which the check reports it."""
SLOWEST = 5.0
"""Lowest speed that is recommended, mm/s; slower, markers bleed."""


def drawing_page(context: CheckContext) -> list[Check]:
    """Checks whether the machine's page has room for the drawing, and report what is known about that page."""
    controller, motion = context.document.machine.controller, context.motion
    if controller.takes != "drawing" or not motion.down.any():
        return []
    title = tr("The machine's page")
    drawn = np.repeat(motion.down, np.diff(motion.runs))
    plane = belts_to_controller(context.document.machine, context.hanging, "plane", motion.belts[drawn])
    plane = plane[row_all(np.isfinite(plane))]
    if not len(plane):
        return []  # reported by the formula check
    try:
        layout = layout_of_document(context.document, context.number, plane)
    except BadValue as error:
        return [Check("page", Verdict.ERROR, title, f"{error}.")]
    found = [*_ticks(context, layout, title), *_start(context)]
    if controller.page.always:
        text = tr(
            "The machine's page cannot leave out: {0}. What it draws may differ from what is shown here.",
            ", ".join(tr(OFF[a]) for a in controller.page.always),
        )
        found.append(Check("page-paths", Verdict.WARNING, title, text))
    if not controller.page.is_known:
        text = tr(
            "Nobody has tried yet what this page does with a drawing. Draw the proof drawing first: two crosses and a "
            "line; four tape readings of it give size, position, directions and unit."
        )
        found.append(Check("page-proof", Verdict.WARNING, title, text, None, (Remedy.PROVE,)))
    if undecided := undecided_sentence(context.document.machine):
        found.append(Check("page-size", Verdict.NOTE, tr("Size on the machine's page"), undecided))
    if not any(c.verdict is Verdict.ERROR for c in found):
        left, top, right, bottom = (format_number(v, ".0f") for v in layout.box)
        text = tr(
            "The drawing has room on the machine's page: from {0} to {1} mm right of and from {2} to {3} mm below {4}.",
            left,
            right,
            top,
            bottom,
            context.origin.anchor_text,
        )
        found.append(Check("page", Verdict.OK, title, text))
    return found


def _ticks(context: CheckContext, layout: PageLayout, title: str) -> list[Check]:
    """Checks whether the machine can draw the ticks at the edges of the ink's box."""
    if not len(layout.ticks):
        return []
    machine, rig = context.document.machine, context.rig
    belts = controller_to_belts(machine, context.hanging, "plane", layout.ticks.reshape(-1, 2))
    pose = forward_kinematics(rig, belts)
    bits = broken(context.document.wall, machine, rig, pose)
    if not bits.any():
        return []
    worst = int(np.argmax(bits != 0))
    x, y = pose.pen[worst]
    place = (float(x), float(y), float(x), float(y)) if np.isfinite(x + y) else None
    text = tr(
        "The ticks around the drawing, by which the colours meet, leave the draw zone: {0}. Move or shrink the "
        "artwork.",
        describe_limits(int(bits[worst])),
    )
    return [Check("page", Verdict.ERROR, title, text, place)]


def _start(context: CheckContext) -> list[Check]:
    """Checks whether the hanging's starting point is where the machine's own start puts the pen."""
    machine, page = context.document.machine, context.document.machine.controller.page
    if not (page.start_right or page.start_down):
        return []
    believed = start_in_plane(machine, context.hanging)[None]
    pen = forward_kinematics(context.rig, controller_to_belts(machine, context.hanging, "plane", believed)).pen[0]
    off = float(np.hypot(*(pen - context.hanging.start_point)))
    if off <= START_OFF:
        return []
    title = tr("The machine's start")
    if not np.isfinite(off):
        text = tr(
            "The machine cannot hang where it believes to start: {0:.0f} mm right of and {1:.0f} mm below {2}. Correct "
            "these numbers at the machine.",
            *believed[0],
            context.origin.anchor_text,
        )
        return [Check("page-start", Verdict.ERROR, title, text)]
    x, y = map(float, pen)
    text = tr(
        "The machine's own start puts the pen {0}. That is {1:.0f} mm from the starting point of this hanging. Move the "
        "starting point there.",
        context.origin.text(x, y),
        off,
    )
    return [Check("page-start", Verdict.WARNING, title, text, (x, y, x, y), figure=f"{format_number(off, '.0f')} mm")]


def drawing_speed(context: CheckContext) -> list[Check]:
    """Checks the effect of a single speed at corners and reversals, and recommend a speed."""
    motion, machine = context.motion, context.document.machine
    if not machine.controller.has_one_speed or not motion.down.any():
        return []
    limits, swing = machine.limits, context.estimate.swing_mm
    factor, worst = fastest_kept(motion, machine)
    x, y = map(float, motion.pen_xy[worst])
    keeps = factor * limits.draw_speed
    by_swing = limits.draw_speed * limits.swing / max(swing, 1e-9)
    text = tr(
        "The machine draws everything at one speed, here {0:g} mm/s, and does not slow down for corners: after them the "
        "body swings and the pen leaves its line by up to {1:.1f} mm (allowed: {2:g} mm). The motors keep their steps in "
        "corners and reversals up to about {3:.0f} mm/s.",
        limits.draw_speed,
        swing,
        limits.swing,
        keeps,
    )
    place, figure = (x, y, x, y), f"{format_number(swing, '.1f')} mm"
    title = tr("One speed for everything")
    if swing <= limits.swing and factor >= 1:
        return [Check("one-speed", Verdict.OK, title, text, place, figure=figure)]
    advised = min(by_swing, 0.8 * keeps, limits.draw_speed)
    text += " " + (
        tr("Set {0:.0f} mm/s on its page and as drawing speed here.", advised)
        if advised >= SLOWEST
        else tr("Set the slowest speed that your pen bears, on its page and as drawing speed here.")
    )
    if not machine.controller.page.lift_angle:
        text += " " + tr("Lifting the pen at sharp corners lets the body settle there.")
    return [Check("one-speed", Verdict.WARNING, title, text, place, figure=figure)]
