"""The mark of a job that draws outside the draw zone anyway: number of strokes and ignored limits."""

from __future__ import annotations

from typing import Any

import msgspec

from wallwright.document.language import plural
from wallwright.statics.limits import PRIORITY, SENTENCES, Limit, describe_limits, limit_name


class IgnoredLimits(msgspec.Struct, frozen=True):
    """Limits that strokes of a job exceed by a person's decision. False when there are none."""

    strokes: int = 0
    """Number of strokes that leave the draw zone."""
    bits: int = 0
    """Bits of statics.limits.Limit."""

    def __bool__(self) -> bool:
        return self.strokes > 0

    @property
    def limits(self) -> tuple[Limit, ...]:
        """The limits, the most important first."""
        return tuple(limit for limit in PRIORITY if limit & self.bits)

    @property
    def file_text(self) -> str:
        """Mark for files: always English, one line of ASCII; "" when there is none."""
        if not self:
            return ""
        strokes = "1 stroke leaves" if self.strokes == 1 else f"{self.strokes} strokes leave"
        return f"LIMITS IGNORED: {strokes} the draw zone: {', '.join(SENTENCES[limit] for limit in self.limits)}"

    @property
    def text(self) -> str:
        """Mark for a person, in the current language; "" when there is none."""
        if not self:
            return ""
        return plural(
            "LIMITS IGNORED: {0} stroke leaves the draw zone: {1}.",
            "LIMITS IGNORED: {0} strokes leave the draw zone: {1}.",
            self.strokes,
            describe_limits(self.bits),
        )

    def report(self) -> dict[str, Any]:
        """Returns the mark as plain values, for programs."""
        return {
            "strokes": self.strokes,
            "limits": [limit_name(limit) for limit in self.limits],
            "text": self.file_text,
        }


EARLIER_LIMITS = {"SKIP": "LOST_STEPS"}
"""Names of limits in reports of earlier versions."""


def ignored_limits_in(report: dict[str, Any]) -> IgnoredLimits:
    """Reads the mark in a job's report. Raises LookupError, TypeError or ValueError when it is damaged."""
    found = report["limits_ignored"]
    bits = 0
    for name in found["limits"]:
        bits |= Limit[EARLIER_LIMITS.get(name, name)]
    return IgnoredLimits(int(found["strokes"]), bits)
