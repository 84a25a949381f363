"""Friction figure: measures each pen's friction on the wall from the distances between lines drawn in alternating
directions.

Each pen draws two combs, each LINES lines in one zigzag stroke, SPACING apart. The friction D of a pen that moves in
direction t displaces it by -C t D, with the compliance C of the hanging body. Across the lines, whose normal is n, lines
drawn in opposite directions are displaced to opposite sides, so the distances between neighbours are alternately SPACING
plus and minus 2 D |n . C t|. The lines of a comb have the direction in which |n . C t| is largest; those of the second comb
are at right angles to them, where it is equally large. Half the mean difference between wide and narrow distances gives D,
whatever the scale of the drawing.

They are drawn without friction correction, and slowly, so that little swing is left in their middles. The first and the
last line of a comb are drawn in the same direction, so friction does not change the distance between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.quantity import quantities
from wallwright.document.wall import Hanging, Point
from wallwright.planning.pen_figures import Lines, digits, figure_corner, figure_document
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.outer_force import outer_force
from wallwright.statics.pose import inverse_kinematics

LINES = 7
DISTANCES = LINES - 1
SPACING = 10.0
"""Distance between lines, mm: friction of half a newton moves few machines' pens farther."""
LINE_PLACES: Floats = SPACING * np.arange(-(LINES - 1) / 2, LINES / 2)
"""(LINES,) mm: positions of the lines of a comb, from its middle."""
LENGTH = 60.0
"""Length of a line, mm: many times the distance over which a pen that reversed is dragged into its new offset."""
ROOM = 95.0
"""Width and height reserved for a comb in any direction, mm."""
SIZE = 2 * ROOM, ROOM
"""Size of one pen's combs, mm."""
DISTANCE_BELOW = 400.0
"""Distance from the starting point down to the figure's middle, mm: there friction moves the pen three to four times as
far."""
DIGITS = 8.0
"""Height of a pen's number, beside its first comb, mm."""
TRIAL_FORCE = 0.2
"""Force with which the compliance is computed, N."""
ANGLES = np.radians(np.arange(0.0, 180.0, 5.0))
SUFFICIENT_SHARE = 0.99
"""Share of the largest compliance that suffices: the first direction that has it is chosen. In the wall's middle two
directions are equal, and rounding must not decide between them."""
READING_SIGMA = 0.3
"""Standard uncertainty, mm, of a distance between two lines, read with a ruler at its middle."""
MODEL_SIGMA = 0.05
"""Relative standard uncertainty of the compliance, limited by that of mass and centre of mass."""
LEAST_COMPLIANCE = 0.5
"""Smallest compliance across the lines, mm per N; below it a ruler shows almost nothing."""
FEWEST = 2
"""Smallest number of distances of a comb that must be read."""
SPEED, SWING = 15.0, 0.1
"""Limits of speed, mm/s, and swing, mm, while the figure is drawn."""


@dataclass(frozen=True)
class Comb:
    """One comb of the figure. Lengths in mm from the figure's top left corner."""

    pen: int
    """Index of its pen in the document."""
    number: int
    """0 or 1: the first or the second comb of its pen."""
    middle: Point
    angle: float
    """Direction of its lines, rad."""

    @property
    def turned(self) -> Comb:
        """The same comb with its lines turned by a right angle."""
        return replace(self, angle=self.angle + np.pi / 2)

    @property
    def along(self) -> Floats:
        """(2,) unit vector along its lines, in mm."""
        return np.array([np.cos(self.angle), np.sin(self.angle)])

    @property
    def across(self) -> Floats:
        """(2,) unit vector from its first line to its last one, in mm."""
        return np.array([-np.sin(self.angle), np.cos(self.angle)])

    def places(self, along: Floats, across: Floats) -> Points:
        """Returns (n, 2) mm from the figure's corner, for points (n,) mm from the comb's middle along and across its
        lines."""
        return np.add(self.middle, np.outer(along, self.along) + np.outer(across, self.across))

    @property
    def path(self) -> Points:
        """Returns (n, 2) mm from the figure's corner, n twice LINES: both ends of each line, in drawing order."""
        ends = np.where(np.arange(LINES) % 2 == 0, -1.0, 1.0) * LENGTH / 2
        return self.places(np.column_stack([ends, -ends]).ravel(), np.repeat(LINE_PLACES, 2))


def figure_combs(document: Document, hanging: int) -> tuple[Comb, ...]:
    """Returns the combs of the figure, two for each pen with its own tip."""
    size, focus = _size(len(document.pens))
    corner = figure_corner(document, hanging, size, focus)
    return tuple(
        Comb(number, comb, _middle(number, comb), _angle(document, hanging, corner, number, comb))
        for number, pen in enumerate(document.pens)
        if not pen.same_as  # otherwise the same tip at another speed
        for comb in (0, 1)
    )


def friction_figure(document: Document, hanging: int) -> Document:
    """Returns a document with the same wall, machine and hanging, and the combs of all pens below the starting point as
    the only artwork."""
    pens = tuple(msgspec.structs.replace(pen, drag=0.0) for pen in document.pens)
    size, focus = _size(len(pens))
    lines: list[Lines] = [[] for _ in pens]
    for comb in figure_combs(document, hanging):
        lines[comb.pen].append(comb.path)
    for number, own in enumerate(lines):
        if own:
            own += digits(number + 1, DIGITS, DIGITS, number * ROOM + 1.5 * DIGITS)
    found = figure_document(document, hanging, tr("pen friction"), size, focus, lines, pens, "pen-friction")
    limits = found.machine.limits
    limits = edits.replace(limits, draw_speed=min(limits.draw_speed, SPEED), swing=min(limits.swing, SWING))
    return edits.replace(found, machine=edits.replace(found.machine, limits=limits))


def read_friction(
    document: Document,
    hanging: int,
    pen: int,
    distances: tuple[Sequence[float], Sequence[float]],
    uncertainties: tuple[float, float] = (READING_SIGMA, READING_SIGMA),
) -> Document:
    """Returns the document with a pen's drag and its uncertainty, from the distances between neighbouring lines of its
    first and its second comb, mm, in order; one of both may be empty. uncertainties: standard uncertainty of each comb's
    distances, mm, as if they were read one by one. Raises BadValue."""
    size, focus = _size(len(document.pens))
    corner = figure_corner(document, hanging, size, focus)
    shown, weight = [], []
    for comb, (read, error) in enumerate(zip(distances, uncertainties, strict=True)):
        if not read:
            continue
        if not FEWEST <= len(read) <= DISTANCES:
            raise BadValue(
                tr("A comb has {0} distances between its lines; read at least {1} of them in order", DISTANCES, FEWEST)
            )
        x, y = _middle(pen, comb)
        place = (corner[0] + x, corner[1] + y)
        across = _across(document, hanging, place, np.array([_angle(document, hanging, corner, pen, comb)]))[0]
        if across < LEAST_COMPLIANCE:
            raise BadValue(tr("Friction hardly shows there. Move the starting point down, and draw the figure again"))
        _check_distances(read)
        shown.append(abs(_alternating(np.array(read, dtype=float))) / (2 * across))
        weight.append(len(read) * (2 * across / error) ** 2)
    if not shown:
        raise BadValue(tr("Read the distances between the lines of at least one comb"))
    drag = float(np.average(shown, weights=weight))
    variance = 1 / np.sum(weight)
    apart = (shown[0] - shown[-1]) ** 2 / 4
    if apart > np.sum(1 / np.array(weight)):  # the combs differ by more than twice the reading error
        variance = max(variance, apart)
    uncertainty = float(np.sqrt(variance + (MODEL_SIGMA * drag) ** 2))
    fields = quantities(Pen)
    if drag > fields["drag"].high:
        raise BadValue(
            tr(
                "These distances would mean a friction of {0:.1f} N; {1:g} N are possible. Check them",
                drag,
                fields["drag"].high,
            )
        )
    own = msgspec.structs.replace(
        document.pens[pen], drag=round(max(drag, fields["drag"].least), 3), drag_uncertainty=round(uncertainty, 3)
    )
    return edits.with_field(document, f"pens.{pen}", own)


def _check_distances(read: Sequence[float]) -> None:
    """Checks distances. Raises BadValue for distances that no comb has."""
    for value in read:
        if not 0 <= value <= 3 * SPACING:
            raise BadValue(
                tr("Lines of a comb are about {0:g} mm apart, not {1:g} mm. Read the distances again", SPACING, value)
            )


def _alternating(read: Floats) -> float:
    """Returns how much every second distance is larger than SPACING, and the others smaller, mm, independent of the
    scale."""
    sign = np.where(np.arange(len(read)) % 2 == 0, 1.0, -1.0)
    design = np.column_stack([np.ones(len(read)), sign])
    return float(np.linalg.lstsq(design, read, rcond=None)[0][1])


def _angle(document: Document, hanging: int, corner: Point, pen: int, comb: int) -> float:
    """Returns the direction of the lines of a pen's comb, rad, in a figure with its top left corner at mm on the wall."""
    (left, y), (right, _) = _middle(pen, 0), _middle(pen, 1)
    place = (corner[0] + (left + right) / 2, corner[1] + y)
    across = _across(document, hanging, place, ANGLES)
    found = float(ANGLES[np.argmax(across >= SUFFICIENT_SHARE * across.max())])
    return found + comb * np.pi / 2


def _across(document: Document, hanging: int, place: Point, angles: Floats) -> Floats:
    """Returns (n,) mm per N: how far friction moves the pen across lines in directions (n,), rad, at a place."""
    rig, along = _rig(document, document.hangings[hanging]), np.column_stack([np.cos(angles), np.sin(angles)])
    at = np.broadcast_to(np.array(place, dtype=float), (len(angles), 2))
    belts = inverse_kinematics(rig, at).belts
    ends = [forward_kinematics(rig, belts, at, outer_force(side * TRIAL_FORCE * along)).pen for side in (1, -1)]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    result: Floats = np.nan_to_num(np.abs(((ends[0] - ends[1]) * normal).sum(axis=1)) / (2 * TRIAL_FORCE))
    return result


def _rig(document: Document, hanging: Hanging) -> CableRobotModel:
    return CableRobotModel.of(document.machine, hanging)


def _middle(pen: int, comb: int) -> Point:
    """Returns the middle of a comb, mm from the figure's corner."""
    return (comb + 0.5) * ROOM, (pen + 0.5) * ROOM


def _size(pens: int) -> tuple[Point, Point]:
    """Returns width and height of the figure, mm, and the place above its middle that is best at the starting point."""
    size = SIZE[0], pens * SIZE[1]
    return size, (size[0] / 2, size[1] / 2 - DISTANCE_BELOW)
