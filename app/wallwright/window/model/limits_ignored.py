"""Which limits the job in a window ignores, as it is planned now. No widgets."""

from __future__ import annotations

from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.window.model.models import Models


def limits_ignored_now(models: Models) -> IgnoredLimits:
    """Of the current hanging; none while nothing is planned, or unless the person decided to draw outside anyway."""
    document, preview = models.project.document, models.planning.preview
    if preview is None or document.settings.outside != "draw-anyway":
        return IgnoredLimits()
    from wallwright.planning.drawing_outside import limits_ignored  # slow to import; nobody starts with it

    return limits_ignored(document, preview.outside, preview.strokes)
