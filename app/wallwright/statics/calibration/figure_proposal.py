"""Proposes calibration figures: where the marks go and which readings to take. Three kinds of figure are in a table.

Readings are chosen greedily: each time the one that most lowers the expected error over the drawing area (optimal design
for prediction, "I-optimality"; Atkinson, Donev and Tobias, Optimum Experimental Designs, 2007, sections 10 and 11), given
the readings already chosen and the priors. Then readings are added until each is controlled by the others (reliability.py);
those that cannot be are taken twice. A square is the figure everybody trusts; the grid covers the area evenly; "few" uses
the most informative marks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.calibration import LEFT, RIGHT, Mark, TapeReading
from wallwright.document.errors import BadValue
from wallwright.document.language import N_, tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.expected_error import prior_error
from wallwright.statics.calibration.measurement_model import Readings, drawn
from wallwright.statics.calibration.parameters import read_all
from wallwright.statics.calibration.reliability import (
    detectable_by_repeating,
    detectable_errors,
    needed_redundancy,
    redundancies,
    with_one_more,
)
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.limits import broken
from wallwright.statics.pose import inverse_kinematics

Box = tuple[float, float, float, float]
"""left, top, right, bottom, mm in the wall frame."""

SIGMA = {"distance": 0.5, "anchor": 0.7, "plumb": 0.8, "across": 1.0, "down": 1.0}
"""Standard uncertainties of a steel tape, mm: between crosses, read to half a millimetre; to the middle of a nail; from
a plumb line through an anchor; with a plumb line through a cross, or a level. Common practice, no source."""
FARTHEST_PLUMB = 1200.0
"""Largest distance from a plumb line that can be measured with a tape held level by hand, mm."""
LEAST_TAPE = 100.0
"""Shortest useful reading, mm."""
LETTER_MARGIN = 36.0
"""Distance between the centres of crosses and the edge of the draw zone, mm: room for their arms and letters."""
UNKNOWN_FORMULA_MARGIN = 50.0
"""Distance between a test drawing and the edge of the draw zone, mm, while the machine's formula is unknown."""
ATTAINABLE = 0.8
"""Redundancy above which more readings gain little."""
REPEAT_COST = 1.5
"""Cost of repeating a reading relative to one more reading: a difference does not show which of the two is wrong."""
MOST_CONTROLS = 8
"""Largest number of readings added to check others."""
GRID_POINTS = 7
"""Number of points per side at which the expected error is evaluated."""
NAMES = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class CalibrationFigure:
    """A kind of test drawing."""

    title: str
    help: str
    points: Callable[[Box], Floats]
    readings: int
    """Number of readings to propose."""
    pick: bool = False
    """True: only marks that a chosen reading uses are drawn."""


def _grid(columns: int, rows: int) -> Callable[[Box], Floats]:
    def points(box: Box) -> Points:
        xs, ys = np.linspace(box[0], box[2], columns), np.linspace(box[1], box[3], rows)
        return np.stack(np.meshgrid(xs, ys), axis=2).reshape(-1, 2)

    return points


def _square(box: Box) -> Floats:
    """Returns the corners, clockwise from the top left, and the centre of the largest square in the middle of the box."""
    side = min(box[2] - box[0], box[3] - box[1]) / 2
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return np.array([(x - side, y - side), (x + side, y - side), (x + side, y + side), (x - side, y + side), (x, y)])


FIGURES = {
    "square": CalibrationFigure(
        N_("Square with diagonals"),
        N_("Five crosses. Sides and diagonals show at once what is wrong."),
        _square,
        14,
    ),
    "grid": CalibrationFigure(
        N_("Grid of crosses"),
        N_("Nine crosses over the whole area for the most accurate result."),
        _grid(3, 3),
        20,
    ),
    "few": CalibrationFigure(
        N_("Fewest readings"),
        N_("Crosses placed so that few tape readings give the best result."),
        _grid(4, 4),
        10,
        True,
    ),
}


@dataclass(frozen=True)
class FigureProposal:
    """A figure proposed for one machine in one hanging."""

    figure: str
    marks: tuple[Mark, ...]
    measures: tuple[TapeReading, ...]
    """Readings to take, the most informative first, with their expected values."""
    expected: tuple[float, ...]
    """Expected error over the box, mm, two standard uncertainties: before any reading and after each one."""
    detectable: tuple[float, ...]
    """Smallest error in each reading that the others reveal, mm."""


def propose_figure(machine: Machine, hanging: Hanging, wall: Wall, box: Box, figure: str) -> FigureProposal:
    """Returns marks in the box and the readings to take. Raises BadValue if the box is not entirely inside the draw zone."""
    kind = FIGURES[figure]
    points = kind.points(box)
    rig = CableRobotModel.of(machine, hanging)
    pose = inverse_kinematics(rig, points)
    if broken(wall, machine, rig, pose).any():
        raise BadValue(tr("The test drawing leaves the draw zone. Make it smaller or move it"))
    counts = belts_to_controller(machine, hanging, "belts", pose.belts)
    marks = tuple(
        Mark(NAMES[k], x, y, left, right, place)
        for k, ((x, y), (left, right), place) in enumerate(
            zip(points.tolist(), counts.tolist(), _places_on_page(machine, hanging, pose.belts), strict=True)
        )
    )
    candidates = _candidates(marks, hanging)
    order, expected, detectable = _chosen(machine, hanging, marks, candidates, box, kind)
    chosen = [candidates[k] for k in order]
    if kind.pick:
        used = {name for m in chosen for name in (m.a, m.b)}
        kept = [m for m in marks if m.name in used]
        names = {m.name: NAMES[k] for k, m in enumerate(kept)} | {LEFT: LEFT, RIGHT: RIGHT}
        marks = tuple(Mark(names[m.name], m.x, m.y, m.left, m.right, m.plane) for m in kept)
        chosen = [TapeReading(m.kind, names[m.a], names[m.b], m.value, m.uncertainty) for m in chosen]
    return FigureProposal(figure, marks, tuple(chosen), tuple(expected), tuple(detectable))


def _has_place(machine: Machine, hanging: Hanging, belts: Floats, page: Box | None) -> bool:
    """Returns whether the formula of a machine that takes drawings has a position for belts (n, 2), mm, inside the page's
    box in the plane, mm. True for other machines."""
    if machine.controller.takes != "drawing":
        return True
    plane = belts_to_controller(machine, hanging, "plane", belts)
    if not np.isfinite(plane).all():
        return False
    return page is None or bool(((plane >= page[:2]) & (plane <= page[2:])).all())


def on_the_wall(page: Box, hanging: Hanging) -> Box:
    """Returns the approximate position on the wall of a box in the plane, mm: as if belts and formula agreed."""
    x, y = hanging.left.x, hanging.left.y
    return page[0] + x, page[1] + y, page[2] + x, page[3] + y


def moved_into(box: Box, around: Box) -> Box:
    """Returns the box moved by the least distance that brings it inside another one, which must be at least as large."""
    ends: list[tuple[float, float]] = []
    for low, high, least, most in ((box[0], box[2], around[0], around[2]), (box[1], box[3], around[1], around[3])):
        size = min(high - low, most - least)
        begin = min(max(low, least), most - size)
        ends.append((begin, begin + size))
    (left, right), (top, bottom) = ends
    return left, top, right, bottom


def _places_on_page(machine: Machine, hanging: Hanging, belts: np.ndarray) -> list[tuple[float, float]] | list[None]:
    """Returns where the page of a machine that takes drawings must draw marks with belts (n, 2), mm; None for other
    machines, and where its formula has no such position."""
    controller = machine.controller
    plane = belts_to_controller(machine, hanging, "plane", belts)
    if controller.takes != "drawing" or not np.isfinite(plane).all():
        return [None] * len(belts)
    asked = plane - [controller.page.shift_right, controller.page.shift_down]
    return [(float(x), float(y)) for x, y in asked]


def fitting_box(machine: Machine, hanging: Hanging, wall: Wall, box: Box, page: Box | None = None) -> Box:
    """Returns the box, or the largest one about its centre that lies entirely inside the draw zone, in steps of a twentieth.
    page: the area that the page of a machine that takes drawings holds, in the plane, mm; None: unlimited.

    Raises BadValue if even a small box does not fit.
    """
    middle = np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])
    half = np.array([(box[2] - box[0]) / 2, (box[3] - box[1]) / 2])
    rig = CableRobotModel.of(machine, hanging)
    # A machine with an unknown formula draws beside the intended place.
    margin = (
        UNKNOWN_FORMULA_MARGIN
        if machine.controller.takes == "drawing" and hanging.calibration is None
        else LETTER_MARGIN
    )
    for share in np.linspace(1.0, 0.1, 19):
        low, high = middle - share * half, middle + share * half
        found = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        grown = (found[0] - margin, found[1] - margin, found[2] + margin, found[3] + margin)
        pose = inverse_kinematics(rig, _grid(GRID_POINTS, GRID_POINTS)(grown))
        if not broken(wall, machine, rig, pose).any() and _has_place(machine, hanging, pose.belts, page):
            return found
    raise BadValue(tr("There is no room for a test drawing there. Put its centre well inside the draw zone"))


def _candidates(marks: tuple[Mark, ...], hanging: Hanging) -> list[TapeReading]:
    """Returns every reading a person could take, with its expected value."""
    places = {m.name: np.array([m.x, m.y]) for m in marks}
    places[LEFT] = np.array([hanging.left.x, hanging.left.y])
    places[RIGHT] = np.array([hanging.right.x, hanging.right.y])
    found = []
    for a, b in combinations(places, 2):
        dx, dy = places[b] - places[a]
        nails = {LEFT, RIGHT} & {a, b}
        if np.hypot(dx, dy) >= LEAST_TAPE:
            sigma = SIGMA["anchor"] if nails else SIGMA["distance"]
            found.append(TapeReading("distance", a, b, float(np.hypot(dx, dy)), sigma))
        # A level or plumb line is used between nearly level or plumb points only, except at the anchors.
        if nails == {LEFT, RIGHT} or (not nails and abs(dy) < 1 < abs(dx)):
            found.append(TapeReading("down", a, b, float(dy), SIGMA["down"]))
        if not nails and abs(dx) < 1 < abs(dy):
            found.append(TapeReading("across", a, b, float(dx), SIGMA["across"]))
        if len(nails) == 1 and LEAST_TAPE < abs(dx) < FARTHEST_PLUMB and abs(dy) > LEAST_TAPE:
            # Plumb line from the anchor; the reading is to the right, as the person reads it.
            first, second = (a, b) if dx > 0 else (b, a)
            found.append(TapeReading("across", first, second, abs(float(dx)), SIGMA["plumb"]))
    return found


def _chosen(
    machine: Machine,
    hanging: Hanging,
    marks: tuple[Mark, ...],
    candidates: list[TapeReading],
    box: Box,
    kind: CalibrationFigure,
) -> tuple[list[int], list[float], list[float]]:
    """Returns the indices of the readings to take, in order, a repeated one twice; the expected error before and after
    each, mm; and the smallest detectable error of each, mm."""
    area = inverse_kinematics(CableRobotModel.of(machine, hanging), _grid(GRID_POINTS, GRID_POINTS)(box))
    parameters, covariance, moves = prior_error(machine, hanging, area)
    weight = np.einsum("nip,niq->pq", moves, moves) / len(moves)
    counts, meant = np.array([(m.left, m.right) for m in marks]), np.array([(m.x, m.y) for m in marks])
    at = drawn(machine, hanging, parameters, read_all(parameters, machine, hanging), counts, meant)
    readings = Readings.of(marks, tuple(candidates))
    rows = readings.derivatives(at.points, at.moves)
    variance = readings.sigma**2
    order: list[int] = []
    expected = [2 * float(np.sqrt(np.trace(weight @ covariance)))]

    def take(k: int) -> None:
        nonlocal covariance
        order.append(k)
        through = covariance @ rows[k]
        covariance = covariance - np.outer(through, through) / (variance[k] + through @ rows[k])
        expected.append(2 * float(np.sqrt(max(np.trace(weight @ covariance), 0.0))))

    for _ in range(min(kind.readings, len(candidates))):
        through = rows @ covariance
        gain = np.einsum("mp,pq,mq->m", through, weight, through) / (variance + np.einsum("mp,mp->m", through, rows))
        gain[order] = -1.0
        take(int(np.argmax(gain)))
    # Control readings go between crosses that are drawn anyway.
    there = {name for k in order for name in (candidates[k].a, candidates[k].b)}
    allowed = np.array([not kind.pick or {c.a, c.b} <= there for c in candidates])
    need = needed_redundancy(variance)
    attainable = np.minimum(need, ATTAINABLE)

    def weak() -> list[int]:
        is_weak = redundancies(rows[order], variance[order], covariance) < need[order]
        return [k for k, k_is_weak in zip(order, is_weak, strict=True) if k_is_weak]

    best, least = len(order), len(order) + REPEAT_COST * len(weak())
    states = {len(order): covariance}
    for _ in range(MOST_CONTROLS):
        after = with_one_more(rows, variance, covariance, rows[order], variance[order])
        wanted = np.column_stack([np.broadcast_to(attainable[order], (len(rows), len(order))), attainable])
        lack = np.maximum(wanted - after, 0.0).sum(axis=1)
        lack[order] = np.inf
        lack[~allowed] = np.inf
        if not np.isfinite(lack.min()):
            break
        take(int(np.argmin(lack)))
        states[len(order)] = covariance
        cost = len(order) + REPEAT_COST * len(weak())
        if cost < least:
            best, least = len(order), cost
    covariance = states[best]
    del order[best:], expected[best + 1 :]
    for k in weak():
        take(k)
    redundancy = redundancies(rows[order], variance[order], covariance)
    detectable = detectable_errors(variance[order], redundancy)
    is_twice = np.array([order.count(k) > 1 for k in order])
    detectable[is_twice] = np.minimum(detectable[is_twice], detectable_by_repeating())
    return order, expected, detectable.tolist()
