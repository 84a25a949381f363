"""Checks of the pens: their order, wet ink, pens that run empty or dry out, and where they are changed."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
import shapely

from wallwright.document.document import Settings
from wallwright.document.language import duration, plural, tr
from wallwright.document.origin import left_anchor
from wallwright.document.wall import Box, Point
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.motion.estimate import refills_of
from wallwright.motion.plan import pen_of_runs
from wallwright.planning.check_context import CheckContext
from wallwright.planning.ink_contacts import too_early
from wallwright.planning.pen_order import SAME_LIGHTNESS, lightness
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

NOTE, WARNING = Verdict.NOTE, Verdict.WARNING
WET_GAP = 10.0
"""Distance, mm, between a hand that changes a pen and wet ink."""
MUCH_INK = 200.0
"""Length of line, m, above which a marker may not last. Own choice, no source: makers seldom specify it."""
PLACE = 20.0
"""Distance to each side of a place that is shown, mm."""


def pen_order(context: CheckContext) -> list[Check]:
    """Checks whether pens are drawn light to dark where they meet."""
    found = next(_over_darker_ink(context, "dry"), None)
    if found is None or context.document.purpose == "sample-strip":  # which tests exactly this
        return []
    below, above, (x, y) = found
    pens, light = context.document.pens, lightness(context.document.pens)
    drawing = {block.pen for block in context.motion.blocks}
    text = tr(
        "{0} is drawn before the lighter {1}, and they meet {2}. A light pen that crosses dark ink takes it up and smears "
        "it. Order from light to dark: {3}.",
        pens[below].name,
        pens[above].name,
        context.origin.text(x, y),
        ", ".join(pens[k].name for k in sorted(drawing, key=lambda k: (-light[k], k))),
    )
    return [Check("pen-order", NOTE, tr("Order of pens"), text, _around(x, y), (Remedy.LIGHT_TO_DARK,))]


def dark_ink(context: CheckContext) -> list[Check]:
    """Checks for pens that may touch only ink lighter than their own, and touch darker ink, wet or dry."""
    pens, found = context.document.pens, []
    for below, above, (x, y) in _over_darker_ink(context, "lighter"):
        text = tr(
            "{0} touches the darker {1} {2} and may draw over lighter ink only. Draw {0} earlier.",
            pens[above].name,
            pens[below].name,
            context.origin.text(x, y),
        )
        remedies = (Remedy.LIGHT_TO_DARK, *_gap_remedy(context))
        found.append(
            Check(f"dark-{below}-{above}", WARNING, tr("Darker ink"), text, _around(x, y), remedies),
        )
    return found


def _over_darker_ink(context: CheckContext, over: str) -> Iterator[tuple[int, int, Point]]:
    """Yields a darker pen, a lighter one that is drawn later and may draw over what `over` says, and where they meet."""
    blocks, pens, light = context.motion.blocks, context.document.pens, lightness(context.document.pens)
    for earlier, later in itertools.combinations(range(len(blocks)), 2):
        below, above = blocks[earlier].pen, blocks[later].pen
        if pens[above].over == over and light[below] < light[above] - SAME_LIGHTNESS:
            point = context.contacts.meeting_point(earlier, later)
            if point is not None:
                yield below, above, point


def wet_ink(context: CheckContext) -> list[Check]:
    """Checks for pens that touch another one's wet ink, or how long the job waits until it is dry."""
    document, blocks = context.document, [block.pen for block in context.motion.blocks]
    pens, title, waits = document.pens, tr("Wet ink"), context.estimate.drying_s
    if any(waits):
        each = [
            tr("{0} before {1}", duration(wait), pens[k].name) for k, wait in zip(blocks, waits, strict=True) if wait
        ]
        text = tr("The job waits until the ink below is dry: {0}. The pause before each pen says so.", ", ".join(each))
        return [Check("wet", NOTE, title, text)]
    found = []
    for earlier, later in itertools.combinations(range(len(blocks)), 2):
        early = too_early(document, context.contacts, blocks, earlier, later, [0.0] * len(blocks))
        if early is None:
            continue
        below, above, (short, (x, y)) = blocks[earlier], blocks[later], early
        text = tr(
            "{0} touches {1} {2} before it has dried: {3} too early. Wait that long at the pen change, or let the pens draw "
            "in another order.",
            pens[above].name,
            pens[below].name,
            context.origin.text(x, y),
            duration(short),
        )
        gap = _gap_remedy(context)
        if gap:
            text += " " + tr("Areas of the two colours stay clear of each other with a gap between them.")
        remedies = (Remedy.WAIT_UNTIL_DRY, Remedy.ORDER_FOR_DRY_INK, *gap)
        found.append(Check(f"wet-{below}-{above}", WARNING, title, text, _around(x, y), remedies))
    return found


def _gap_remedy(context: CheckContext) -> tuple[Remedy, ...]:
    """Returns the remedy of a gap between colours if some gap is below the default; it cannot help where lines cross."""
    document = context.document
    gaps = [document.settings.gap, *(one.gap for placement in document.placements for one in placement.gaps)]
    return (Remedy.GAP_BETWEEN_COLOURS,) if min(gaps) < Settings().gap else ()


def _around(x: float, y: float) -> Box:
    """Returns the place on the wall to show, mm."""
    return x - PLACE, y - PLACE, x + PLACE, y + PLACE


def ink_left(context: CheckContext) -> list[Check]:
    """Checks for pens that are refilled during the job, or whose ink does not last for one stroke."""
    pens, found = context.document.pens, []
    filled = refills_of(context.document, context.motion)
    if filled.too_long:
        text = tr(
            "Stroke {0} is longer than a full pen draws. Divide the drawing, or correct the length on the pen's page.",
            filled.too_long[0] + 1,
        )
        found.append(Check("ink", WARNING, tr("Ink"), text))
    begins = {block.first_run for block in context.motion.blocks}
    if filled.runs:
        pen = pen_of_runs(context.motion)
        names = ", ".join(pens[k].name for k in sorted({int(pen[run]) for run in filled.runs}))
        stops = sum(run not in begins for run in filled.runs)
        text = plural(
            "Have refills ready: {1}. The job pauses {0} time for them, at the end of a stroke.",
            "Have refills ready: {1}. The job pauses {0} times for them, at the end of a stroke.",
            stops,
            names,
        )
        found.append(Check("refills", NOTE, tr("Refills"), text))
    return found


def unknown_ink(context: CheckContext) -> list[Check]:
    """Checks for pens that draw much and whose ink length is unknown."""
    pens = context.document.pens
    much = [p for p in context.estimate.per_pen if p.ink_m > MUCH_INK and not pens[p.pen].ink]
    if not much:
        return []
    each = ", ".join(tr("{0} {1:.0f} m", pens[p.pen].name, p.ink_m) for p in much)
    text = tr(
        "Much ink: {0}. Whether a pen lasts that long is not known. Have a spare one ready, or enter on the pen's page how "
        "many metres it draws: the job then pauses for refills.",
        each,
    )
    return [
        Check("ink-unknown", NOTE, tr("Ink may not last"), text, figure=tr("{0:.0f} m", max(p.ink_m for p in much)))
    ]


def uncapped(context: CheckContext) -> list[Check]:
    """Checks for travels on which a pen dries out."""
    motion, found = context.motion, []
    for block in motion.blocks:
        pen = context.document.pens[block.pen]
        if not pen.uncapped:
            continue
        runs = np.arange(block.first_run, block.last_run)
        up = runs[~motion.down[runs]]
        seconds = motion.time[motion.runs[up + 1] - 1] - motion.time[motion.runs[up]]
        longest = float(seconds.max(initial=0.0))
        if longest > 60 * pen.uncapped:
            text = tr(
                "{0} travels for {1} without drawing and may dry out; it may stand uncapped for {2}. Draw a line on a strip "
                "of tape before it continues.",
                pen.name,
                duration(longest),
                duration(60 * pen.uncapped),
            )
            found.append(Check(f"uncapped-{block.pen}", WARNING, tr("Pen dries out"), text))
    return found


def pen_change_point(context: CheckContext) -> list[Check]:
    """Checks that pens are changed within reach of hands, where the machine can be, and off wet ink."""
    document, hanging = context.document, context.hanging
    if hanging.pen_change is None or len(context.motion.blocks) < 2:
        return []
    x, y = hanging.pen_change
    title, box = tr("Where pens are changed"), (x - 100, y - 100, x + 100, y + 100)
    at = np.array([[x, y]])
    if int(broken(document.wall, document.machine, context.rig, inverse_kinematics(context.rig, at))[0]):
        text = tr("The point {0} is outside the draw zone. Move it inside.", left_anchor(document, hanging).text(x, y))
        return [Check("pen-change", Verdict.ERROR, title, text, box)]
    height, settings = document.wall.floor - y, document.settings
    if not settings.reach_low <= height <= settings.reach_high:
        text = tr(
            "The point is {0:.0f} mm above the floor; your hands reach from {1:.0f} to {2:.0f} mm. Move it.",
            height,
            settings.reach_low,
            settings.reach_high,
        )
        return [Check("pen-change", WARNING, title, text, box)]
    # Before the last change all blocks but the last are drawn; at each change, the ink of all blocks before it is on the
    # wall.
    blocks, strokes, pens = context.motion.blocks, context.strokes, document.pens
    drawn = np.flatnonzero(np.isin(strokes.pen, [block.pen for block in blocks[:-1]]))
    lines = [shapely.LineString(strokes[k]) for k in drawn.tolist()]
    gap = shapely.distance(np.array(lines, dtype=np.object_), shapely.Point(x, y))
    gap = gap - np.array([pens[k].width / 2 for k in strokes.pen[drawn].tolist()])
    if (gap < WET_GAP).any():
        pen = pens[int(strokes.pen[drawn[int(np.argmin(gap))]])]
        text = tr("The point is on what {0} has drawn. Move it off the ink.", pen.name)
        return [Check("pen-change", WARNING, title, text, box)]
    return []
