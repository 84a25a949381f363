"""What planning is asked and what it answers: frozen values that cross a process boundary."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

import msgspec

from wallwright.document.arrays import Integers
from wallwright.document.continuation import Continuation
from wallwright.document.document import Document
from wallwright.document.language import Language, current_language

if TYPE_CHECKING:  # the window asks before anything is answered, and starts without what answers are made of
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
"""Instead of a hanging's number: all of them."""


class Goal(Enum):
    """How far a request goes; each goal includes those before it."""

    PREVIEW = "preview"
    """Artwork read, strokes with fill, not ordered: what the canvas shows after an edit."""
    PLAN = "plan"
    """Ordered, timed, checked."""
    SHEET = "sheet"
    """The pages of the hanging sheet painted. The answer brings only them."""
    EXPORT = "export"
    """Written to a folder, read back and compared."""
    SAMPLES = "samples"
    """Nothing of these: each line style is tried on a small copy of one placement's picture."""
    SHORTER = "shorter"
    """Nothing of these: changes that shorten the job are tried, and about how long each takes."""


BESIDE_PLAN = (Goal.SHEET, Goal.SAMPLES, Goal.SHORTER)
"""Goals whose answers are no plan and that nobody's plan waits for."""


@dataclass(frozen=True)
class Request:
    """One wish. Answers carry its id; answers to an older id are dropped."""

    id: int
    document: Document
    goal: Goal
    hanging: int = 0
    """Number of the hanging that is planned, from 0; EVERY: all of them, one after the other."""
    folder: str = ""
    """Where an export goes."""
    language: Language = field(default_factory=current_language)
    """That checks, troubles and the hanging sheet are written in."""
    rest: Continuation | None = None
    """Only this part of the plan, for a job that goes on."""
    project: str = ""
    """Name of the project, for the hanging sheet."""
    provisional: bool = False
    """Whether a provisional plan is welcome before the plan, when only little has changed since the last one."""
    unseen: tuple[str, ...] = ()
    """Placements of which nothing is shown yet: a picture of each is welcome as soon as it is read."""
    placement: str = ""
    """Whose picture the samples are of."""
    styles: tuple[str, ...] = ()
    """Tags of the line styles that samples are wanted of, in this order; none: of all."""


class StyleSample(msgspec.Struct, frozen=True):
    """A line style tried on a small copy of a picture."""

    style: str
    """Its tag in picture.STYLES."""
    strokes: Strokes
    """mm from the copy's top left corner."""
    size: tuple[float, float]
    """Width and height of the copy, mm."""
    trouble: str = ""
    """Why there is none: a sentence."""


class ShorterOption(msgspec.Struct, frozen=True):
    """A change of the document that shortens the job."""

    title: str
    """What is changed, as a button or an undo step says it."""
    text: str
    """How much, and what it does to the drawing: a sentence or two."""
    share: float | None
    """About how long the job then takes, of the time it takes now; None: known only once it is planned; 1: no shorter."""
    document: Document
    """With the change, and without artworks, which it does not touch."""
    is_pending: bool = False
    """Whether it is still to be tried: the share follows with the same title."""


@dataclass(frozen=True)
class PlacementReport:
    """What was found in one placement's artwork."""

    placement: str
    natural_size: tuple[float, float]
    colours: tuple[ColourUse, ...]
    findings: tuple[Finding, ...]
    elements: tuple[str, ...]
    """Name of each shape, in the order that Strokes.source counts them."""
    parts: tuple[ColourGroup, ...] = ()
    """Each colour of each group that is seen; none for a picture."""
    part_of_source: Integers | None = field(default=None, compare=False)
    """(m,) int32: index into parts of each shape, -1: not seen."""


@dataclass(frozen=True)
class StrokePreview:
    """Strokes as the pens would leave them, in file order."""

    strokes: Strokes
    placement_of_source: Integers
    """(m,) int32: index into Document.placements of each shape that Strokes.source names."""
    reports: tuple[PlacementReport, ...]
    outside: OutsideZone
    """What of the strokes lies outside the draw zone, and why."""
    by_hanging: tuple[StrokePreview, ...] = ()
    """What each hanging draws of it, when there are several: their strokes one after the other are these."""
    marks: Marks = field(default_factory=dict)
    """The register marks that each hanging looks for, drawn by those before it; of the whole wall."""
    row: HangingRow | None = None
    """How the hangings stand beside each other, when there are several."""

    @property
    def meetings(self) -> dict[int, float]:
        """x, mm, of each handover line, by the hanging on its left."""
        return dict(zip(self.row.order, self.row.lines, strict=False)) if self.row is not None else {}

    def of_hanging(self, hanging: int) -> StrokePreview:
        """What one hanging draws of it."""
        return self.by_hanging[hanging] if self.by_hanging else self


@dataclass(frozen=True)
class Plan:
    """The whole answer for one hanging."""

    preview: StrokePreview
    """Of what this hanging draws."""
    strokes: Strokes
    """Ordered, clipped if asked; what motion.stroke refers to."""
    motion: Motion
    estimate: Estimate
    checks: tuple[Check, ...]
    hanging: int = 0
    before: DrawnBefore | None = None
    """What is drawn already, in a plan of the rest."""
    is_provisional: bool = False
    """Order and motion are those of an earlier plan, mended where the drawing has changed. They depend on that plan, so
    no job is written from them; the plan that is a function of the document alone follows."""


class Progress(msgspec.Struct, frozen=True):
    """How far a request has come."""

    id: int
    stage: str
    """"read", "strokes", "zone", "order", "motion", "write", "verify"."""
    done: float
    """0 to 1 within the stage."""
    saving: OrderSaving | None = None
    """What putting strokes in order has won so far."""


class Response(msgspec.Struct, frozen=True):
    """Result or trouble of a request; a preview, and a provisional plan, may come before the plan of the same id.

    An answer with nothing in it says that the request was given up.
    """

    id: int
    final: bool = True
    """False: more answers to the same request follow."""
    preview: StrokePreview | None = None
    plan: Plan | None = None
    """Of the hanging that was asked for."""
    plans: tuple[Plan, ...] = ()
    """Of all hangings, when all were asked for."""
    files: tuple[str, ...] = ()
    """Exported files, whole paths."""
    trouble: str = ""
    """A sentence for the person, when it failed."""
    details: str = ""
    """The traceback of a failure that nobody expected, for the log file."""
    start_is_unreachable: bool = False
    """Whether the trouble is that the machine cannot hang at the starting point."""
    costly: str = ""
    """Id of the artwork that the person may agree to read anyway; trouble says what that costs."""
    pages: tuple[bytes, ...] = ()
    """Pages of the hanging sheet, PNG."""
    sample: StyleSample | None = None
    """One of the samples that were asked for."""
    shorter: ShorterOption | None = None
    """One of the changes that shorten the job."""
    pictures: dict[str, bytes] = msgspec.field(default_factory=dict)
    """Of unseen placements, as read, PNG."""
    ended_after: int = 0
    """Tries after which the person ended the search for the order; 0: it was not ended. The plan is that of the document
    whose settings.order.tries is this number."""
    timings: dict[str, float] = msgspec.field(default_factory=dict)
    """Stage name to seconds."""

    def require_preview(self) -> StrokePreview:
        """The preview of an answer that was not given up."""
        assert self.preview is not None, "the request was given up"
        return self.preview

    def require_plan(self) -> Plan:
        """The plan of an answer to a request for one hanging's."""
        assert self.plan is not None, "no plan of one hanging was asked for"
        return self.plan
