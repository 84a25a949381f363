"""Continuing an interrupted job: opening the dialog, and offering it when such a project is opened."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from wallwright.document.continuation import Interruption, StrokePlace
from wallwright.document.edits_interruption import discard_interruption
from wallwright.document.language import duration, tr
from wallwright.jobs.checks import Remedy
from wallwright.motion.trajectory import place_at
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.model.models import Models
from wallwright.window.timeline.time_strip import TimeStrip

if TYPE_CHECKING:
    from wallwright.window.features.continue_job.dialog import ContinueDialog


class ContinueFeature(QObject):
    """Of one window."""

    def __init__(self, models: Models, canvas: Canvas, strip: TimeStrip, parent: QWidget) -> None:
        super().__init__(parent)
        self.models, self._canvas, self._strip, self._parent = models, canvas, strip, parent
        self.dialog: ContinueDialog | None = None
        self._offered: Interruption | None = None
        self.models.planning.plan_changed.connect(self._offer)

    def open(self) -> None:
        """Opens the dialog, once, at the moment shown, else where the project remembers that the job stopped."""
        from wallwright.window.features.continue_job.dialog import ContinueDialog

        if self.dialog is None:
            self.dialog = ContinueDialog(self.models, self._here(), self._parent)
            self.dialog.place_changed.connect(self._canvas.show_rest)
            self.dialog.finished.connect(self._ended)
            self._canvas.show_rest(self.dialog.where.place)
        self.dialog.show()
        self.dialog.raise_()

    def _here(self) -> StrokePlace:
        player, stopped = self._strip.player, self.models.project.document.stopped
        if player.motion is not None and player.at_moment:
            return place_at(player.motion, player.now) or StrokePlace()
        return stopped.place if stopped is not None and self._remedies() else StrokePlace()

    def _ended(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
            self.dialog = None
        self._strip.player.moved.emit()  # the canvas shows the moment again

    def forget(self) -> None:
        """The job is not interrupted any more."""
        self.models.project.edit(tr("Discard the interruption"), discard_interruption(self.models.project.document))

    def _remedies(self) -> tuple[Remedy, ...]:
        """What the check of an interrupted job offers: nothing when its strokes are not those that stopped."""
        checks = self.models.planning.plan.checks if self.models.planning.plan is not None else ()
        found = next((c for c in checks if c.id == "stopped"), None)
        return found.remedies if found is not None and Remedy.CONTINUE in found.remedies else ()

    def _offer(self) -> None:
        """Says once, when a project has been opened, that its job was interrupted."""
        stopped = self.models.project.document.stopped
        plan = self.models.planning.fresh_plan
        if stopped == self._offered or plan is None or plan.is_provisional:
            return
        if stopped is not None and plan.hanging != stopped.hanging:
            return
        self._offered = stopped
        if stopped is not None and self.dialog is None and self._remedies() and not self.models.project.is_dirty:
            self.models.messages.say(
                tr(
                    "The job was interrupted: {0} of {1} strokes are drawn. Choose “Job › Continue from here”.",
                    stopped.place.stroke,
                    stopped.of,
                )
            )

    def open_at(self, point: tuple[float, float], reach: float) -> None:
        """Opens the dialog at the stroke near a point of the wall, mm."""
        self._strip.seek_point(point, reach)
        self.open()

    def words(self) -> str:
        """Which stroke the moment shown is in."""
        player, plan = self._strip.player, self.models.planning.plan
        document = self.models.planning.plan_document
        if player.motion is None or not player.at_moment or plan is None or document is None:
            return ""
        place = place_at(player.motion, player.now)
        if place is None:
            return tr("All strokes are drawn")
        pen = document.pens[plan.strokes.pen[place.stroke]]
        return tr(
            "Stroke {0} of {1}, {2}, after {3}", place.stroke + 1, len(plan.strokes), pen.name, duration(player.now)
        )
