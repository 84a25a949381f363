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
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.drawing import Drawing
from wallwright.artwork.raster.raster import Raster
from wallwright.artwork.raster.tracing import trace
from wallwright.artwork.rendering import small_picture
from wallwright.document.document import Artwork, Document, Placement
from wallwright.document.errors import BadValue
from wallwright.document.garbage import collection_paused
from wallwright.document.language import tr
from wallwright.document.ordering import Ordering
from wallwright.document.picture import PictureSettings, Regions
from wallwright.document.placing import placing_matrix
from wallwright.document.reading_limits import TooCostly, reading
from wallwright.planning.cache import Cache, key
from wallwright.planning.clock import Clock, StageProgress
from wallwright.planning.continuation_plan import ContinuationPlanner
from wallwright.planning.export import sheet_pages, write_plan, write_wall
from wallwright.planning.plan import EVERY, Goal, PlacementReport, Request, Response, StrokePreview
from wallwright.planning.plan_stage import PlanStage, ended_at
from wallwright.planning.shorter import find_shorter
from wallwright.planning.style_samples import sample_of, shrunk, trials
from wallwright.planning.zone_stage import ZoneStage
from wallwright.strokes.composition_cache import CompositionCache
from wallwright.strokes.fills.quickest import DrawingPace
from wallwright.strokes.order import OrderSaving
from wallwright.strokes.pictures.picture_strokes import picture_lines
from wallwright.strokes.stroke_composition import compose_strokes
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tour.search_budget import SearchBudget


class CostlyArtwork(TooCostly):
    """An artwork of a document costs more to read than anybody has agreed to. artwork: its id."""

    def __init__(self, cause: TooCostly, artwork: str) -> None:
        super().__init__(str(cause), cause.memory)
        self.artwork = artwork


def _read(artwork: Artwork, flatness: float, progress: Callable[[float], None]) -> Drawing:
    """Raises BadFile, CostlyArtwork."""
    with reading(artwork.read_anyway):
        try:
            return read_artwork(artwork.data, artwork.media, artwork.name, flatness, progress)
        except TooCostly as error:
            raise CostlyArtwork(error, artwork.id) from error


@dataclass(frozen=True)
class PlacedArtwork:
    """One placement's artwork on the wall."""

    drawing: Drawing
    strokes: Strokes
    report: PlacementReport


class Runner:
    """Runs requests one at a time and keeps the results of stages."""

    def __init__(self) -> None:
        self._drawings = Cache(64)
        self._placed = Cache(64)
        self._pictures = Cache(16)
        self._kept = Cache(16)
        self._zones = ZoneStage()
        self._plans = PlanStage()
        self._rests = ContinuationPlanner()

    def run(
        self,
        request: Request,
        progress: StageProgress = lambda stage, done, saving=None: None,
        early: Callable[[Response], None] = lambda answer: None,
        enough: Callable[[], bool] = lambda: False,
    ) -> Response:
        """Does what is asked. progress may raise Cancelled; early receives the preview before the plan is ready, and a
        provisional plan when one is asked for and little has changed; enough is asked while strokes are put in order: True
        ends that, and the answer says after how many tries.

        Raises UserError for anything a person can mend.
        """
        with collection_paused():
            return self._answer(request, progress, early, enough)

    def _answer(
        self,
        request: Request,
        progress: StageProgress,
        early: Callable[[Response], None],
        enough: Callable[[], bool],
    ) -> Response:
        clock = Clock()
        document = request.document
        if request.hanging != EVERY and not 0 <= request.hanging < len(document.hangings):
            raise BadValue(tr("There is no hanging number {0}", request.hanging + 1))
        if request.goal is Goal.SAMPLES:
            self._sample_styles(request, progress, early)
            return Response(request.id, timings=clock.seconds)
        if request.goal is Goal.SHORTER:

            def preview_of(changed: Document) -> StrokePreview:
                return self.preview(changed, progress, clock)

            for option in find_shorter(document, request.hanging, preview_of, self._plans, progress):
                early(Response(request.id, final=False, shorter=option))
            return Response(request.id, timings=clock.seconds)

        def show(placement: Placement, drawing: Drawing) -> None:
            if placement.id in request.unseen:
                early(Response(request.id, final=False, pictures={placement.id: small_picture(drawing)}))

        preview = self.preview(document, progress, clock, show)
        if request.goal is Goal.PREVIEW:
            return Response(request.id, preview=preview, timings=clock.seconds)
        early(Response(request.id, final=False, preview=preview, timings=dict(clock.seconds)))
        if request.hanging == EVERY:
            return self._every(request, preview, progress, clock, enough)
        if request.provisional and request.goal is Goal.PLAN and request.rest is None:
            spent = Clock(clock.seconds)
            quick = self._plans.provisional(document, request.hanging, preview, progress, spent)
            if quick is not None:
                early(Response(request.id, final=False, plan=quick, timings=spent.seconds))
                del quick  # a large plan: its memory is needed for the next
        budget = SearchBudget(document.settings.order.tries, enough)
        plan = self._plans.plan(document, request.hanging, preview, progress, clock, budget)
        ended_after = budget.made if budget.ended_early else 0
        if request.rest is not None:
            with clock("motion"):
                document, plan = self._rests.plan(document, plan, request.rest, lambda d: progress("motion", d))
        if request.goal is Goal.SHEET:
            pages = sheet_pages(request, ended_at(document, budget), preview, plan, progress)
            return Response(request.id, pages=pages, timings=clock.seconds)
        files: tuple[str, ...] = ()
        if request.goal is Goal.EXPORT:
            with clock("write"):
                files = write_plan(request, ended_at(document, budget), preview, plan, progress)
        return Response(
            request.id,
            preview=preview,
            plan=plan,
            files=files,
            ended_after=ended_after,
            timings=clock.seconds,
        )

    def _every(
        self,
        request: Request,
        preview: StrokePreview,
        progress: StageProgress,
        clock: Clock,
        enough: Callable[[], bool],
    ) -> Response:
        """All hangings, one after the other; nothing is written while one of them has a bad check.

        A search ended at one hanging bounds those of the others too, for the document has one bound: hangings planned
        before it are ordered again, no further than that.
        """
        document, count, plans = request.document, len(request.document.hangings), []
        ended_after = 0
        for number in range(count):

            def part(stage: str, done: float, saving: OrderSaving | None = None, number: int = number) -> None:
                progress(stage, (number + done) / count, saving)

            budget = SearchBudget(document.settings.order.tries, enough if not ended_after else lambda: False)
            plans.append(self._plans.plan(document, number, preview, part, clock, budget))
            if budget.ended_early:
                ended_after, document = budget.made, ended_at(document, budget)
                plans = [
                    self._plans.plan(document, n, preview, part, clock, SearchBudget(ended_after))
                    for n in range(number + 1)
                ]
        files: tuple[str, ...] = ()
        if request.goal is Goal.EXPORT:
            with clock("write"):
                files = write_wall(request, document, preview, tuple(plans), progress)
        return Response(
            request.id, preview=preview, plans=tuple(plans), files=files, ended_after=ended_after, timings=clock.seconds
        )

    def preview(
        self,
        document: Document,
        progress: StageProgress,
        clock: Clock,
        show: Callable[[Placement, Drawing], None] = lambda placement, drawing: None,
    ) -> StrokePreview:
        """Strokes of all visible placements in file order, with what lies outside the draw zone.

        With several hangings they are shared out, and those of each hanging come together. show: called with each placement
        once its artwork is read, before its strokes are made.
        """
        parts: list[Strokes] = []
        reports: list[PlacementReport] = []
        owner: list[int] = []
        visible = [(i, p) for i, p in enumerate(document.placements) if p.visible]
        for number, (index, placement) in enumerate(visible):

            def part(stage: str, number: int = number) -> Callable[[float], None]:
                return lambda done: progress(stage, (number + done) / len(visible))

            with clock("read"):
                drawing = self._drawing(document, placement, part("read"))
            show(placement, drawing)
            with clock("strokes"):
                placed = self._strokes(document, placement, drawing, part("strokes"))
            base = len(owner)
            owner.extend([index] * max(1, len(placed.drawing.shapes)))
            strokes = placed.strokes
            parts.append(
                Strokes(
                    strokes.points,
                    strokes.offsets,
                    strokes.pen,
                    np.where(strokes.source >= 0, strokes.source + base, -1).astype(np.int32),
                    strokes.is_fill,
                )
            )
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

    def _sample_styles(self, request: Request, progress: StageProgress, early: Callable[[Response], None]) -> None:
        """Answers one sample after the other."""
        document, placement = request.document, request.document.placement(request.placement)
        drawing = self._drawing(document, placement, lambda done: progress("read", done))
        if drawing.raster is None:
            raise ValueError(f"{placement.id} shows no picture")
        small = dataclasses.replace(drawing, raster=shrunk(drawing.raster))
        beside = Runner()  # what is kept of the wall is not to make room
        for trial in trials(placement, document, request.styles):
            try:
                found = beside._strokes(document, trial, small, lambda done: progress("strokes", done))
                sample = sample_of(trial, found.strokes)
            except BadValue as error:  # a style that this picture takes too much ink for
                sample = sample_of(trial, Strokes.empty(), str(error))
            early(Response(request.id, final=False, sample=sample))

    def _drawing(self, document: Document, placement: Placement, progress: Callable[[float], None]) -> Drawing:
        artwork = document.artwork(placement.artwork)
        wall_flatness = document.settings.flatness
        if artwork.is_picture:  # pixels know no tolerance
            return self._drawings.get(
                key(artwork.digest, artwork.media, artwork.read_anyway),
                lambda: _read(artwork, wall_flatness, progress),
            )

        def read(flatness: float) -> Drawing:
            return self._drawings.get(
                key(artwork.digest, artwork.media, artwork.read_anyway, flatness),
                lambda: _read(artwork, flatness, progress),
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
    ) -> PlacedArtwork:
        artwork = document.artwork(placement.artwork)
        if drawing.raster is not None:
            style = (placement.picture or PictureSettings()).style
            if not isinstance(style, Regions):
                return self._picture(document, placement, drawing, drawing.raster, progress)
            drawing = self._traced(document, placement, drawing, drawing.raster, style, progress)
        natural = (drawing.width, drawing.height)
        # About its own middle: an artwork that is only moved keeps its strokes, and its hatches do not crawl over it.
        at_origin = msgspec.structs.replace(placement, x=0.0, y=0.0)
        matrix = placing_matrix(at_origin, natural)

        pace = DrawingPace.of(document)

        def make() -> PlacedArtwork:
            kept = self._kept.get(
                key(artwork.digest, placement.picture, matrix, document.settings.flatness), CompositionCache
            )
            with _naming(artwork.name):
                composed = compose_strokes(
                    drawing,
                    matrix,
                    placement.inks,
                    document.pens,
                    document.settings,
                    progress,
                    kept,
                    placement.colours,
                    placement.gaps,
                    pace,
                )
            elements = tuple(shape.element for shape in drawing.shapes) or ("",)
            report = PlacementReport(
                placement.id,
                natural,
                composed.uses,
                (*drawing.findings, *composed.findings),
                elements,
                composed.parts,
                composed.part_of_source,
            )
            return PlacedArtwork(drawing, composed.strokes, report)

        settings = msgspec.structs.replace(document.settings, order=Ordering())  # has no say in the strokes
        composed = self._placed.get(key(artwork.digest, at_origin, document.pens, settings, pace), make)
        return dataclasses.replace(composed, strokes=composed.strokes.moved((placement.x, placement.y)))

    def _picture(
        self,
        document: Document,
        placement: Placement,
        drawing: Drawing,
        raster: Raster,
        progress: Callable[[float], None],
    ) -> PlacedArtwork:
        """A picture in its line style: moved and turned without being drawn anew."""
        artwork, picture = document.artwork(placement.artwork), placement.picture or PictureSettings()
        size, settings = (placement.width, placement.height), document.settings
        with _naming(artwork.name):
            lines = self._pictures.get(
                key(artwork.digest, picture, size, document.pens, settings.flatness, settings.join_gap),
                lambda: picture_lines(raster, picture, document.pens, size, settings, progress),
            )
        findings = drawing.findings + lines.findings
        report = PlacementReport(placement.id, (drawing.width, drawing.height), lines.uses, findings, (artwork.name,))
        return PlacedArtwork(drawing, lines.placed(placing_matrix(placement, size)), report)

    def _traced(
        self,
        document: Document,
        placement: Placement,
        drawing: Drawing,
        raster: Raster,
        style: Regions,
        progress: Callable[[float], None],
    ) -> Drawing:
        """A picture as regions, found anew only when its size on the wall changes a good deal."""
        scale = max(placement.width / drawing.width, placement.height / drawing.height)
        flatness = _tolerance(document.settings.flatness, scale)
        speck = style.speck * flatness / document.settings.flatness
        found = self._pictures.get(
            key(document.artwork(placement.artwork).digest, style, flatness, speck),
            lambda: trace(raster, style.colours, speck, flatness, progress),
        )
        return dataclasses.replace(found, findings=drawing.findings)


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
