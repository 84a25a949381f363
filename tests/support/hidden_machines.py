"""Machines of which nobody knows page, formula, steps, belt zero and physics: made by seed, drawn with, and measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.support.drawing_machine import ASKED, DrawingMachine
from tests.support.hanging_body import HangingBody
from wallwright.document import edits
from wallwright.document.calibration import LEFT, RIGHT, Survey
from wallwright.document.controller import Controller
from wallwright.document.document import Document
from wallwright.document.drawing_page import DrawingPage
from wallwright.document.machine import Belt, Body
from wallwright.document.wall import Anchor
from wallwright.jobs.drawing_layout import page_layout
from wallwright.planning.calibration_figure import ARM, CAPITAL, LETTER, proposal_for, with_survey
from wallwright.planning.proof_drawing import proof_figure_for, proof_lines, proof_result
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.drawing_fit import fit_survey
from wallwright.statics.calibration.expected_error import expected_error_over_strokes
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.pose import inverse_kinematics

BELIEVED = {
    "typed": "typed",
    "ink": "typed",
    "centred": "centred",
    "anchors": "anchors",
    "area": "anchors",
    "wall": "wall",
}
"""Placing that an owner sees, by what the page really does: who is asked nothing takes the page for what is between the
anchors."""
SIGMA = 0.5
"""mm of a tape reading."""


@dataclass
class Hidden:
    """One machine as it is, and the document of an owner who does not know it."""

    document: Document
    machine: DrawingMachine
    anchors: tuple[tuple[float, float], tuple[float, float]]
    random: np.random.Generator


@dataclass(frozen=True)
class Outcome:
    """How well it draws after proof and calibration."""

    errors: np.ndarray
    """(n,) mm over the drawing area."""
    stated: np.ndarray
    """(n,) mm: two standard uncertainties there."""
    before: np.ndarray
    """(n,) mm, after the proof alone."""
    fit: object
    survey: Survey
    """With its readings."""


def hidden_machine(seed: int, outside: bool = False) -> Hidden:
    """outside: with something that no variant of the formula holds."""
    random = np.random.default_rng(seed)

    def off(size: float) -> float:
        return float(random.uniform(-size, size))

    kind = str(random.choice(list(BELIEVED)))
    body = Body(mass=0.5 + 0.7 * float(random.random()), centre=(0.0, 10 + 25 * float(random.random())))
    wide, high = 40 + 40 * float(random.random()), float(random.choice([0.0, 15.0, 30.0]))
    body = edits.replace(body, left_exit=(-wide, -high), right_exit=(wide, -high))
    page = DrawingPage(is_known=False, placing=BELIEVED[kind], asks=tuple(ASKED[kind]))
    document = Document()
    machine = edits.replace(
        document.machine,
        body=body,
        belt=Belt(mass=0.0, stiffness=float(random.uniform(6e3, 15e3))),
        controller=Controller(takes="drawing", pacing="constant", page=page),
    )
    distance = float(random.uniform(1700, 2400))
    place = edits.replace(
        document.hangings[0], right=Anchor(distance, 0.0), start_point=(distance / 2, 0.45 * distance)
    )
    document = edits.replace(document, machine=machine, hangings=(place,))

    def near(point, across: float, down: float):
        return point[0] + off(across), point[1] + off(down)

    anchors = ((0.0, 0.0), (distance + off(3), off(3)))
    hanging = HangingBody(
        anchors,
        (near(body.left_exit, 2, 2), near(body.right_exit, 2, 2)),
        near(body.centre, 3, 8),
        body.mass + off(0.03),
        machine.belt.stiffness * (1 + off(0.3)),
    )
    spacing, rise = ((0.0, 0.0), (2 * wide, 0.0), (2 * wide + off(15), 0.0), (2 * wide, high), (0.0, high))[
        int(random.integers(5))
    ]
    bend = None
    if outside:
        size, lean = float(random.choice([-1, 1])) * random.uniform(12, 24), off(0.5)

        def bend(x, y):  # its own tilt correction, half right, and stronger on one side
            tilt = np.tanh((x - distance / 2) / (0.25 * distance + 0.5 * np.abs(y)))
            return size * np.column_stack([tilt + lean * tilt**2, -tilt + lean * tilt**2])

    true = DrawingMachine(
        kind,
        hanging,
        machine.steps_per_mm,
        unit=str(random.choice(["mm", "px", "user"])),
        per_inch=float(np.random.default_rng([seed, 1]).choice([96.0, 90.0, 72.0, 100.0])),
        is_up=bool(random.random() < 0.3),
        area=(0.15 * distance, 120.0, 0.8 * distance, 0.9 * distance),
        added=float(random.choice([0.0, off(8)])),
        spacing=spacing,
        rise=rise,
        own_steps=80 * (1 + off(0.004)),
        zero=(off(15), off(15)),
        offset=(off(25), off(25)),
        bend=bend,
    )
    if kind in ("anchors", "area", "typed", "wall"):
        # The page's size in mm does not count there; of a wall in pixels the proof would come to the left anchor.
        true.unit = "user"
    return Hidden(document, true, anchors, random)


def drawn(hidden: Hidden, document: Document, lines: np.ndarray) -> np.ndarray:
    """(k, 2, 2) mm: where the machine draws the ends of straight lines (k, 2, 2) that are meant on the wall, from a plain file
    and with the numbers typed that the program says."""
    hanging, rig = document.hangings[0], CableRobotModel.of(document.machine, document.hangings[0])
    belts = inverse_kinematics(rig, lines.reshape(-1, 2)).belts
    plane = belts_to_controller(document.machine, hanging, "plane", belts)
    layout = page_layout(document.machine, hanging, document.wall, plane)
    numbers = layout.to_file(np.concatenate([layout.ticks.reshape(-1, 2), plane])).reshape(-1, 2, 2)
    size = layout.width * layout.per_mm, layout.height * layout.per_mm
    unit = "mm" if document.machine.controller.page.unit == "mm" else ""
    paths = "".join(f'<path d="M{a[0]:.3f},{a[1]:.3f}L{b[0]:.3f},{b[1]:.3f}"/>' for a, b in numbers)
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]:.4f}{unit}" height="{size[1]:.4f}{unit}" '
        f'viewBox="0 0 {size[0]:.4f} {size[1]:.4f}">{paths}</svg>'
    )
    if hidden.machine.unit == "mm" and not unit:
        hidden.machine.unit = "user"
    placed = hidden.machine.placed(text, dict(layout.typed))[len(layout.ticks) :]
    return hidden.machine.pens(np.concatenate(placed)).reshape(-1, 2, 2)


def taped(hidden: Hidden, a: np.ndarray, b: np.ndarray) -> float:
    return float(np.hypot(*(b - a)) + hidden.random.normal(0, SIGMA))


def after_proof(hidden: Hidden) -> Document:
    """The owner's document once the proof drawing is drawn and measured."""
    document = hidden.document
    figure = proof_figure_for(document, 0)
    lines = drawn(hidden, document, proof_lines(figure))
    crosses = [lines[0].mean(axis=0), lines[2].mean(axis=0)]
    tape = tuple(taped(hidden, np.array(anchor), cross) for cross in crosses for anchor in hidden.anchors)
    return edits.replace(document, machine=proof_result(document, 0, tape).machine)


def calibrated(hidden: Hidden, document: Document, side: int = 7) -> Outcome:
    """Twenty readings of the grid figure, the fit, and a drawing over the same area with what was found."""
    proposal = proposal_for(document, 0, "grid")
    document = with_survey(document, 0, proposal)
    survey = document.hangings[0].survey
    points = np.array([[m.x, m.y] for m in survey.marks])
    # Beside the crosses what the figure's letters reach: they are part of the drawing that the page places.
    corners = points[:, None] + [[-ARM, 0.0], [ARM, -ARM / 2 - CAPITAL * LETTER], [0.0, ARM]]
    lines = np.concatenate([np.stack([points, points], axis=1), corners[:, :2], corners[:, 1:]])
    seen = drawn(hidden, document, lines)[: len(points), 0]
    places = dict(zip([m.name for m in survey.marks], seen, strict=True))
    places |= {LEFT: np.array(hidden.anchors[0]), RIGHT: np.array(hidden.anchors[1])}

    def read(measure):
        d = places[measure.b] - places[measure.a]
        value = {"distance": np.hypot(*d), "across": d[0], "down": d[1]}[measure.kind] + hidden.random.normal(0, SIGMA)
        return edits.replace(measure, value=float(value), uncertainty=SIGMA)

    survey = edits.replace(survey, measures=tuple(map(read, survey.measures)))
    fit = fit_survey(document.machine, document.hangings[0], survey)
    known = edits.replace(document, machine=fit.machine, hangings=(fit.hanging,))
    low, high = points.min(axis=0), points.max(axis=0)
    share = (np.arange(side) + 0.5) / side
    grid = np.stack(np.meshgrid(*(low[k] + share * (high[k] - low[k]) for k in (0, 1))), axis=2).reshape(-1, 2)
    pairs = np.stack([grid, grid], axis=1)
    after, before = (np.hypot(*(drawn(hidden, d, pairs)[:, 0] - grid).T) for d in (known, document))
    stated = 2 * expected_error_over_strokes(known.machine, known.hangings[0], grid).by_point
    return Outcome(after, stated, before, fit, survey)
