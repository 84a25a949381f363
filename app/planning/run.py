"""The steps of planning, in order, in this process. The window and the commands both end here.

    read      artwork files -> drawings in mm
    strokes   drawings -> strokes on the wall, per placement
    zone      which points of the strokes lie outside the draw zone, and why
    order     the order in which they are drawn
    motion    the timed motion
    write     the job's files, each read back and compared

Each stage's result is kept by content: changing one placement redoes that placement only.
"""

from __future__ import annotations

import contextlib
import dataclasses
import math
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

import msgspec
import numpy as np

from app.artwork.drawing import Drawing
from app.artwork.raster.trace import traced
from app.artwork.read import read_artwork
from app.document.document import Document, Fill, Placement
from app.document.edits import set_field
from app.document.errors import BadValue
from app.document.language import tr
from app.document.ordering import Ordering
from app.document.picture import Picture, Regions
from app.document.placing import placing_matrix
from app.motion.estimate import estimate
from app.motion.known_runs import KnownRuns
from app.motion.timing import time_runs
from app.planning.cache import Cache, key
from app.planning.checks import all_checks
from app.planning.outside import clip_to_zone
from app.planning.plan import EVERY, Answer, Goal, PlacementReport, Plan, Preview, Request
from app.planning.register import drawn_by, mark_strokes, with_marks
from app.planning.rest import Rests
from app.planning.write import write_plan, write_wall
from app.planning.zone_stage import ZoneStage
from app.statics.limits import NEVER
from app.statics.rig import Rig
from app.strokes.compose import compose
from app.strokes.kept import Kept
from app.strokes.order import Saving, order_strokes
from app.strokes.pictures.compose import picture_lines
from app.strokes.repair import repair_order
from app.strokes.strokes import Strokes
from app.strokes.tour.budget import Budget

MOST_SAMPLES = 2_000_000
"""Of all motions kept together: some 90 bytes each."""
FEW = 20_000
"""Points of strokes: fewer are planned in a second or two, and no provisional plan is worth its change of order."""


class StageProgress(Protocol):
    """Told how far a stage has come, 0 to 1; while strokes are put in order also what that has won."""

    def __call__(self, stage: str, done: float, saving: Saving | None = None) -> None: ...


@dataclass(frozen=True)
class Placed:
    """One placement's artwork on the wall."""

    drawing: Drawing
    strokes: Strokes
    report: PlacementReport


@dataclass(frozen=True)
class LastPlan:
    """What of the plan made last helps to make the next one."""

    hanging: int
    rules: Ordering
    ordered: Strokes
    """In drawing order, without register marks."""
    where: str
    """Digest of all but the strokes that the motion depends on."""
    timed: KnownRuns


class Runner:
    """Runs requests one at a time and keeps the results of stages."""

    def __init__(self) -> None:
        self._drawings = Cache(64)
        self._placed = Cache(64)
        self._pictures = Cache(16)
        self._kept = Cache(16)
        self._zones = ZoneStage()
        self._ordered = Cache(8)
        self._motions = Cache(8, MOST_SAMPLES, lambda timed: len(timed.motion.time))
        self._rests = Rests()
        self._last: LastPlan | None = None

    def run(
        self, request: Request, progress: StageProgress = lambda stage, done, saving=None: None,
        early: Callable[[Answer], None] = lambda answer: None, enough: Callable[[], bool] = lambda: False,
    ) -> Answer:  # fmt: skip
        """Does what is asked. progress may raise Cancelled; early receives the preview before the plan is ready, and a
        provisional plan when one is asked for and little has changed; enough is asked while strokes are put in order: True
        ends that, and the answer says after how many tries.

        Raises Trouble for anything a person can mend.
        """
        clock = _Clock()
        document = request.document
        if request.hanging != EVERY and not 0 <= request.hanging < len(document.hangings):
            raise BadValue(tr("There is no hanging number {0}", request.hanging + 1))
        preview = self.preview(document, progress, clock)
        if request.goal is Goal.PREVIEW:
            return Answer(request.id, preview=preview, timings=clock.seconds)
        early(Answer(request.id, final=False, preview=preview, timings=dict(clock.seconds)))
        if request.hanging == EVERY:
            return self._every(request, preview, progress, clock, enough)
        if request.provisional and request.goal is Goal.PLAN and request.rest is None:
            spent = _Clock(clock.seconds)
            quick = self.provisional(document, request.hanging, preview, progress, spent)
            if quick is not None:
                early(Answer(request.id, final=False, plan=quick, timings=spent.seconds))
        budget = Budget(document.settings.order.tries, enough)
        plan = self.plan(document, request.hanging, preview, progress, clock, budget)
        ended_after = budget.made if budget.ended_early else 0
        if request.rest is not None:
            with clock("motion"):
                document, plan = self._rests.plan(
                    document, plan, request.rest, lambda d: progress("motion", d)
                )
        files: tuple[str, ...] = ()
        if request.goal is Goal.EXPORT:
            with clock("write"):
                files = write_plan(request, _ended(document, budget), plan, progress)
        return Answer(
            request.id,
            preview=preview,
            plan=plan,
            files=files,
            ended_after=ended_after,
            timings=clock.seconds,
        )

    def _every(
        self, request: Request, preview: Preview, progress: StageProgress, clock: _Clock, enough: Callable[[], bool]
    ) -> Answer:  # fmt: skip
        """All hangings, one after the other; nothing is written while one of them has a bad check.

        A search ended at one hanging bounds those of the others too, for the document has one bound: hangings planned
        before it are ordered again, no further than that.
        """
        document, count, plans = request.document, len(request.document.hangings), []
        ended_after = 0
        for number in range(count):

            def part(stage: str, done: float, saving: Saving | None = None, number=number) -> None:
                progress(stage, (number + done) / count, saving)

            budget = Budget(document.settings.order.tries, enough if not ended_after else lambda: False)
            plans.append(self.plan(document, number, preview, part, clock, budget))
            if budget.ended_early:
                ended_after, document = budget.made, _ended(document, budget)
                plans = [
                    self.plan(document, n, preview, part, clock, Budget(ended_after))
                    for n in range(number + 1)
                ]
        files: tuple[str, ...] = ()
        if request.goal is Goal.EXPORT:
            with clock("write"):
                files = write_wall(request, document, tuple(plans), progress)
        return Answer(
            request.id, preview=preview, plans=tuple(plans), files=files, ended_after=ended_after, timings=clock.seconds
        )  # fmt: skip

    def preview(self, document: Document, progress: StageProgress, clock: _Clock) -> Preview:
        """Strokes of all visible placements in file order, with what lies outside the draw zone.

        With several hangings they are shared out, and those of each hanging come together.
        """
        parts, reports, owner = [], [], []
        visible = [(i, p) for i, p in enumerate(document.placements) if p.visible]
        for number, (index, placement) in enumerate(visible):

            def part(stage: str, number=number) -> Callable[[float], None]:
                return lambda done: progress(stage, (number + done) / len(visible))

            with clock("read"):
                drawing = self._drawing(document, placement, part("read"))
            with clock("strokes"):
                placed = self._strokes(document, placement, drawing, part("strokes"))
            base = len(owner)
            owner.extend([index] * max(1, len(placed.drawing.shapes)))
            strokes = placed.strokes
            parts.append(
                Strokes(
                    strokes.points, strokes.offsets, strokes.pen,
                    np.where(strokes.source >= 0, strokes.source + base, -1).astype(np.int32), strokes.is_fill,
                )
            )  # fmt: skip
            reports.append(placed.report)
        strokes = Strokes.join(parts)
        with clock("zone"):
            return self._zones.preview(
                document,
                strokes,
                np.array(owner, dtype=np.int32),
                tuple(reports),
                lambda d: progress("zone", d),
            )

    def plan(
        self, document: Document, hanging: int, preview: Preview, progress: StageProgress, clock: _Clock, budget: Budget
    ) -> Plan:  # fmt: skip
        """Orders and times one hanging's strokes of a preview and looks at every check. Where the budget is ended early, the
        plan is that of the document that says so."""
        strokes = self._drawable(document, hanging, preview, clock)
        content = self._content(document, hanging, preview, strokes)
        with clock("order"):
            ordered = self._ordered.find(content)
            if ordered is None:
                ordered = order_strokes(
                    *self._order_task(document, hanging, preview, strokes),
                    lambda done, saving: progress("order", done, saving), budget,
                )  # fmt: skip
                document = _ended(document, budget)
                content = self._content(document, hanging, preview, strokes)
                self._ordered.put(content, ordered)
        return self._timed(document, hanging, preview, ordered, content, progress, clock)

    def provisional(
        self, document: Document, hanging: int, preview: Preview, progress: StageProgress, clock: _Clock
    ) -> Plan | None:  # fmt: skip
        """The last plan mended where the strokes have changed; None when the plan itself is known or quickly made, when too
        much has changed, or when a stroke's number matters."""
        last, rules = self._last, document.settings.order
        if last is None or last.hanging != hanging or last.rules != rules or document.stopped is not None:
            return None
        strokes = self._drawable(document, hanging, preview, clock)
        if len(strokes.points) < FEW:
            return None
        content = self._content(document, hanging, preview, strokes)
        if self._ordered.find(content) is not None:
            return None
        with clock("order"):
            ordered = repair_order(
                *self._order_task(document, hanging, preview, strokes), last.ordered,
                lambda done: progress("order", done),
            )  # fmt: skip
        if ordered is None:
            return None
        return self._timed(document, hanging, preview, ordered, "", progress, clock)

    def _drawable(self, document: Document, hanging: int, preview: Preview, clock: _Clock) -> Strokes:
        """What of a hanging's strokes is drawn, in file order."""
        preview = preview.of_hanging(hanging)
        strokes = preview.strokes
        if document.settings.outside == "clip" and np.any(preview.outside.bits):
            with clock("zone"):
                return clip_to_zone(document, document.hangings[hanging], strokes)
        if document.settings.outside == "refuse" and np.any(preview.outside.bits):
            # Nothing is exported before they are dealt with; motion and estimate are of the rest.
            out = np.unique(strokes.stroke_of_point[preview.outside.bits != 0])
        else:
            never = (preview.outside.bits & np.uint16(NEVER)) != 0
            out = np.unique(strokes.stroke_of_point[never])
        return strokes.take(np.setdiff1d(np.arange(len(strokes)), out))

    def _content(self, document: Document, hanging: int, preview: Preview, strokes: Strokes) -> str:
        """What the order of strokes is kept by."""
        owner = preview.of_hanging(hanging).placement_of_source
        return key(
            strokes.points, strokes.offsets, strokes.pen, strokes.source, strokes.is_fill,
            document.hangings[hanging].datum, document.machine.limits, document.machine.lift, owner, document.settings,
        )  # fmt: skip

    def _order_task(
        self, document: Document, hanging: int, preview: Preview, strokes: Strokes
    ) -> tuple[Strokes, np.ndarray, float, float, Ordering, np.ndarray | None]:  # fmt: skip
        """What is put in order: strokes, start, speed and acceleration of travels, rules and groups."""
        limits, rules = document.machine.limits, document.settings.order
        owner = preview.of_hanging(hanging).placement_of_source
        groups = {"none": None, "shape": strokes.source, "artwork": owner[strokes.source]}[rules.together]
        start = np.array(document.hangings[hanging].datum)
        return strokes, start, limits.travel_speed, limits.acceleration, rules, groups

    def _timed(
        self, document: Document, hanging: int, whole: Preview, ordered: Strokes, content: str, progress: StageProgress,
        clock: _Clock,
    ) -> Plan:  # fmt: skip
        """The plan of ordered strokes. content: of their order; "": the plan is provisional, and its motion the last one's
        where that is the same."""
        place, strokes = document.hangings[hanging], ordered
        rig = Rig.of(document.machine, place)
        preview = whole.of_hanging(hanging)
        if preview.marks:
            marks = mark_strokes(document, drawn_by(document, hanging, preview.marks))
            strokes = with_marks(strokes, marks)
        settings = msgspec.structs.replace(document.settings, order=Ordering(), fill=Fill())
        where = key(document.machine, place, document.pens, document.wall, settings)
        with clock("motion"):
            if content:
                timed = self._motions.get(
                    key(content, strokes.points, strokes.pen, where),
                    lambda: time_runs(document, hanging, rig, strokes, lambda d: progress("motion", d)),
                )
            else:
                known = self._last.timed if self._last is not None and self._last.where == where else None
                timed = time_runs(document, hanging, rig, strokes, lambda d: progress("motion", d), known)
        self._last = LastPlan(hanging, document.settings.order, ordered, where, timed)
        result = estimate(document, timed.motion)
        with clock("checks"):
            checks = all_checks(document, hanging, whole, strokes, timed.motion, result)
        return Plan(preview, strokes, timed.motion, result, checks, hanging, is_provisional=not content)

    def _drawing(
        self, document: Document, placement: Placement, progress: Callable[[float], None]
    ) -> Drawing:
        artwork = document.artwork(placement.artwork)
        wall_flatness = document.settings.flatness
        if artwork.is_picture:  # pixels know no tolerance
            return self._drawings.get(
                key(artwork.digest, artwork.media),
                lambda: read_artwork(artwork.data, artwork.media, artwork.name, wall_flatness, progress),
            )

        def read(flatness: float) -> Drawing:
            return self._drawings.get(
                key(artwork.digest, artwork.media, flatness),
                lambda: read_artwork(artwork.data, artwork.media, artwork.name, flatness, progress),
            )

        # The natural size is known only once the file is read, and the tolerance on the wall only once that is:
        # a guess from the last reading serves, else a first reading finds the size.
        size_key = key(artwork.digest, "size")
        natural = self._drawings.get(size_key, lambda: None)
        if natural is None:
            first = read(wall_flatness)
            natural = (first.width, first.height)
            self._drawings.put(size_key, natural)
        scale = max(placement.width / natural[0], placement.height / natural[1])
        return read(_tolerance(wall_flatness, scale))

    def _strokes(
        self, document: Document, placement: Placement, drawing: Drawing, progress: Callable[[float], None]
    ) -> Placed:
        artwork = document.artwork(placement.artwork)
        if drawing.raster is not None:
            if not isinstance((placement.picture or Picture()).style, Regions):
                return self._picture(document, placement, drawing, progress)
            drawing = self._traced(document, placement, drawing, progress)
        natural = (drawing.width, drawing.height)
        matrix = placing_matrix(placement, natural)

        def make() -> Placed:
            kept = self._kept.get(
                key(artwork.digest, placement.picture, matrix, document.settings.flatness), Kept
            )
            with _naming(artwork.name):
                composed = compose(
                    drawing, matrix, placement.inks, document.pens, document.settings, progress, kept
                )
            elements = tuple(shape.element for shape in drawing.shapes) or ("",)
            report = PlacementReport(
                placement.id, natural, composed.uses, drawing.findings, elements, composed.parts,
                composed.part_of_source,
            )  # fmt: skip
            return Placed(drawing, composed.strokes, report)

        settings = msgspec.structs.replace(document.settings, order=Ordering())  # has no say in the strokes
        return self._placed.get(key(artwork.digest, placement, document.pens, settings), make)

    def _picture(
        self, document: Document, placement: Placement, drawing: Drawing, progress: Callable[[float], None]
    ) -> Placed:
        """A picture in its line style: moved and turned without being drawn anew."""
        artwork, picture = document.artwork(placement.artwork), placement.picture or Picture()
        size, settings = (placement.width, placement.height), document.settings
        with _naming(artwork.name):
            lines = self._pictures.get(
                key(artwork.digest, picture, size, document.pens, settings.flatness, settings.join_gap),
                lambda: picture_lines(drawing.raster, picture, document.pens, size, settings, progress),
            )
        findings = drawing.findings + lines.findings
        report = PlacementReport(
            placement.id, (drawing.width, drawing.height), lines.uses, findings, (artwork.name,)
        )
        return Placed(drawing, lines.placed(placing_matrix(placement, size)), report)

    def _traced(
        self, document: Document, placement: Placement, drawing: Drawing, progress: Callable[[float], None]
    ) -> Drawing:
        """A picture as regions, found anew only when its size on the wall changes a good deal."""
        scale = max(placement.width / drawing.width, placement.height / drawing.height)
        flatness, style = _tolerance(document.settings.flatness, scale), placement.picture.style
        speck = style.speck * flatness / document.settings.flatness
        found = self._pictures.get(
            key(document.artwork(placement.artwork).digest, style, flatness, speck),
            lambda: traced(drawing.raster, style.colours, speck, flatness, progress),
        )
        return dataclasses.replace(found, findings=drawing.findings)


def _ended(document: Document, budget: Budget) -> Document:
    """The document that ends the search for the order where it was ended by hand."""
    return set_field(document, "settings.order.tries", budget.made) if budget.ended_early else document


@contextlib.contextmanager
def _naming(artwork: str) -> Iterator[None]:
    """Puts the name of an artwork before what is wrong with it."""
    try:
        yield
    except BadValue as error:
        raise BadValue(f"{artwork}: {error}") from error


def _tolerance(wall_flatness: float, scale: float) -> float:
    """How far chords may leave a curve in the artwork's frame when it is scaled to the wall, mm.

    In steps of sqrt 2: a drawing is not read again at every turn of a handle.
    """
    return wall_flatness * 2 ** (-math.ceil(2 * math.log2(scale)) / 2)


class _Clock:
    """Seconds spent in each stage."""

    def __init__(self, spent: dict[str, float] | None = None) -> None:
        self.seconds: dict[str, float] = dict(spent or {})

    def __call__(self, stage: str) -> _Span:
        return _Span(self.seconds, stage)


class _Span:
    def __init__(self, seconds: dict[str, float], stage: str) -> None:
        self._seconds, self._stage = seconds, stage

    def __enter__(self) -> None:
        self._start = time.perf_counter()

    def __exit__(self, *exc: object) -> None:
        spent = time.perf_counter() - self._start
        self._seconds[self._stage] = self._seconds.get(self._stage, 0.0) + spent
