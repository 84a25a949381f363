"""A check made before hanging, with its verdict."""

from __future__ import annotations

from enum import Enum, StrEnum

import msgspec

from wallwright.document.wall import Box, Point

LONG_JOB = "long"
"""Id of the check that a job takes more than a day's work."""


class Verdict(Enum):
    OK = "ok"
    NOTE = "note"
    WARNING = "warning"
    ERROR = "error"
    """The job is not exported while a check is an error."""


class Remedy(StrEnum):
    """What a check offers to do about what it found."""

    MOVE_IN = "move-in"
    SHRINK = "shrink"
    COVER_ARTWORK = "cover-artwork"
    """As many hangings as the artwork needs."""
    CLIP = "clip"
    DRAW_OUTSIDE = "draw-outside"
    ADVISE_ANCHORS = "advise-anchors"
    ANCHORS_ONTO_WALL = "anchors-onto-wall"
    """Both of the current hanging."""
    LINE_UP = "line-up"
    CALIBRATE = "calibrate"
    PROVE = "proof"
    """The proof drawing of a machine that takes drawings."""
    CONTINUE = "continue"
    """An interrupted job."""
    DISCARD_INTERRUPTION = "forget-stop"
    LIGHT_TO_DARK = "light-to-dark"
    """The pens in this order."""
    ORDER_FOR_DRY_INK = "order-for-dry-ink"
    """The pens in the order that leaves most time for ink to dry."""
    WAIT_UNTIL_DRY = "wait-until-dry"
    """At pen changes."""
    GAP_BETWEEN_COLOURS = "gap-between-colours"
    ENTER_RATING = "enter-rating"
    """What the anchors' fixings are rated for."""
    MEASURE_FRICTION = "measure-friction"
    """Of the pens."""
    SHORTEN = "shorten"
    """The job, by a change that is chosen from a list."""
    FILL_ONE_WAY = "fill-one-way"
    """The lines of fills all in one direction."""


class LimitShare(msgspec.Struct, frozen=True):
    """What of a check is due to one limit of the draw zone."""

    limit: str
    """Name of statics.limits.Limit."""
    metres: float
    """Of stroke, m."""
    place: Box
    """Box on the wall, mm: left, top, right, bottom."""


class Check(msgspec.Struct, frozen=True):
    """A check made before hanging, with its verdict."""

    id: str
    verdict: Verdict
    title: str
    text: str
    """One or two sentences: what was found, how much, what to do."""
    place: Box | None = None
    """Box on the wall to look at, mm: left, top, right, bottom."""
    remedies: tuple[Remedy, ...] = ()
    """What would mend it, the best first."""
    parts: tuple[LimitShare, ...] = ()
    """By limit, the one that tells most first."""
    move: Point | None = None
    """How far MOVE_IN moves all artwork, mm to the right and down; None: that is not known."""
    figure: str = ""
    """The one number that counts, with its unit, like "7.9 N"; "" when there is none."""
