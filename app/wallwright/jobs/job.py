"""Everything the files of one hanging's job are written from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from wallwright.document.arrays import Floats
from wallwright.document.document import Document
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging
from wallwright.jobs.checks import Check
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.file_names import name_for
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.motion.plan import Estimate, Motion
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.pose import Pose
from wallwright.strokes.remaining import DrawnBefore, fingerprint, strokes_digest
from wallwright.strokes.strokes import Strokes

if TYPE_CHECKING:
    from wallwright.jobs.drawing_set import DrawingSet


def continued_file_name(name: str, stroke: int) -> str:
    """What a file of the rest from a stroke, counted from 1, is called."""
    stem, _, kind = name.rpartition(".")
    return f"{stem}-from-stroke-{stroke}.{kind}"


@dataclass(frozen=True)
class NeighbourInk:
    """What another hanging of the same wall draws."""

    hanging: int
    """Its number, from 0."""
    strokes: Strokes
    """In file order."""


@dataclass(frozen=True)
class Job:
    """A planned hanging, ready to be written."""

    document: Document
    hanging_index: int
    rig: CableRobotModel
    strokes: Strokes
    """In drawing order."""
    motion: Motion
    estimate: Estimate
    checks: tuple[Check, ...]
    belts: ControllerPath
    """The path in belt lengths."""
    plane: ControllerPath | None
    """The path in corrected coordinates of the controller's own simple formula; None where that has no place for it."""
    plane_code: ControllerPath | None
    """The same as RS-274 says it: with arcs, where the controller takes them."""
    start_pose: Pose
    """One pose: where the job starts."""
    ignored: IgnoredLimits
    """Limits that strokes break outside the draw zone; none unless the person decided to draw there anyway."""

    before: DrawnBefore | None = None
    """What is drawn already, when this is the rest of a job."""
    project: str = ""
    """Name of the project."""
    leaves: tuple[RegisterMark, ...] = ()
    """Register marks that it draws for later hangings."""
    seeks: tuple[RegisterMark, ...] = ()
    """Register marks that it is lined up by."""
    neighbours: tuple[NeighbourInk, ...] = ()
    """What the other hangings of the wall draw; those that draw nothing are left out."""
    handover_lines: tuple[float, ...] = ()
    """x of the lines where neighbouring hangings meet, mm, from left to right."""
    drawing: DrawingSet | None = None
    """The files for a machine that takes drawings; None for others."""

    @property
    def in_plane(self) -> ControllerPath:
        """`plane`, for files that are only written where there is one."""
        assert self.plane is not None, "the controller's formula has no place for this path"
        return self.plane

    @property
    def code_in_plane(self) -> ControllerPath:
        """`plane_code`, likewise."""
        assert self.plane_code is not None, "the controller's formula has no place for this path"
        return self.plane_code

    @property
    def first(self) -> int:
        """Number, from 0, of the first stroke among those of the whole job."""
        return self.before.first if self.before is not None else 0

    @property
    def of(self) -> int:
        """Strokes of the whole job."""
        return self.before.of if self.before is not None else len(self.strokes)

    @property
    def fingerprint(self) -> str:
        """Tells whether a number counts among the same strokes."""
        return fingerprint(self.before.digest if self.before is not None else strokes_digest(self.strokes))

    def file(self, name: str) -> str:
        """The name of one of its files: that of a rest says where it begins, and leaves the whole job's alone. It says that
        limits are ignored where the file cannot."""
        name = name_for(name, self.document.machine.controller, bool(self.ignored))
        return name if self.before is None else continued_file_name(name, self.first + 1)

    @property
    def hanging(self) -> Hanging:
        return self.document.hangings[self.hanging_index]

    def counted(self, belts: Floats) -> Floats:
        """(n, 2) mm that a controller of belts counts where the true belts are (n, 2) mm."""
        return belts_to_controller(self.document.machine, self.hanging, "belts", belts)
