"""Planning stage from one hanging's strokes to a plan: ordered, timed and checked."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.document import Document, Fill
from wallwright.document.edits import set_field
from wallwright.document.ordering import Ordering
from wallwright.motion.estimate import estimate
from wallwright.motion.known_runs import KnownRuns
from wallwright.motion.planner import time_runs
from wallwright.planning.cache import Cache, key
from wallwright.planning.checks import all_checks
from wallwright.planning.clock import Clock, StageProgress
from wallwright.planning.ink_contacts import drying_waits
from wallwright.planning.outside_zone import clip_to_zone
from wallwright.planning.plan import Plan, StrokePreview
from wallwright.planning.priming import with_priming
from wallwright.planning.register_marks import drawn_by, mark_strokes, with_marks
from wallwright.planning.rough_time import RoughTime, rough_time
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import IMPOSSIBLE
from wallwright.strokes.corner_lifts import begin_at_sharpest, split_at_corners
from wallwright.strokes.order import order_strokes, with_fill_direction
from wallwright.strokes.repair import repair_order
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tour.search_budget import SearchBudget

MOST_SAMPLES = 1_400_000
"""Largest number of samples of all cached motions, about 90 bytes each: two of a large drawing, or more of others."""
FEW = 20_000
"""Number of points of strokes below which planning takes a second or two, so that no provisional plan is worth its
change of order."""


@dataclass(frozen=True)
class LastPlan:
    """Data of the last plan that helps to make the next one."""

    hanging: int
    rules: Ordering
    ordered: Strokes
    """In drawing order, without register marks."""
    where: str
    """Digest of everything that the motion depends on, except the strokes."""
    timed: KnownRuns


class PlanStage:
    """Caches its results by content, and keeps the last plan for the next edit."""

    def __init__(self) -> None:
        self._ordered = Cache(8)
        self._motions = Cache(8, MOST_SAMPLES, lambda timed: len(timed.motion.time))
        self._last: LastPlan | None = None

    def plan(
        self,
        document: Document,
        hanging: int,
        preview: StrokePreview,
        progress: StageProgress,
        clock: Clock,
        budget: SearchBudget,
    ) -> Plan:
        """Orders, time and check one hanging's strokes of a preview. If the budget is stopped early, the plan is that of
        the document with this limit."""
        strokes = self._drawable(document, hanging, preview, clock)
        content = self._content(document, hanging, preview, strokes)
        with clock("order"):
            ordered = self._ordered.find(content)
            if ordered is None:
                ordered = order_strokes(
                    *self._order_task(document, hanging, preview, strokes),
                    lambda done, saving: progress("order", done, saving),
                    budget,
                )
                document = ended_at(document, budget)
                content = self._content(document, hanging, preview, strokes)
                self._ordered.put(content, ordered)
        return self._timed(document, hanging, preview, ordered, content, progress, clock)

    def provisional(
        self, document: Document, hanging: int, preview: StrokePreview, progress: StageProgress, clock: Clock
    ) -> Plan | None:
        """Returns the last plan repaired where the strokes have changed; None if the plan itself is cached or quickly
        made, if too much has changed, or if stroke numbers matter."""
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
                *self._order_task(document, hanging, preview, strokes),
                last.ordered,
                lambda done: progress("order", done),
            )
        if ordered is None:
            return None
        ordered = with_fill_direction(ordered, rules)
        return self._timed(document, hanging, preview, ordered, "", progress, clock)

    def rough_time(
        self, document: Document, hanging: int, preview: StrokePreview, progress: StageProgress
    ) -> RoughTime:
        """Returns the approximate time of one hanging's job when each stroke is followed by the nearest one. Nothing is
        cached."""
        strokes = self._drawable(document, hanging, preview, Clock())
        task = self._order_task(document, hanging, preview, strokes)
        ordered = order_strokes(*task, lambda done, saving: progress("order", done), SearchBudget(1))
        return rough_time(document, hanging, ordered, progress)

    def _drawable(self, document: Document, hanging: int, preview: StrokePreview, clock: Clock) -> Strokes:
        """Returns a hanging's strokes to draw, in file order, split at corners if requested."""
        strokes, controller = self._inside(document, hanging, preview, clock), document.machine.controller
        if controller.takes == "drawing" and controller.page.lift_angle:
            return split_at_corners(strokes, controller.page.lift_angle)
        return strokes

    def _inside(self, document: Document, hanging: int, preview: StrokePreview, clock: Clock) -> Strokes:
        """Returns a hanging's strokes to draw, in file order."""
        preview = preview.of_hanging(hanging)
        strokes = preview.strokes
        if document.settings.outside == "clip" and np.any(preview.outside.bits):
            with clock("zone"):
                return clip_to_zone(document, document.hangings[hanging], strokes)
        if document.settings.outside == "refuse" and np.any(preview.outside.bits):
            # Nothing is exported before these are dealt with; motion and estimate cover the others.
            out = np.unique(strokes.stroke_of_point[preview.outside.bits != 0])
        else:
            never = (preview.outside.bits & np.uint16(IMPOSSIBLE)) != 0
            out = np.unique(strokes.stroke_of_point[never])
        return strokes.take(np.setdiff1d(np.arange(len(strokes)), out))

    def _content(self, document: Document, hanging: int, preview: StrokePreview, strokes: Strokes) -> str:
        """Returns the cache key for the order of strokes."""
        owner = preview.of_hanging(hanging).placement_of_source
        return key(
            strokes.points,
            strokes.offsets,
            strokes.pen,
            strokes.source,
            strokes.is_fill,
            document.hangings[hanging].start_point,
            document.machine.limits,
            document.machine.lift,
            owner,
            document.settings,
        )

    def _order_task(
        self, document: Document, hanging: int, preview: StrokePreview, strokes: Strokes
    ) -> tuple[Strokes, Floats, float, float, Ordering, Integers | None]:
        """Returns the arguments for ordering: strokes, start, speed and acceleration of travels, rules and groups."""
        limits, rules = document.machine.limits, document.settings.order
        owner = preview.of_hanging(hanging).placement_of_source
        groups = {"none": None, "shape": strokes.source, "artwork": owner[strokes.source]}[rules.together]
        start = np.array(document.hangings[hanging].start_point)
        return strokes, start, limits.travel_speed, limits.acceleration, rules, groups

    def _timed(
        self,
        document: Document,
        hanging: int,
        whole: StrokePreview,
        ordered: Strokes,
        content: str,
        progress: StageProgress,
        clock: Clock,
    ) -> Plan:
        """Returns the plan of ordered strokes. content: cache key of their order; "": the plan is provisional, and reuses
        the last motion where that is the same."""
        place, strokes = document.hangings[hanging], ordered
        rig = CableRobotModel.of(document.machine, place)
        preview = whole.of_hanging(hanging)
        if document.machine.controller.has_one_speed:
            strokes = begin_at_sharpest(strokes)
        if preview.marks:
            marks = mark_strokes(document, drawn_by(document, hanging, preview.marks))
            strokes = with_marks(strokes, marks)
        if document.machine.controller.takes != "drawing":
            strokes = with_priming(document, place, strokes)
        settings = msgspec.structs.replace(document.settings, order=Ordering(), fill=Fill(), wait_until_dry=False)
        where = key(document.machine, place, document.pens, document.wall, settings)
        with clock("motion"):
            if content:
                motion_key = key(content, strokes.points, strokes.pen, where)
                known = self._motions.find(motion_key)
                if known is None:
                    if self._last is not None:
                        self._motions.make_room(len(self._last.timed.motion.time))
                    known = time_runs(document, hanging, rig, strokes, lambda d: progress("motion", d))
                    self._motions.put(motion_key, known)
                timed = known
            else:
                last = self._last.timed if self._last is not None and self._last.where == where else None
                timed = time_runs(document, hanging, rig, strokes, lambda d: progress("motion", d), last)
        self._last = LastPlan(hanging, document.settings.order, ordered, where, timed)
        with clock("checks"):
            waits = drying_waits(document, strokes, timed.motion) if document.settings.wait_until_dry else ()
            result = estimate(document, timed.motion, waits)
            checks = all_checks(document, hanging, whole, strokes, timed.motion, result)
        return Plan(preview, strokes, timed.motion, result, checks, hanging, is_provisional=not content)


def ended_at(document: Document, budget: SearchBudget) -> Document:
    """Returns the document with the limit on tries at which the user stopped the search for the order."""
    return set_field(document, "settings.order.tries", budget.made) if budget.ended_early else document
