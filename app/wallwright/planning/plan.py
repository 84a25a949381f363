"""Requests and responses of planning: frozen values that cross a process boundary."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

import msgspec

from wallwright.document.arrays import Integers
from wallwright.document.continuation import Continuation
from wallwright.document.document import Document
from wallwright.document.language import Language, current_language

if TYPE_CHECKING:  # the window sends requests first, and starts without importing what answers are made of
    from wallwright.artwork.drawing import Finding
    from wallwright.jobs.checks import Check
    from wallwright.motion.plan import Estimate, Motion
    from wallwright.planning.outside_zone import OutsideZone
    from wallwright.planning.register_marks import Marks
    from wallwright.strokes.division import HangingRow
    from wallwright.strokes.order import OrderSaving
    from wallwright.strokes.remaining import DrawnBefore
    from wallwright.strokes.stroke_composition import ColourGroup, ColourUse
    from wallwright.strokes.strokes import Strokes


EVERY = -1
"""In place of a hanging's number: all of them."""


class Goal(Enum):
    """How far a request goes; EXPORT includes PLAN, which includes PREVIEW."""

    PREVIEW = "preview"
    """Artwork read, strokes with fill, not ordered: what the canvas shows after an edit."""
    PLAN = "plan"
    """Ordered, timed, checked."""
    SHEET = "sheet"
    """Only the pages of the hanging sheet, rendered."""
    EXPORT = "export"
    """Written to a folder, read back and compared."""
    SAMPLES = "samples"
    """Only samples: each line style tried on a small copy of one placement's picture."""
    SHORTER = "shorter"
    """Only suggestions: changes that shorten the job, with the approximate time of each."""


BESIDE_PLAN = (Goal.SHEET, Goal.SAMPLES, Goal.SHORTER)
"""Goals whose answers are not plans and delay no plan."""


@dataclass(frozen=True)
class Request:
    """One planning request. Answers carry its id; answers to an older id are dropped."""

    id: int
    document: Document
    goal: Goal
    hanging: int = 0
    """Index of the hanging to plan, from 0; EVERY: all of them, one after the other."""
    folder: str = ""
    """Folder for an export."""
    language: Language = field(default_factory=current_language)
    """Language of checks, errors and the hanging sheet."""
    rest: Continuation | None = None
    """The part of the plan to draw, for a job that is continued; None: all."""
    project: str = ""
    """Name of the project, for the hanging sheet."""
    provisional: bool = False
    """True: a provisional plan may precede the plan if little has changed since the last one."""
    unseen: tuple[str, ...] = ()
    """Placements that are not shown yet: a picture of each is returned as soon as it is read."""
    placement: str = ""
    """Placement whose picture the samples show."""
    styles: tuple[str, ...] = ()
    """Tags of the wanted line styles, in order; none: all."""


class StyleSample(msgspec.Struct, frozen=True):
    """A line style tried on a small copy of a picture."""

    style: str
    """Its tag in picture.STYLES."""
    strokes: Strokes
    """In mm from the copy's top left corner."""
    size: tuple[float, float]
    """Width and height of the copy, mm."""
    trouble: str = ""
    """Sentence that says why there is no sample."""


class ShorterOption(msgspec.Struct, frozen=True):
    """A change of the document that shortens the job."""

    title: str
    """Name of the change for a button or an undo step."""
    text: str
    """How much is saved, and the effect on the drawing: a sentence or two."""
    share: float | None
    """Approximate ratio of the new time to the present one; None: known only once it is planned; 1: no shorter."""
    document: Document
    """The changed document, without artworks, which are unaffected."""
    is_pending: bool = False
    """True: still to be tried; the share follows with the same title."""


@dataclass(frozen=True)
class PlacementReport:
    """Contents of one placement's artwork."""

    placement: str
    natural_size: tuple[float, float]
    colours: tuple[ColourUse, ...]
    findings: tuple[Finding, ...]
    elements: tuple[str, ...]
    """Name of each shape, in the order of Strokes.source."""
    parts: tuple[ColourGroup, ...] = ()
    """Each visible colour of each group; none for a picture."""
    part_of_source: Integers | None = field(default=None, compare=False)
    """(m,) int32: index into parts of each shape, -1: not visible."""


@dataclass(frozen=True)
class StrokePreview:
    """Strokes as the pens would leave them, in file order."""

    strokes: Strokes
    placement_of_source: Integers
    """(m,) int32: index into Document.placements of each shape that Strokes.source refers to."""
    reports: tuple[PlacementReport, ...]
    outside: OutsideZone
    """The parts of the strokes outside the draw zone, and why."""
    by_hanging: tuple[StrokePreview, ...] = ()
    """The share of each hanging, if there are several: concatenated, their strokes are these."""
    marks: Marks = field(default_factory=dict)
    """The register marks that each hanging uses, drawn by those before it; for the whole wall."""
    row: HangingRow | None = None
    """The order of the hangings side by side, if there are several."""

    @property
    def meetings(self) -> dict[int, float]:
        """x of each handover line, mm, by the hanging on its left."""
        return dict(zip(self.row.order, self.row.lines, strict=False)) if self.row is not None else {}

    def of_hanging(self, hanging: int) -> StrokePreview:
        """Returns the share of one hanging."""
        return self.by_hanging[hanging] if self.by_hanging else self


@dataclass(frozen=True)
class Plan:
    """The whole answer for one hanging."""

    preview: StrokePreview
    """The share of this hanging."""
    strokes: Strokes
    """Ordered, clipped if requested; motion.stroke refers to them."""
    motion: Motion
    estimate: Estimate
    checks: tuple[Check, ...]
    hanging: int = 0
    before: DrawnBefore | None = None
    """What is already drawn, in the plan of a continuation."""
    is_provisional: bool = False
    """True: order and motion come from an earlier plan, repaired where the drawing has changed. They depend on that
    plan, so no job is written from them; the plan that is a function of the document alone follows."""


class Progress(msgspec.Struct, frozen=True):
    """Progress of a request."""

    id: int
    stage: str
    """"read", "strokes", "zone", "order", "motion", "write", "verify"."""
    done: float
    """0 to 1 within the stage."""
    saving: OrderSaving | None = None
    """Saving of the order search so far."""


class Response(msgspec.Struct, frozen=True):
    """Result or error of a request; a preview, and a provisional plan, may precede the plan of the same id.

    An empty answer says that the request was cancelled.
    """

    id: int
    final: bool = True
    """False: more answers to the same request follow."""
    preview: StrokePreview | None = None
    plan: Plan | None = None
    """Plan of the requested hanging."""
    plans: tuple[Plan, ...] = ()
    """Plans of all hangings, if all were requested."""
    files: tuple[str, ...] = ()
    """Exported files, full paths."""
    trouble: str = ""
    """Sentence for the user, if it failed."""
    details: str = ""
    """Traceback of an unexpected failure, for the log file."""
    start_is_unreachable: bool = False
    """Whether the error is that the machine cannot hang at the starting point."""
    costly: str = ""
    """Id of the artwork that the user may agree to read anyway; trouble states the cost."""
    pages: tuple[bytes, ...] = ()
    """Pages of the hanging sheet, PNG."""
    sample: StyleSample | None = None
    """One of the requested samples."""
    shorter: ShorterOption | None = None
    """One of the changes that shorten the job."""
    pictures: dict[str, bytes] = msgspec.field(default_factory=dict)
    """PNG pictures of unseen placements, as read."""
    ended_after: int = 0
    """Number of tries after which the user stopped the search for the order; 0: not stopped. The plan is that of the
    document whose settings.order.tries is this number."""
    timings: dict[str, float] = msgspec.field(default_factory=dict)
    """Seconds by stage name."""

    def require_preview(self) -> StrokePreview:
        """Returns the preview of an answer that was not cancelled."""
        assert self.preview is not None, "the request was given up"
        return self.preview

    def require_plan(self) -> Plan:
        """Returns the plan of an answer to a request for one hanging."""
        assert self.plan is not None, "no plan of one hanging was asked for"
        return self.plan
