"""Samples of the line styles of one picture, requested while nothing is being planned and again when the picture or its pens
change. No widgets."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from PySide6.QtCore import QObject, QTimer, Signal

from wallwright.document.document import Document, Pen, Placement
from wallwright.document.edits import replace
from wallwright.document.picture import STYLES, PictureSettings
from wallwright.planning.plan import StyleSample
from wallwright.window.model.planning_client import PlanningClient
from wallwright.window.model.project_model import ProjectModel

PATIENCE_MS = 4000
"""Time after which the window says that a sample is slow, ms."""
Key = tuple[str, PictureSettings, tuple[Pen, ...], float]
"""What samples depend on: the picture, its settings without the style, the pens, and the aspect ratio."""


def _key(document: Document, placement: Placement) -> Key:
    picture = replace(placement.picture or PictureSettings(), style=PictureSettings().style)
    return document.artwork(placement.artwork).digest, picture, document.pens, placement.width / placement.height


class SampleState(Enum):
    """State of a line style's sample."""

    MADE = "made"
    BEING_MADE = "being made"
    WAITING = "waiting"
    """Waits for earlier samples."""
    AFTER_PLAN = "after plan"
    """Waits for the running plan."""
    IMPOSSIBLE = "impossible"
    """The picture needs too much ink in this style."""


class StyleSamples(QObject):
    """Samples of the last requested picture of one window."""

    changed = Signal()
    """A sample arrived or was started, or the samples became outdated."""

    def __init__(self, project: ProjectModel, planning: PlanningClient) -> None:
        super().__init__()
        self._project, self._planning = project, planning
        self.found: dict[str, StyleSample] = {}
        """Samples by the tag of the style."""
        self._of: Key | None = None
        self._order: tuple[str, ...] = tuple(STYLES)
        self._asked: tuple[Key, tuple[str, ...]] | None = None
        """Key and order of the requested samples."""
        self.placement = ""
        """Id of the placement of the picture."""
        self.is_slow = False
        """Whether the running sample takes longer than PATIENCE_MS."""
        self._patience = QTimer(self, singleShot=True, interval=PATIENCE_MS)
        self._patience.timeout.connect(self._lose_patience)
        planning.sampled.connect(self._take)
        planning.plan_changed.connect(lambda: self._ask())

    def want(self, placement: str, at_once: bool = False, first: Sequence[str] = ()) -> None:
        """Requests missing samples of a placement's picture once nothing is being planned, or at_once, when a person opens
        the list; the plan is made afterwards. first: visible styles, sampled before others."""
        self.placement = placement
        self._order = (*first, *(name for name in STYLES if name not in first))
        self._ask(at_once)

    def state_of(self, style: str) -> SampleState:
        """Returns the state of a style, given by its tag."""
        if style in self.found:
            return SampleState.IMPOSSIBLE if self.found[style].trouble else SampleState.MADE
        if not self._planning.is_sampling:
            return SampleState.AFTER_PLAN if self._planning.is_planning else SampleState.WAITING
        return SampleState.BEING_MADE if style == self._missing[0] else SampleState.WAITING

    @property
    def _missing(self) -> tuple[str, ...]:
        """Styles without a sample, in the order of their making."""
        return tuple(name for name in self._order if name not in self.found)

    def _ask(self, at_once: bool = False) -> None:
        document = self._project.document
        placement = next((p for p in document.placements if p.id == self.placement), None)
        if placement is None or not document.artwork(placement.artwork).is_picture:
            return
        key = _key(document, placement)
        missing = self._missing if key == self._of else self._order
        is_under_way = self._planning.is_sampling and self._asked == (key, self._order)
        if not missing or is_under_way:
            return
        if self._planning.sample_styles(self.placement, at_once, missing):
            self._asked = (key, self._order)
            if key != self._of:
                self._of, self.found = key, {}
            self._be_patient()
        self.changed.emit()  # without a request too: it is made again when the running plan is done

    def _take(self, sample: StyleSample | None) -> None:
        if sample is None:
            self._patience.stop()
        else:
            self.found[sample.style] = sample
            self._be_patient()
        self.changed.emit()

    def _be_patient(self) -> None:
        self.is_slow = False
        self._patience.start()

    def _lose_patience(self) -> None:
        self.is_slow = bool(self._missing)
        self.changed.emit()
