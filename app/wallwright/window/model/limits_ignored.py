"""Limits ignored by a window's job as planned now. No widgets."""

from __future__ import annotations

from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.window.model.models import Models


def limits_ignored_now(models: Models) -> IgnoredLimits:
    """Returns those of the current hanging; none without a plan, or unless the person decided to draw outside anyway."""
    document, preview = models.project.document, models.planning.preview
    if preview is None or document.settings.outside != "draw-anyway":
        return IgnoredLimits()
    from wallwright.planning.drawing_outside import limits_ignored  # slow to import, and not needed at start-up

    return limits_ignored(document, preview.outside, preview.strokes)
