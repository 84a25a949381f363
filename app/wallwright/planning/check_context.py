"""Input of the checks."""

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
    """Input of the checks of one hanging."""

    document: Document
    hanging: Hanging
    rig: CableRobotModel
    start_pose: Pose
    preview: StrokePreview
    """Preview of what the hanging draws."""
    whole: StrokePreview
    """Preview of what all hangings draw together."""
    strokes: Strokes
    motion: Motion
    estimate: Estimate
    number: int = 0
    """Index of the hanging."""
    is_drawn_elsewhere: bool = False
    """True: other hangings draw something."""
    before: DrawnBefore | None = None
    """What is already drawn, if this is the plan of a continuation."""

    @functools.cached_property
    def contacts(self) -> InkContacts:
        """Contacts between the inks of different pens."""
        return InkContacts(self.document, self.strokes, self.motion)

    @property
    def drawing_pens(self) -> list[Pen]:
        """Pens that draw something in this hanging."""
        return [self.document.pens[k] for k in sorted({block.pen for block in self.motion.blocks})]

    @property
    def origin(self) -> Origin:
        """Origin from which the checks of this hanging measure positions."""
        return left_anchor(self.document, self.hanging)
