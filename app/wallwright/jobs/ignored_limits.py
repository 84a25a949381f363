"""The mark of a job that draws outside the draw zone anyway: for how many strokes, and which limits are ignored."""

from __future__ import annotations

from typing import Any

import msgspec

from wallwright.document.language import plural
from wallwright.statics.limits import PRIORITY, SENTENCES, Limit, describe_limits, limit_name


class IgnoredLimits(msgspec.Struct, frozen=True):
    """Limits that some strokes of a job break because a person decided so. False when there are none."""

    strokes: int = 0
    """Strokes that leave the draw zone."""
    bits: int = 0
    """Of statics.limits.Limit."""

    def __bool__(self) -> bool:
        return self.strokes > 0

    @property
    def limits(self) -> tuple[Limit, ...]:
        """The limits, the one that says most first."""
        return tuple(limit for limit in PRIORITY if limit & self.bits)

    @property
    def file_text(self) -> str:
        """The mark as files have it: English whatever the language, one line of ASCII; "" when there is none."""
        if not self:
            return ""
        strokes = "1 stroke leaves" if self.strokes == 1 else f"{self.strokes} strokes leave"
        return f"LIMITS IGNORED: {strokes} the draw zone: {', '.join(SENTENCES[limit] for limit in self.limits)}"

    @property
    def text(self) -> str:
        """The mark for a person, in the present language; "" when there is none."""
        if not self:
            return ""
        return plural(
            "LIMITS IGNORED: {0} stroke leaves the draw zone: {1}.",
            "LIMITS IGNORED: {0} strokes leave the draw zone: {1}.",
            self.strokes,
            describe_limits(self.bits),
        )

    def report(self) -> dict[str, Any]:
        """For files that programs read."""
        return {
            "strokes": self.strokes,
            "limits": [limit_name(limit) for limit in self.limits],
            "text": self.file_text,
        }


EARLIER_LIMITS = {"SKIP": "LOST_STEPS"}
"""What reports of earlier versions called them."""


def ignored_limits_in(report: dict[str, Any]) -> IgnoredLimits:
    """The mark in a job's report. Raises LookupError, TypeError or ValueError when it is damaged."""
    found = report["limits_ignored"]
    bits = 0
    for name in found["limits"]:
        bits |= Limit[EARLIER_LIMITS.get(name, name)]
    return IgnoredLimits(int(found["strokes"]), bits)
