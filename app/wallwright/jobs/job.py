"""The data from which the files of a hanging's job are written."""

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
    """Returns the name of a file of a job continued from a stroke, counted from 1."""
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
    """Strokes in drawing order."""
    motion: Motion
    estimate: Estimate
    checks: tuple[Check, ...]
    belts: ControllerPath
    """The path in belt lengths."""
    plane: ControllerPath | None
    """The path in corrected coordinates of the controller's own simple formula; None where that has no solution."""
    plane_code: ControllerPath | None
    """The same for RS-274: with arcs, where the controller takes them."""
    start_pose: Pose
    """Pose at the start of the job."""
    ignored: IgnoredLimits
    """Limits that strokes exceed outside the draw zone; none unless the person decided to draw there anyway."""

    before: DrawnBefore | None = None
    """What is drawn already, when this continues a job."""
    project: str = ""
    """Name of the project."""
    leaves: tuple[RegisterMark, ...] = ()
    """Register marks drawn for later hangings."""
    seeks: tuple[RegisterMark, ...] = ()
    """Register marks that this hanging is aligned by."""
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
        """Index of the first stroke in the whole job."""
        return self.before.first if self.before is not None else 0

    @property
    def of(self) -> int:
        """Number of strokes of the whole job."""
        return self.before.of if self.before is not None else len(self.strokes)

    @property
    def fingerprint(self) -> str:
        """Digest of the strokes, to which stroke numbers refer."""
        return fingerprint(self.before.digest if self.before is not None else strokes_digest(self.strokes))

    def file(self, name: str) -> str:
        """Returns the name of one of its files. That of a continued job says where it begins, so that the whole job's file
        is kept. It says that limits are ignored where the file cannot."""
        name = name_for(name, self.document.machine.controller, bool(self.ignored))
        return name if self.before is None else continued_file_name(name, self.first + 1)

    @property
    def hanging(self) -> Hanging:
        return self.document.hangings[self.hanging_index]

    def counted(self, belts: Floats) -> Floats:
        """Returns (n, 2) the controller's count for true belt lengths (n, 2), mm."""
        return belts_to_controller(self.document.machine, self.hanging, "belts", belts)
