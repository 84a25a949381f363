"""The plan of a continued job: a pure function of the document, its plan and where to continue."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Floats
from wallwright.document.continuation import Continuation
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.motion.estimate import estimate
from wallwright.motion.planner import plan_motion
from wallwright.motion.refills import with_ink_used
from wallwright.planning.cache import Cache, key
from wallwright.planning.checks import all_checks
from wallwright.planning.ink_contacts import drying_waits
from wallwright.planning.plan import Plan
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose_recovery import join_uncertainty, pose_at, resume_covariance
from wallwright.strokes.remaining import (
    DrawnBefore,
    back_by,
    drawn_until,
    normalize_place,
    remaining_strokes,
    strokes_digest,
)


def started(document: Document, hanging: int, rest: Continuation) -> Document:
    """Returns the document with the job starting where the continuation does. Raises BadValue where the machine cannot
    hang."""
    place = document.hangings[hanging]
    start = rest.start or place.start_point
    pose_at(CableRobotModel.of(document.machine, place), np.array(start, dtype=float))
    return edits.with_field(document, f"hangings.{hanging}.start_point", tuple(start))


def plan_continuation(
    document: Document, whole: Plan, rest: Continuation, progress: Callable[[float], None] = lambda done: None
) -> tuple[Document, Plan]:
    """Returns the document with the start of the continuation, and the plan of what is left.

    The strokes keep the order and direction of the whole plan; they are timed again from the present pen position. Raises
    BadValue if nothing is left, or the machine cannot hang there.
    """
    hanging = whole.hanging
    place_before = document.hangings[hanging]
    document = started(document, hanging, rest)
    place = normalize_place(whole.strokes, rest.place)
    strokes = remaining_strokes(whole.strokes, place, rest.overlap)
    drawn = drawn_until(whole.strokes, place)
    metres = whole.strokes.lengths()[: len(drawn)] / 1000
    document = edits.replace(document, pens=with_ink_used(document.pens, metres, drawn.lengths() / 1000, drawn.pen))
    rig = CableRobotModel.of(document.machine, document.hangings[hanging])
    motion = plan_motion(document, hanging, rig, strokes, progress)
    result = estimate(
        document, motion, drying_waits(document, strokes, motion) if document.settings.wait_until_dry else ()
    )
    spread = spread_of(rest)
    if rest.known_by != "slip":  # a slip is worked out from the drawing itself, and so adds no other error
        spread = spread + resume_covariance(document.machine, place_before, rest.start or place_before.start_point)
    before = DrawnBefore(
        replace(rest, place=back_by(place, rest.overlap), overlap=0.0),
        drawn,
        len(whole.strokes),
        strokes_digest(whole.strokes),
        place_before.start_point,
        join_uncertainty(rig, strokes.points, spread),
    )
    checks = all_checks(document, hanging, whole.preview, strokes, motion, result, before)
    return document, Plan(whole.preview, strokes, motion, result, checks, hanging, before)


def spread_of(rest: Continuation) -> Floats:
    """Returns the (2, 2) mm² covariance of the belts at the beginning."""
    left, both, right = rest.spread
    return np.array([[left, both], [both, right]])


class ContinuationPlanner:
    """Plans continuations and keeps the newest, so that a plan that was shown is not computed again for export."""

    def __init__(self) -> None:
        self._kept = Cache(2)

    def plan(
        self, document: Document, whole: Plan, rest: Continuation, progress: Callable[[float], None]
    ) -> tuple[Document, Plan]:
        """Returns the result of plan_continuation."""
        bare = replace(document, artworks=tuple(replace(a, data=b"") for a in document.artworks), stopped=None)
        digests = tuple(a.digest for a in document.artworks)
        content = key(bare, digests, whole.strokes.points, whole.strokes.offsets, whole.hanging, rest)
        return self._kept.get(content, lambda: plan_continuation(document, whole, rest, progress))
