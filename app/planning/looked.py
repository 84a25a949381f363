"""What the checks look at."""

from __future__ import annotations

from dataclasses import dataclass

from app.document.document import Document
from app.document.wall import Hanging
from app.motion.plan import Estimate, Motion
from app.planning.plan import Preview
from app.statics.pose import Pose
from app.statics.rig import Rig
from app.strokes.rest import Before
from app.strokes.strokes import Strokes


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
    number: int = 0
    """Of the hanging."""
    elsewhere: bool = False
    """Whether other hangings draw something."""
    before: Before | None = None
    """What is drawn already, when only the rest is looked at."""
