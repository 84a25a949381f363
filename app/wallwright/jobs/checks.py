"""A check: one thing looked at before hanging, with its verdict."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Verdict(Enum):
    GOOD = "good"
    NOTE = "note"
    WARNING = "warning"
    BAD = "bad"
    """The job is not exported while a check is bad."""


@dataclass(frozen=True)
class LimitShare:
    """What of a check is due to one limit of the draw zone."""

    limit: str
    """Name of statics.limits.Limit."""
    metres: float
    """Of stroke, m."""
    place: tuple[float, float, float, float]
    """Box on the wall, mm: left, top, right, bottom."""


@dataclass(frozen=True)
class Check:
    """One thing looked at before hanging, with its verdict."""

    id: str
    verdict: Verdict
    title: str
    text: str
    """One or two sentences: what was found, how much, what to do."""
    place: tuple[float, float, float, float] | None = None
    """Box on the wall to look at, mm: left, top, right, bottom."""
    remedies: tuple[str, ...] = ()
    """Ids of edits that would mend it: "move-in", "shrink", "clip", "override", "advise-anchors"."""
    parts: tuple[LimitShare, ...] = ()
    """By limit, the one that tells most first."""
