"""Pointer position and progress of reading and planning in the status bar, with buttons to stop them."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel, QProgressBar, QPushButton, QStatusBar

from wallwright.document.language import tr
from wallwright.planning.stages import describe_stage, share_done
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.model.models import Models
from wallwright.window.shell.action_ids import ActionId
from wallwright.window.widgets.explain import explain


class ProgressStatus(QObject):
    """Fills a status bar."""

    def __init__(self, models: Models, bar: QStatusBar, actions: Mapping[ActionId, QAction], canvas: Canvas) -> None:
        super().__init__(bar)
        self._models, self._actions = models, actions
        self._reading = self._planning = ("", 0.0)
        """Texts on what is being read and planned, and the share done."""
        self.position = QLabel()
        self.stage = QLabel()
        self.share = QProgressBar()
        self.share.setRange(0, 1000)
        self.share.setMaximumWidth(160)
        self.share.setTextVisible(False)
        self.share.setAccessibleName(tr("Progress of planning"))
        self.enough = QPushButton(tr("Stop searching, use this order"))
        explain(self.enough, tr("Stop searching for a faster order and use the best one found so far."))
        self.enough.clicked.connect(models.planning.end_search)
        self.stop = QPushButton(tr("Cancel"))
        self.stop.clicked.connect(models.cancel)
        bar.addWidget(self.position)
        for widget in (self.stage, self.share, self.enough, self.stop):
            bar.addPermanentWidget(widget)
            widget.hide()
        for button in (self.enough, self.stop):
            # They hide when pressed; with the focus, keys such as undo would then go to the next field.
            button.clicked.connect(lambda: canvas.setFocus())
        canvas.hovered.connect(self.position.setText)
        models.planning.progress_changed.connect(self._show_planning)
        models.imports.progress.connect(self._show_reading)

    def _show_planning(self, stage: str, done: float) -> None:
        planning = self._models.planning
        self._planning = (describe_stage(stage, planning.saving) if stage else "", share_done(stage, done))
        self._show()
        self.enough.setVisible(stage == "order")
        self.enough.setEnabled(planning.is_searching)
        self._actions[ActionId.STOP_SEARCHING].setEnabled(planning.is_searching)

    def _show_reading(self, name: str, done: float) -> None:
        self._reading = (tr("Reading {0}", name) if name else "", done)
        self._show()

    def _show(self) -> None:
        """Shows the progress of reading files, else of the plan."""
        text, done = self._reading if self._reading[0] else self._planning
        self.stage.setText(text)
        self.stage.setMinimumWidth(self.stage.sizeHint().width())  # else a late layout would cut off a longer text
        for widget in (self.stage, self.share, self.stop):
            widget.setVisible(bool(text))
        self.share.setValue(round(1000 * done))
        self._actions[ActionId.CANCEL].setEnabled(bool(text))
