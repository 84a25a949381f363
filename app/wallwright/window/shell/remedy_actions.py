"""What the window does for each remedy of a check: a table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from wallwright.document.document import Document
from wallwright.document.language import N_, tr
from wallwright.jobs.checks import Remedy
from wallwright.window.model import remedies
from wallwright.window.model.items import HangingItem
from wallwright.window.shell.window_parts import WindowParts


@dataclass(frozen=True)
class SettingRemedy:
    """What happens outside the draw zone, by a setting of the job."""

    title: str
    value: str

    def apply(self, parts: WindowParts) -> None:
        parts.models.project.set_field(tr(self.title), "settings.outside", self.value)


@dataclass(frozen=True)
class ComputedRemedy:
    """An edit that takes long to find, of a document whose artworks draw parts of their pages."""

    title: str
    function: Callable[[Document, remedies.Parts], Document]
    """Gets the document and what the artworks draw of their pages."""

    def apply(self, parts: WindowParts) -> None:
        drawn = parts.editing.drawn_parts()
        parts.editing.compute(tr(self.title), lambda document: self.function(document, drawn))


@dataclass(frozen=True)
class FeatureRemedy:
    """Something that a feature of the window does."""

    run: Callable[[WindowParts], None]

    def apply(self, parts: WindowParts) -> None:
        self.run(parts)


REMEDY_ACTIONS: dict[Remedy, SettingRemedy | ComputedRemedy | FeatureRemedy] = {
    Remedy.MOVE_IN: ComputedRemedy(N_("Move in"), remedies.moved_in),
    Remedy.SHRINK: ComputedRemedy(N_("Shrink to fit"), remedies.shrunk),
    Remedy.ADVISE_ANCHORS: ComputedRemedy(N_("Better anchors"), lambda document, _: remedies.anchors_advised(document)),
    Remedy.CLIP: SettingRemedy(N_("Clip to the draw zone"), "clip"),
    Remedy.DRAW_OUTSIDE: SettingRemedy(N_("Draw outside anyway"), "draw-anyway"),
    Remedy.COVER_ARTWORK: FeatureRemedy(lambda parts: parts.editing.hang_as_often()),
    Remedy.LINE_UP: FeatureRemedy(lambda parts: parts.register_marks.open()),
    Remedy.PROVE: FeatureRemedy(lambda parts: parts.proof.open()),
    Remedy.CALIBRATE: FeatureRemedy(lambda parts: parts.calibration.open()),
    Remedy.CONTINUE: FeatureRemedy(lambda parts: parts.continue_job.open()),
    Remedy.DISCARD_INTERRUPTION: FeatureRemedy(lambda parts: parts.continue_job.forget()),
    Remedy.ENTER_RATING: FeatureRemedy(
        lambda parts: parts.models.selection.select(HangingItem(parts.models.selection.hanging))
    ),
}


def apply_remedy(parts: WindowParts, remedy: Remedy) -> None:
    """Carries out a remedy."""
    REMEDY_ACTIONS[remedy].apply(parts)
