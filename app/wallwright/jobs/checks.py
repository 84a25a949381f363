"""A check made before hanging, with its verdict."""

from __future__ import annotations

from enum import Enum, StrEnum

import msgspec

from wallwright.document.wall import Box, Point

LONG_JOB = "long"
"""Id of the check for jobs that take more than a working day."""


class Verdict(Enum):
    OK = "ok"
    NOTE = "note"
    WARNING = "warning"
    ERROR = "error"
    """The job is not exported while a check is an error."""


class Remedy(StrEnum):
    """An action that a check offers."""

    MOVE_IN = "move-in"
    """Moves artwork that is outside."""
    MOVE_ALL_IN = "move-all-in"
    """Moves all artwork together."""
    MOVE_START_IN = "move-start-in"
    """Moves the starting point."""
    SHRINK = "shrink"
    COVER_ARTWORK = "cover-artwork"
    """Adds hangings to cover the artwork."""
    CLIP = "clip"
    DRAW_OUTSIDE = "draw-outside"
    ADVISE_ANCHORS = "advise-anchors"
    ANCHORS_ONTO_WALL = "anchors-onto-wall"
    """Moves both anchors of the current hanging."""
    LINE_UP = "line-up"
    CALIBRATE = "calibrate"
    PROVE = "proof"
    """Makes the proof drawing of a machine that takes drawings."""
    CONTINUE = "continue"
    """Continues an interrupted job."""
    DISCARD_INTERRUPTION = "forget-stop"
    LIGHT_TO_DARK = "light-to-dark"
    """Sorts the pens from light to dark."""
    ORDER_FOR_DRY_INK = "order-for-dry-ink"
    """Puts the pens in the order that leaves most time for ink to dry."""
    WAIT_UNTIL_DRY = "wait-until-dry"
    """Waits for dry ink at pen changes."""
    GAP_BETWEEN_COLOURS = "gap-between-colours"
    ENTER_RATING = "enter-rating"
    """Asks for the rating of the anchors' fixings."""
    MEASURE_FRICTION = "measure-friction"
    """Measures the friction of the pens."""
    SHORTEN = "shorten"
    """Offers a list of changes that shorten the job."""
    FILL_ONE_WAY = "fill-one-way"
    """Draws all fill lines in one direction."""


class LimitShare(msgspec.Struct, frozen=True):
    """Part of a check's finding that is due to one limit of the draw zone."""

    limit: str
    """Name of statics.limits.Limit."""
    metres: float
    """Length of strokes, m."""
    place: Box
    """Box on the wall, mm: left, top, right, bottom."""


class ArtworkMove(msgspec.Struct, frozen=True):
    """A move of artwork."""

    placements: tuple[str, ...]
    """Ids of the placements."""
    subject: str
    """Name in a sentence: in quotation marks, or "all artwork"."""
    by: Point
    """Displacement to the right and down, mm."""


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
    """Possible remedies, the best first."""
    parts: tuple[LimitShare, ...] = ()
    """Shares by limit, the most important first."""
    move: ArtworkMove | None = None
    """What MOVE_IN does; None: unknown."""
    figure: str = ""
    """The key number with its unit, such as "7.9 N"; "" when there is none."""
