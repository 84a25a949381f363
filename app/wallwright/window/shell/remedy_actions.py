"""Table of the window's actions for each remedy of a check."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.edits import FieldPath
from wallwright.document.language import N_, tr
from wallwright.jobs.checks import Remedy
from wallwright.planning.drawn_parts import Parts
from wallwright.window.model import remedies
from wallwright.window.model.items import HangingItem
from wallwright.window.shell.window_parts import WindowParts


@dataclass(frozen=True)
class SettingRemedy:
    """A remedy that changes a setting of the job."""

    title: str
    path: FieldPath
    value: object

    def apply(self, parts: WindowParts) -> None:
        parts.models.project.set_field(tr(self.title), self.path, self.value)


@dataclass(frozen=True)
class ComputedRemedy:
    """A remedy by a slow edit of the document, which also needs the drawn parts of pages."""

    title: str
    function: Callable[[Document, Parts], Document]
    """Takes the document and the drawn parts of the artworks' pages."""

    def apply(self, parts: WindowParts) -> None:
        drawn = parts.editing.drawn_parts()
        parts.editing.compute(tr(self.title), lambda document: self.function(document, drawn))


@dataclass(frozen=True)
class FeatureRemedy:
    """A remedy that opens a feature of the window."""

    run: Callable[[WindowParts], None]

    def apply(self, parts: WindowParts) -> None:
        self.run(parts)


def _show_missing_rating(parts: WindowParts) -> None:
    """Opens the field of the first unknown rating of an anchor."""
    number = parts.models.selection.hanging
    hanging = parts.models.project.document.hangings[number]
    parts.models.selection.select(HangingItem(number))
    side = "right" if hanging.left.rating and not hanging.right.rating else "left"
    parts.properties.show_field(f"hangings.{number}.{side}.rating")


def _move_anchors_onto_wall(parts: WindowParts) -> None:
    project, number = parts.models.project, parts.models.selection.hanging
    project.edit(tr("Move both anchors"), edits.anchors_onto_wall(project.document, number))


REMEDY_ACTIONS: dict[Remedy, SettingRemedy | ComputedRemedy | FeatureRemedy] = {
    Remedy.MOVE_IN: FeatureRemedy(lambda parts: parts.editing.move_in()),
    Remedy.MOVE_ALL_IN: ComputedRemedy(N_("Move all artwork in"), remedies.moved_in),
    Remedy.MOVE_START_IN: FeatureRemedy(lambda parts: parts.editing.move_start_in()),
    Remedy.SHRINK: FeatureRemedy(lambda parts: parts.editing.shrink()),
    Remedy.ADVISE_ANCHORS: FeatureRemedy(lambda parts: parts.editing.advise_anchors()),
    Remedy.ANCHORS_ONTO_WALL: FeatureRemedy(_move_anchors_onto_wall),
    Remedy.CLIP: SettingRemedy(N_("Clip to the draw zone"), "settings.outside", "clip"),
    Remedy.DRAW_OUTSIDE: SettingRemedy(N_("Draw outside anyway"), "settings.outside", "draw-anyway"),
    Remedy.COVER_ARTWORK: FeatureRemedy(lambda parts: parts.editing.hang_as_often()),
    Remedy.LINE_UP: FeatureRemedy(lambda parts: parts.register_marks.open()),
    Remedy.PROVE: FeatureRemedy(lambda parts: parts.proof.open()),
    Remedy.CALIBRATE: FeatureRemedy(lambda parts: parts.calibration.open()),
    Remedy.CONTINUE: FeatureRemedy(lambda parts: parts.continue_job.open()),
    Remedy.DISCARD_INTERRUPTION: FeatureRemedy(lambda parts: parts.continue_job.forget()),
    Remedy.LIGHT_TO_DARK: FeatureRemedy(lambda parts: parts.pens.order_light_to_dark()),
    Remedy.ORDER_FOR_DRY_INK: FeatureRemedy(lambda parts: parts.pens.order_for_dry_ink(parts.editing.compute)),
    Remedy.WAIT_UNTIL_DRY: SettingRemedy(N_("Wait until ink is dry"), "settings.wait_until_dry", True),
    Remedy.GAP_BETWEEN_COLOURS: FeatureRemedy(lambda parts: parts.pens.keep_colours_apart()),
    Remedy.MEASURE_FRICTION: FeatureRemedy(lambda parts: parts.pens.measure("friction")),
    Remedy.SHORTEN: FeatureRemedy(lambda parts: parts.shorter.open()),
    Remedy.FILL_ONE_WAY: SettingRemedy(N_("Fill lines in one direction"), "settings.order.fill_lines", "one-way"),
    Remedy.ENTER_RATING: FeatureRemedy(_show_missing_rating),
}


def apply_remedy(parts: WindowParts, remedy: Remedy) -> None:
    """Applies a remedy."""
    REMEDY_ACTIONS[remedy].apply(parts)
