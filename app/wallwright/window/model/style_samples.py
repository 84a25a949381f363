"""Samples of the line styles of one picture, requested while nothing is being planned and again when the picture or its pens
change. Samples that a person wants to see during planning are made by another process, and the plan goes on. No widgets."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from enum import Enum

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from wallwright.document.document import Document, Pen, Placement
from wallwright.document.edits import replace
from wallwright.document.picture import STYLES, PictureSettings
from wallwright.planning.plan import Goal, Request, Response, StyleSample
from wallwright.planning.planner import Planner
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
    _arrived = Signal()

    def __init__(self, project: ProjectModel, planning: PlanningClient, beside: Planner | None = None) -> None:
        """beside: planner that makes samples during planning; None: started when first needed."""
        super().__init__()
        self._project, self._planning, self._beside = project, planning, beside
        self._beside_requests = 0
        self._arrived.connect(self.receive, Qt.ConnectionType.QueuedConnection)
        self._deadline = QTimer(self, singleShot=True, timerType=Qt.TimerType.PreciseTimer)
        self._deadline.timeout.connect(self.receive)
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

    @property
    def is_sampling(self) -> bool:
        """Whether samples are being made."""
        return self._planning.is_sampling or (self._beside is not None and self._beside.busy)

    def close(self) -> None:
        """Ends the process that makes samples during planning."""
        self._deadline.stop()
        if self._beside is not None:
            self._beside.notify = None
            self._beside.close()

    def want(self, placement: str, at_once: bool = False, first: Sequence[str] = ()) -> None:
        """Requests missing samples of a placement's picture once nothing is being planned, or at_once, when a person opens
        the list; the plan goes on meanwhile. first: visible styles, sampled before others."""
        self.placement = placement
        self._order = (*first, *(name for name in STYLES if name not in first))
        self._ask(at_once)

    def state_of(self, style: str) -> SampleState:
        """Returns the state of a style, given by its tag."""
        if style in self.found:
            return SampleState.IMPOSSIBLE if self.found[style].trouble else SampleState.MADE
        if not self.is_sampling:
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
        if self._asked is not None and self._asked[0] != key:
            self._cancel_beside()
        is_under_way = self.is_sampling and self._asked == (key, self._order)
        if not missing or is_under_way:
            return
        if self._request(missing, at_once):
            self._asked = (key, self._order)
            if key != self._of:
                self._of, self.found = key, {}
            self._be_patient()
        self.changed.emit()  # without a request too: it is made again when the running plan is done

    def _request(self, styles: tuple[str, ...], at_once: bool) -> bool:
        """Returns whether the samples are being made now."""
        if self._planning.sample_styles(self.placement, styles):
            self._cancel_beside()
            return True
        if not at_once:
            return False
        if self._beside is None:
            self._beside = Planner()
        self._beside.notify = self._arrived.emit
        self._beside_requests += 1
        document = self._project.document
        self._beside.submit(
            Request(self._beside_requests, document, Goal.SAMPLES, placement=self.placement, styles=styles)
        )
        self._await_deadline()
        return True

    def _cancel_beside(self) -> None:
        if self._beside is not None and self._beside.busy:
            self._beside.cancel()
            self._await_deadline()

    def _await_deadline(self) -> None:
        """Replaces a process that has not stopped by the deadline."""
        deadline = self._beside.deadline if self._beside is not None else None
        if deadline is None:
            self._deadline.stop()
        else:
            self._deadline.start(max(0, math.ceil(1000 * (deadline - time.monotonic()))))

    def receive(self) -> None:
        """Handles the samples made during planning."""
        for message in self._beside.poll() if self._beside is not None else ():
            if isinstance(message, Response):
                self._take(message.sample)
        self._await_deadline()

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
