"""Checks of the pens: their order, ink that is still wet, what runs empty or dries out, and where they are changed."""

from __future__ import annotations

import itertools

import numpy as np
import shapely

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.raster.tone import luminance
from wallwright.document.arrays import Floats
from wallwright.document.document import Document, Pen
from wallwright.document.language import duration, plural, tr
from wallwright.document.origin import left_anchor
from wallwright.document.wall import Point
from wallwright.jobs.checks import Check, Verdict
from wallwright.motion.estimate import pen_of_runs, refills_of
from wallwright.planning.check_context import CheckContext
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

NOTE, WARNING = Verdict.NOTE, Verdict.WARNING
WET_GAP = 10.0
"""mm that a hand keeps from ink that is not dry, where a pen is changed."""
SAME_LIGHTNESS = 0.02
"""Of relative luminance: inks that differ by less count as equally light."""


def lightness(pens: tuple[Pen, ...]) -> Floats:
    """(p,) relative luminance, 0 to 1: black to white."""
    return luminance(np.array([rgb_of(pen.colour) for pen in pens]))


def light_to_dark(document: Document) -> tuple[int, ...]:
    """The proposed order of pens: light ones first. A light ink over a dark one shows little and takes dark ink up into its
    tip; a dark one over a light one covers it."""
    light = lightness(document.pens)
    return tuple(sorted(range(len(document.pens)), key=lambda k: (-light[k], k)))


def pen_order(context: CheckContext) -> list[Check]:
    """Whether pens are drawn light to dark where they meet."""
    blocks = [block.pen for block in context.motion.blocks]
    light = lightness(context.document.pens)
    late = [(a, b) for a, b in itertools.pairwise(blocks) if light[b] > light[a] + SAME_LIGHTNESS]
    if not late:
        return []
    pens = context.document.pens
    names = ", ".join(pens[k].name for k in sorted(set(blocks), key=lambda k: (-light[k], k)))
    text = tr(
        "{0} is drawn before the lighter {1}. A light pen that crosses dark ink takes it up and smears it. Order from light "
        "to dark: {2}. Move the pens in the list.",
        pens[late[0][0]].name,
        pens[late[0][1]].name,
        names,
    )
    return [Check("pen-order", NOTE, tr("Order of pens"), text)]


def wet_ink(context: CheckContext) -> list[Check]:
    """Pens that touch another one's ink before that has dried."""
    document, motion, strokes = context.document, context.motion, context.strokes
    pens, change = document.pens, document.machine.lift.change_time
    if len(motion.blocks) < 2:
        return []
    run = np.flatnonzero(motion.down)
    number = motion.stroke[run]
    block = np.searchsorted([b.first_run for b in motion.blocks], run, side="right") - 1
    begin = motion.time[motion.runs[run]] + change * block
    end = motion.time[motion.runs[run + 1] - 1] + change * block
    pen = pen_of_runs(motion)[run]
    drying = np.array([60 * p.drying for p in pens])
    width = np.array([p.width for p in pens])
    touching: dict[tuple[int, int], tuple[float, Point]] = {}
    for later in range(1, len(motion.blocks)):
        own = block == later
        first = float(begin[own].min())
        old = np.flatnonzero((block < later) & (end + drying[pen] > first))
        new = np.flatnonzero(own & (begin < float((end + drying[pen])[old].max(initial=-np.inf))))
        if not len(old) or not len(new) or pens[pen[new[0]]].over == "any":
            continue
        lines = [shapely.LineString(strokes[k]) for k in number[old]]
        others = [shapely.LineString(strokes[k]) for k in number[new]]
        reach = (width[pen[new[0]]] + width[pen[old]].max()) / 2
        pairs = shapely.STRtree(lines).query(others, predicate="dwithin", distance=reach)
        for b, a in pairs.T.tolist():
            i, j = old[a], new[b]
            waited, wait = float(begin[j] - end[i]), float(drying[pen[i]])
            if pen[i] == pen[j] or waited >= wait:
                continue
            short = wait - waited
            key = (int(pen[i]), int(pen[j]))
            if short > touching.get(key, (0.0, (0.0, 0.0)))[0]:
                at = shapely.shortest_line(lines[a], others[b]).coords[0]
                touching[key] = short, (float(at[0]), float(at[1]))
    found, origin = [], left_anchor(document, context.hanging)
    for (below, above), (short, (x, y)) in touching.items():
        text = tr(
            "{0} touches {1} {2} before it has dried: {3} too early. Wait that long at the pen change, draw {1} earlier, or "
            "set a gap between the two colours.",
            pens[above].name,
            pens[below].name,
            origin.text(x, y),
            duration(short),
        )
        found.append(Check(f"wet-{below}-{above}", WARNING, tr("Wet ink"), text, (x - 20, y - 20, x + 20, y + 20)))
    return found


def dark_ink(context: CheckContext) -> list[Check]:
    """Pens that may touch ink lighter than their own only, and touch darker ink, wet or dry."""
    document, strokes, blocks = context.document, context.strokes, context.motion.blocks
    pens, light, found = document.pens, lightness(document.pens), []
    for at, block in enumerate(blocks):
        above = block.pen
        if pens[above].over != "lighter":
            continue
        for below in dict.fromkeys(b.pen for b in blocks[:at] if light[b.pen] < light[above] - SAME_LIGHTNESS):
            new, old = (
                [shapely.LineString(strokes[k]) for k in np.flatnonzero(strokes.pen == pen).tolist()]
                for pen in (above, below)
            )
            reach = (pens[above].width + pens[below].width) / 2
            pairs = shapely.STRtree(old).query(new, predicate="dwithin", distance=reach)
            if not pairs.size:
                continue
            b, a = pairs[:, 0].tolist()
            x, y = shapely.shortest_line(old[a], new[b]).coords[0]
            text = tr(
                "{0} touches the darker {1} {2} and may draw over lighter ink only. Draw {0} earlier, or set a gap between "
                "the two colours.",
                pens[above].name,
                pens[below].name,
                left_anchor(document, context.hanging).text(x, y),
            )
            box = (x - 20, y - 20, x + 20, y + 20)
            found.append(Check(f"dark-{below}-{above}", WARNING, tr("Darker ink"), text, box))
    return found


def ink_left(context: CheckContext) -> list[Check]:
    """Pens that are refilled on the way, or whose ink does not reach for one stroke."""
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


def uncapped(context: CheckContext) -> list[Check]:
    """Travels on which a pen dries out."""
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
    """Pens are changed where hands reach, where the machine can be, and off wet ink."""
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
    # Before the last change every pen but the last one's block has drawn; at each, all ink of those before is on the wall.
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
