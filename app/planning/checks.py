"""The checks: everything looked at before hanging. One function a check, one table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from app.artwork.drawing import Severity
from app.document.document import Document
from app.document.wall import Hanging
from app.jobs.checks import Check, Verdict
from app.motion.plan import Estimate, Motion
from app.planning.plan import Preview
from app.statics.calibration.expected import expected
from app.statics.controller import from_belts
from app.statics.limits import NEVER, Limit, broken, reasons
from app.statics.motor import available_pull, reference_voltage, supply_power
from app.statics.pose import Pose, hang
from app.statics.rig import Rig
from app.strokes.strokes import Strokes

MOST_NAMES = 6
"""Elements named in a check; more are counted."""
ACCURACY_POINTS = 400
"""At most, at which the expected error is looked at."""
UNCALIBRATED = 2.0
"""mm expected from which a calibration is proposed: what the eye sees at a seam."""
GOOD, NOTE, WARNING, BAD = Verdict.GOOD, Verdict.NOTE, Verdict.WARNING, Verdict.BAD


@dataclass(frozen=True)
class Looked:
    """What the checks look at."""

    document: Document
    hanging: Hanging
    rig: Rig
    datum: Pose
    preview: Preview
    strokes: Strokes
    motion: Motion
    estimate: Estimate


def all_checks(
    document: Document, hanging: int, preview: Preview, strokes: Strokes, motion: Motion, estimate: Estimate
) -> tuple[Check, ...]:
    """Every check, worst first."""
    place = document.hangings[hanging]
    rig = Rig.of(document.machine, place)
    looked = Looked(
        document, place, rig, hang(rig, np.array([place.datum])), preview, strokes, motion, estimate
    )
    found = [check for look in CHECKS for check in look(looked)]
    rank = [BAD, WARNING, NOTE, GOOD]
    return tuple(sorted(found, key=lambda c: rank.index(c.verdict)))


def drawable(looked: Looked) -> list[Check]:
    if len(looked.strokes) or len(looked.preview.strokes):
        return []
    if not looked.document.placements:
        text = "There is no artwork yet; drop an SVG file on the wall."
    else:
        text = "Nothing of the artwork is drawn: its colours have no pen, or it is white, hidden or outside the zone."
    return [Check("drawable", BAD, "Something to draw", text)]


def zone(looked: Looked) -> list[Check]:
    """Strokes outside the draw zone, with the limits they break."""
    bits, strokes = looked.preview.outside, looked.preview.strokes
    if not len(strokes):
        return []
    hit = np.flatnonzero(bits)
    if not len(hit):
        return [
            Check("zone", GOOD, "Inside the draw zone", "Every stroke can be drawn with all limits kept.")
        ]
    of = strokes.stroke_of_point[hit]
    count = len(np.unique(of))
    points = strokes.points[hit]
    place = (*map(float, points.min(axis=0)), *map(float, points.max(axis=0)))
    parts = []
    for limit in Limit:
        mine = np.unique(of[(bits[hit] & limit) != 0])
        if len(mine):
            parts.append(f"{len(mine)} because {reasons(limit)}")
    what = f"{count} of {len(strokes)} strokes leave the draw zone: {'; '.join(parts)}. "
    what += f"They belong to {_owners(looked, of)}."
    mode = looked.document.settings.outside
    if mode == "clip":
        return [Check("zone", NOTE, "Clipped to the draw zone", f"{what} They are cut at its edge.", place)]
    never = len(np.unique(of[(bits[hit] & NEVER) != 0]))
    if mode == "override" and never:
        return [Check("zone", BAD, "Outside the draw zone", f"{what} {never} cannot be reached at all, which "
                      "cannot be overridden.", place, ("move-in", "shrink", "clip"))]  # fmt: skip
    if mode == "override":
        return [Check("zone", WARNING, "Draw zone overridden", f"{what} This was overridden; the machine may lose "
                      "steps there.", place, ("move-in", "shrink", "clip"))]  # fmt: skip
    return [Check("zone", BAD, "Outside the draw zone", f"{what} Move or shrink the artwork, clip it to the zone, "
                  "or override. The estimate is without them.", place,
                  ("move-in", "shrink", "advise-anchors", "clip", "override"))]  # fmt: skip


def _owners(looked: Looked, of: np.ndarray) -> str:
    """Names of the elements that strokes come from, as a person finds them in the drawing program."""
    names = [name for report in looked.preview.reports for name in report.elements]
    sources = np.unique(looked.preview.strokes.source[np.unique(of)])
    found = list(dict.fromkeys(names[i] for i in sources.tolist() if i >= 0))
    more = f" and {len(found) - MOST_NAMES} more" if len(found) > MOST_NAMES else ""
    return ", ".join(f"'{name}'" for name in found[:MOST_NAMES]) + more


def datum(looked: Looked) -> list[Check]:
    bits = int(broken(looked.document.wall, looked.document.machine, looked.rig, looked.datum)[0])
    x, y = looked.hanging.datum
    if bits:
        return [Check("datum", BAD, "Starting place", f"The machine cannot start at {x:.0f}, {y:.0f} mm: "
                      f"{reasons(bits)}. Move the starting place into the zone.", (x, y, x, y))]  # fmt: skip
    left, right = looked.datum.belts[0]
    return [Check("datum", GOOD, "Starting place", f"At {x:.0f}, {y:.0f} mm with belts of {left:.1f} and {right:.1f} mm.",
                  (x, y, x, y))]  # fmt: skip


def anchors(looked: Looked) -> list[Check]:
    if not len(looked.motion.tension):
        return []
    belt = looked.rig.belt_weight * looked.motion.belts.max(axis=0)
    pulls = looked.motion.tension.max(axis=0) + belt
    found = []
    for name, pull, anchor in zip(
        ("left", "right"), pulls, (looked.hanging.left, looked.hanging.right), strict=True
    ):
        verdict = BAD if pull > anchor.holds else WARNING if pull > anchor.holds / 2 else GOOD
        text = f"Pulled with up to {pull:.1f} N; its fixing holds {anchor.holds:.0f} N."
        if verdict is not GOOD:
            text += " Use a stronger fixing, or lower the drawing."
        found.append(Check(f"anchor-{name}", verdict, f"{name.capitalize()} anchor", text,
                           (anchor.x, anchor.y, anchor.x, anchor.y)))  # fmt: skip
    return found


def torque(looked: Looked) -> list[Check]:
    """Torque margin along the job, worst stroke named."""
    motion, machine = looked.motion, looked.document.machine
    if not len(motion.tension):
        return []
    seconds = np.diff(motion.time)
    speed = np.zeros_like(motion.belts)
    moving = seconds > 0
    speed[1:][moving] = np.abs(np.diff(motion.belts, axis=0)[moving]) / seconds[moving, None]
    speed[motion.runs[:-1]] = 0.0
    margin = available_pull(machine, speed) / motion.tension
    worst = int(np.argmin(margin.min(axis=1)))
    run = int(np.searchsorted(motion.runs, worst, side="right") - 1)
    stroke = motion.stroke[run]
    where = f"stroke {stroke + 1}" if stroke >= 0 else "a travel"
    least = float(margin[worst].min())
    x, y = map(float, motion.pen_xy[worst])
    verdict = BAD if least < 1 else WARNING if least < 1.3 else GOOD
    text = f"The motors can pull at least {least:.1f} times what the job asks; least in {where} at {x:.0f}, {y:.0f} mm."
    if verdict is not GOOD:
        text += " Raise the motor current, lower the drawing, or slow down."
    return [Check("torque", verdict, "Motor torque", text, (x, y, x, y))]


def belts(looked: Looked) -> list[Check]:
    need, have = max(looked.estimate.longest_belt_mm), looked.document.machine.belt.length
    if need > have:
        return [
            Check(
                "belts", BAD, "Belt length", f"The job needs {need:.0f} mm of belt; there is {have:.0f} mm."
            )
        ]
    return [
        Check(
            "belts",
            GOOD,
            "Belt length",
            f"The job needs up to {need:.0f} mm of belt; there is {have:.0f} mm.",
        )
    ]


def formula(looked: Looked) -> list[Check]:
    """Whether a controller that takes coordinates can be told the true belt lengths."""
    machine, place = looked.document.machine, looked.hanging
    nowhere = ~np.isfinite(from_belts(machine, place, "plane", looked.motion.belts)).all(axis=1)
    if not nowhere.any():
        return []
    points = looked.motion.pen_xy[nowhere]
    low, high = points.min(axis=0), points.max(axis=0)
    taken = machine.controller.takes == "plane"
    x, y = points[0]
    text = (f"The controller's own formula has no place for the belt lengths around {x:.0f}, {y:.0f} mm, "
            + ("so it cannot be told to go there. " if taken else "so corrected coordinates and SVG are not written. ")
            + "Lower the drawing, or give the controller the distance of the exits, if it has one.")  # fmt: skip
    return [
        Check(
            "formula",
            BAD if taken else NOTE,
            "Controller's formula",
            text,
            (*map(float, low), *map(float, high)),
        )
    ]


def accuracy(looked: Looked) -> list[Check]:
    """How near the pen will be to its place."""
    points = looked.strokes.points
    if not len(points):
        return []
    sample = points[:: max(len(points) // ACCURACY_POINTS, 1)]
    left = expected(looked.document.machine, looked.hanging, hang(looked.rig, sample))
    text = left.sentence()
    if left.calibrated:
        return [
            Check(
                "accuracy",
                GOOD,
                "Accuracy",
                f"{text} Calibrated with {looked.hanging.learnt.readings} readings.",
            )
        ]
    if left.typical <= UNCALIBRATED:
        return [Check("accuracy", GOOD, "Accuracy", text)]
    text += " Calibrate with a test drawing to know better."
    return [Check("accuracy", NOTE, "Accuracy", text, None, ("calibrate",))]


def wall(looked: Looked) -> list[Check]:
    space = looked.document.wall
    found = []
    for name, anchor in (("left", looked.hanging.left), ("right", looked.hanging.right)):
        if not (space.left <= anchor.x <= space.right and space.top <= anchor.y <= space.floor):
            found.append(Check("wall", BAD, "Anchor on the wall", f"The {name} anchor lies off the wall.",
                               (anchor.x, anchor.y, anchor.x, anchor.y)))  # fmt: skip
    return found


def supply(looked: Looked) -> list[Check]:
    machine = looked.document.machine
    motor = machine.motor
    need = supply_power(machine)
    volts = reference_voltage(motor.set_current, motor.sense_resistor)
    text = (f"About {need:.0f} W are needed, the supply gives {motor.supply_power:.0f} W. For {motor.set_current:g} A set "
            f"the drivers' reference to {volts:.2f} V (sense resistor {motor.sense_resistor:g} Ω).")  # fmt: skip
    if motor.set_current > motor.rated_current:
        return [Check("supply", BAD, "Motor current", f"{motor.set_current:g} A is more than the motors' rated "
                      f"{motor.rated_current:g} A; they would overheat.")]  # fmt: skip
    return [
        Check("supply", GOOD if motor.supply_power >= need else WARNING, "Motor current and supply", text)
    ]


def artwork(looked: Looked) -> list[Check]:
    """What reading left out."""
    found = []
    for report in looked.preview.reports:
        bad = [f for f in report.findings if f.severity is not Severity.NOTE]
        name = looked.document.artwork(looked.document.placement(report.placement).artwork).name
        if bad:
            examples = "; ".join(f"{f.element}: {f.text}" for f in bad[:3])
            more = f"; and {len(bad) - 3} more" if len(bad) > 3 else ""
            found.append(Check("artwork", WARNING, f"{name}: not all is drawn", f"{examples}{more}."))
    return found


def ink_spacing(looked: Looked) -> list[Check]:
    fill, pens = looked.document.settings.fill, looked.document.pens
    widest = max(p.width for p in pens)
    if fill.kind != "none" and looked.strokes.is_fill.any() and fill.spacing < 0.5 * widest:
        return [Check("spacing", WARNING, "Fill spacing", f"Lines {fill.spacing:g} mm apart with a {widest:g} mm pen wet "
                      "the wall twice; ink may run. Widen the spacing.")]  # fmt: skip
    return []


CHECKS: tuple[Callable[[Looked], list[Check]], ...] = (
    drawable, zone, datum, anchors, torque, belts, formula, accuracy, wall, supply, artwork, ink_spacing,
)  # fmt: skip
