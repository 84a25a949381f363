"""Going on, on the window's side: opening the dialog, offering it for an interrupted job, the time strip's menu."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint
from PySide6.QtWidgets import QLabel, QMenu, QWidgetAction

from wallwright.document.continuation import Interruption, StrokePlace
from wallwright.document.edits_interruption import discard_interruption
from wallwright.document.language import duration, tr
from wallwright.motion.trajectory import place_at

if TYPE_CHECKING:
    from wallwright.window.features.continue_job.dialog import ContinueDialog
    from wallwright.window.shell.main_window import MainWindow

HERE = ("go-on", "previous-stroke", "next-stroke", "whole-job")
"""Actions of the time strip's menu."""


class ContinueController(QObject):
    """For one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window, self.session = window, window.session
        self.dialog: ContinueDialog | None = None
        self._offered: Interruption | None = None
        self.session.plan_changed.connect(self._offer)

    def open(self) -> None:
        """Opens the dialog, once, at the moment shown, else where the project remembers that the job stopped."""
        from wallwright.window.features.continue_job.dialog import ContinueDialog

        if self.dialog is None:
            self.dialog = ContinueDialog(self.session, self._here(), self.window)
            self.dialog.place_changed.connect(self.window.canvas.show_rest)
            self.dialog.finished.connect(self._ended)
            self.window.canvas.show_rest(self.dialog.where.place)
        self.dialog.show()
        self.dialog.raise_()

    def _here(self) -> StrokePlace:
        player, stopped = self.window.strip.player, self.session.document.stopped
        if player.at_moment:
            return place_at(player.motion, player.now) or StrokePlace()
        return stopped.place if stopped is not None and self._remedies() else StrokePlace()

    def _ended(self) -> None:
        self.dialog.deleteLater()
        self.dialog = None
        self.window.strip.player.moved.emit()  # the canvas shows the moment again

    def forget(self) -> None:
        """The job is not interrupted any more."""
        self.session.edit(tr("Forget the stop"), discard_interruption(self.session.document))

    def _remedies(self) -> tuple[str, ...]:
        """What the check of an interrupted job offers: nothing when its strokes are not those that stopped."""
        checks = self.session.plan.checks if self.session.plan is not None else ()
        found = next((c for c in checks if c.id == "stopped"), None)
        return found.remedies if found is not None and "go-on" in found.remedies else ()

    def _offer(self) -> None:
        """Says once, when a project has been opened, that its job was interrupted."""
        stopped = self.session.document.stopped
        if stopped == self._offered or not self.session.plan_is_final:
            return
        if stopped is not None and self.session.plan.hanging != stopped.hanging:
            return
        self._offered = stopped
        if stopped is not None and self.dialog is None and self._remedies() and not self.session.dirty:
            self.window.say(
                tr("The job was interrupted: {0} of {1} strokes are drawn. Choose Job, Go on from here.",
                   stopped.place.stroke, stopped.of)
            )  # fmt: skip

    def open_at(self, point: tuple[float, float], reach: float) -> None:
        """Opens the dialog at the stroke near a point of the wall, mm."""
        self.window.strip.find(point, reach)
        self.open()

    # The strip's menu.

    def menu(self, at: QPoint) -> QMenu:
        """What can be done at the moment shown."""
        menu = QMenu(self.window)
        menu.setToolTipsVisible(True)
        menu.setAccessibleName(tr("Menu of the moment"))
        if words := self.words():
            title = QLabel(f"<b>{words}</b>")
            title.setContentsMargins(10, 6, 10, 4)
            heading = QWidgetAction(menu)
            heading.setDefaultWidget(title)
            heading.setText(words)
            heading.setEnabled(False)
            menu.addAction(heading)
            menu.addSeparator()
        for name in HERE:
            menu.addAction(self.window.actions_by_id[name])
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(at)
        return menu

    def words(self) -> str:
        """Which stroke the moment shown is in."""
        player, plan = self.window.strip.player, self.session.plan
        if not player.at_moment or plan is None:
            return ""
        place = place_at(player.motion, player.now)
        if place is None:
            return tr("All strokes are drawn")
        pen = self.session.plan_document.pens[plan.strokes.pen[place.stroke]]
        return tr("Stroke {0} of {1}, {2}, after {3}", place.stroke + 1, len(plan.strokes), pen.name,
                  duration(player.now))  # fmt: skip
