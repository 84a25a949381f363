"""A shorter job: the list of changes that shorten it, and carrying out the one chosen."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from wallwright.document.edits import replace
from wallwright.document.language import duration, tr
from wallwright.planning.plan import ShorterOption
from wallwright.window.model.models import Models


class ShorterFeature:
    """Of one window."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        self._models, self._parent = models, parent

    @property
    def makes_sense(self) -> bool:
        """Whether there is a job whose time is known."""
        plan = self._models.planning.fresh_plan
        return plan is not None and plan.estimate.total_s > 0

    def open(self) -> None:
        """Lists what shortens the current hanging's job; applies what is chosen."""
        from wallwright.window.features.shorter.dialog import ShorterDialog  # the window opens sooner without

        document = self._models.project.document
        dialog = ShorterDialog(self._models, self._parent)
        if dialog.exec() and (chosen := dialog.chosen) is not None and self._models.project.document is document:
            self.apply(chosen, dialog.seconds)
        dialog.deleteLater()

    def apply(self, option: ShorterOption, seconds: float) -> None:
        """Makes a change, as one step of undo. seconds: that the job takes before it."""
        from wallwright.window.features.shorter.dialog import rounded

        project = self._models.project
        if not project.edit(option.title, replace(option.document, artworks=project.document.artworks)):
            return
        if option.share is None:
            text = tr("The job is planned anew. Undo brings back the longer one.")
        else:
            text = tr(
                "{0}: about {1} instead of {2}. The job is planned anew; undo brings back the longer one.",
                option.title,
                duration(rounded(option.share * seconds)),
                duration(seconds),
            )
        self._models.messages.say(text)
