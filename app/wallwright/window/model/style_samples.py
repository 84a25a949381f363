"""Samples of the line styles of one picture: asked for while nothing is planned, and again when the picture or its pens have
changed. No widgets."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from wallwright.document.document import Document, Pen, Placement
from wallwright.document.edits import replace
from wallwright.document.picture import PictureSettings
from wallwright.planning.plan import StyleSample
from wallwright.window.model.planning_client import PlanningClient
from wallwright.window.model.project_model import ProjectModel

Key = tuple[str, PictureSettings, tuple[Pen, ...], float]
"""What samples depend on: the picture, its settings but the style, the pens, and the shape."""


def _key(document: Document, placement: Placement) -> Key:
    picture = replace(placement.picture or PictureSettings(), style=PictureSettings().style)
    return document.artwork(placement.artwork).digest, picture, document.pens, placement.width / placement.height


class StyleSamples(QObject):
    """Those of the picture that was wanted last, of one window."""

    changed = Signal()
    """Another one came, or those there were are of something else."""

    def __init__(self, project: ProjectModel, planning: PlanningClient) -> None:
        super().__init__()
        self._project, self._planning = project, planning
        self.found: dict[str, StyleSample] = {}
        """By the tag of the style."""
        self._of: Key | None = None
        self.placement = ""
        """Whose picture they are of."""
        self._is_complete = False
        planning.sampled.connect(self._take)
        planning.plan_changed.connect(lambda: self._ask())

    def want(self, placement: str, at_once: bool = False) -> None:
        """Asks for those of a placement's picture, unless they are there: as soon as nothing is planned, or at_once, when a
        person looks for them; the plan is made afterwards."""
        self.placement = placement
        self._ask(at_once)

    def _ask(self, at_once: bool = False) -> None:
        document = self._project.document
        placement = next((p for p in document.placements if p.id == self.placement), None)
        if placement is None or not document.artwork(placement.artwork).is_picture:
            return
        key = _key(document, placement)
        if key == self._of and self._is_complete:
            return
        if not self._planning.sample_styles(self.placement, at_once):
            return  # the plan that is made now asks again when it is there
        self._is_complete = False
        if key != self._of:
            self._of, self.found = key, {}
            self.changed.emit()

    def _take(self, sample: StyleSample | None) -> None:
        if sample is None:
            self._is_complete = True
            return
        self.found[sample.style] = sample
        self.changed.emit()
