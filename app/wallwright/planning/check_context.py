"""What the checks look at."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from wallwright.document.document import Document
from wallwright.document.origin import Origin, left_anchor
from wallwright.document.pen import Pen
from wallwright.document.wall import Hanging
from wallwright.motion.plan import Estimate, Motion
from wallwright.planning.ink_contacts import InkContacts
from wallwright.planning.plan import StrokePreview
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import Pose
from wallwright.strokes.remaining import DrawnBefore
from wallwright.strokes.strokes import Strokes


@dataclass(frozen=True)
class CheckContext:
    """What the checks look at."""

    document: Document
    hanging: Hanging
    rig: CableRobotModel
    start_pose: Pose
    preview: StrokePreview
    """Of what the hanging draws."""
    whole: StrokePreview
    """Of what all hangings draw together."""
    strokes: Strokes
    motion: Motion
    estimate: Estimate
    number: int = 0
    """Of the hanging."""
    elsewhere: bool = False
    """Whether other hangings draw something."""
    before: DrawnBefore | None = None
    """What is drawn already, when only the rest is planned."""

    @functools.cached_property
    def contacts(self) -> InkContacts:
        """Where pens touch each other's ink."""
        return InkContacts(self.document, self.strokes, self.motion)

    @property
    def drawing_pens(self) -> list[Pen]:
        """Those that draw something in this hanging."""
        return [self.document.pens[k] for k in sorted({block.pen for block in self.motion.blocks})]

    @property
    def origin(self) -> Origin:
        """What the checks of this hanging measure positions from."""
        return left_anchor(self.document, self.hanging)
