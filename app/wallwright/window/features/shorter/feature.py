"""A shorter job: the list of changes that shorten it, and carrying out the one chosen."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.language import duration, tr
from wallwright.planning.plan import ShorterOption
from wallwright.window.model.models import Models


class ShorterFeature:
    """Of one window."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        self._models, self._parent = models, parent
        self._awaited: tuple[str, float, Document] | None = None
        """Last change, the job's time before it, s, and the document with it, until it is planned."""
        models.planning.plan_changed.connect(self._report_result)

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
        self._awaited = (option.title, seconds, project.document)

    def _report_result(self) -> None:
        """Shows the actual saving of a change in place of the estimate."""
        if self._awaited is None:
            return
        title, seconds, document = self._awaited
        plan = self._models.planning.fresh_plan
        if self._models.project.document is not document:
            self._awaited = None  # the person has gone on
        elif plan is not None and not plan.is_provisional:
            self._awaited = None
            now = plan.estimate.total_s
            text = tr(
                "{0}: {1} now, {2} before. Undo brings back the job as it was.",
                title,
                duration(now),
                duration(seconds),
            )
            self._models.messages.say(text)
