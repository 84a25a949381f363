"""The dialog: what was found, the trade-off, the wall with the chosen pair, and applying it."""

from __future__ import annotations

import dataclasses

import numpy as np
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.language import tr
from wallwright.document.origin import wall_corner
from wallwright.document.placing import placement_corners
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.statics.anchor_placement import AnchorProposal
from wallwright.window.features.anchor_advice.trade_off_plot import TradeOffPlot
from wallwright.window.features.calibration.survey_picture import SurveyPicture
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.background_work import BackgroundWork
from wallwright.window.model.models import Models
from wallwright.window.model.remedies import advice_for, margin_now, with_anchors
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.screen_size import resize_within_screen


class AnchorSearch(BackgroundWork):
    """Searches beside the window. Read `advice` or `trouble` when it has finished."""

    def __init__(self, document: Document, hanging: int, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._hanging = document, hanging
        self.advice: AnchorProposal | None = None
        self.now = 0.0
        """Margin of the present anchors."""

    def work(self) -> None:
        self.now = margin_now(self._document, self._hanging)
        self.advice = advice_for(self._document, self._hanging)


class AnchorAdviceDialog(QDialog):
    """For the current hanging and what it draws."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._models, self._document, self._number = models, models.project.document, models.selection.hanging
        several = len(self._document.hangings) > 1
        self._name = self._document.hangings[self._number].name if several else ""
        self.setWindowTitle(tr("Better anchors: {0}", self._name) if several else tr("Better anchors"))
        self._message = QLabel(tr("Searching for the best positions…"))
        self._message.setWordWrap(True)
        self._message.setMinimumHeight(2 * self._message.fontMetrics().lineSpacing())
        self.trade_off, self._wall = TradeOffPlot(), SurveyPicture()
        self._wall.setAccessibleName(tr("The wall with the chosen anchors"))
        self.trade_off.chosen.connect(self._choose)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "wall")
        self.apply = buttons.addButton(tr("Move the anchors there"), QDialogButtonBox.ButtonRole.AcceptRole)
        self.apply.setEnabled(False)
        self.more = buttons.addButton(
            tr("Add hangings to cover the artwork"), QDialogButtonBox.ButtonRole.DestructiveRole
        )
        self.more.hide()
        self.more.clicked.connect(self._leave_for_more_hangings)
        self.wants_more_hangings = False
        """Whether the person chose to share the artwork between several hangings."""
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        row = QHBoxLayout()
        row.addWidget(self.trade_off, 3)
        row.addWidget(self._wall, 2)
        column = QVBoxLayout(self)
        column.addWidget(self._message)
        column.addLayout(row, 1)
        column.addWidget(caution_note(Occasion.ANCHORS, models.project))
        column.addWidget(buttons)
        self.apply.setDefault(True)
        resize_within_screen(self, 960, 540)
        self._advice: AnchorProposal | None = None
        """What was found, and the present anchors where they are among it."""
        self._present = -1
        """Number of the present anchors in it."""
        self._search = AnchorSearch(self._document, self._number, self)
        self._search.finished.connect(self._found)
        self._search.start()

    def _found(self) -> None:
        if self._search.advice is None:
            self._message.setText(self._search.trouble)
            self.more.show()
            return
        hanging = self._document.hangings[self._number]
        level = (hanging.left.y + hanging.right.y) / 2
        found = self._search.advice.evaluated
        own = np.array([hanging.left.x, level, hanging.distance, self._search.now])
        if ((own[1:3] >= found[:, 1:3].min(axis=0)) & (own[1:3] <= found[:, 1:3].max(axis=0))).all():
            # The search may not have tried a pair as far to the side: the cell around them then looks worse than they are.
            self._advice = dataclasses.replace(self._search.advice, evaluated=np.vstack([found, own]))
            self._present = len(found)
        else:
            self._advice = self._search.advice
        self.trade_off.show_advice(self._advice, self._document.wall.top, (hanging.distance, level))
        self._choose(int(found[:, 3].argmax()))

    def _choose(self, k: int) -> None:
        if self._advice is None:
            return
        x, y, distance, margin = self._advice.evaluated[k].tolist()
        hanging = self._document.hangings[self._number]
        self._pair = ((x, y), (x + distance, y))
        if k == self._present:  # they may hang a little askew
            self._pair = ((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y))
        (left_x, left_y), (right_x, right_y) = self._pair
        there = replace(
            hanging,
            left=replace(hanging.left, x=left_x, y=left_y),
            right=replace(hanging.right, x=right_x, y=right_y),
        )
        outlines = tuple(placement_corners(p) for p in self._document.placements if p.visible)
        self._wall.show_survey(self._document.wall, there, (), outlines, hanging)
        wall = self._document.wall
        where = tr(
            "Anchors {0:.0f} mm apart and {1:.0f} mm below the ceiling; the left one {2}.",
            distance,
            y - wall.top,
            wall_corner(self._document).text(x, y),
        )
        self._message.setText(f"{where} {self._gain(margin)}")
        self.apply.setEnabled(margin > 0)

    def _gain(self, margin: float) -> str:
        """What a pair with a margin is better at than the present anchors."""
        now = self._search.now
        if margin <= 0:
            return tr("Some of the artwork would be outside the draw zone.")
        if self._name:
            spare = tr("All limits kept for what {1} draws, reserve {0:.0%}", margin, self._name)
        else:
            spare = tr("All limits kept for all artwork, reserve {0:.0%}", margin)
        if now <= 0:
            return tr("{0}. With the present anchors some of it is outside the draw zone.", spare)
        if margin > now + 0.005:
            return tr("{0}. With the present anchors it is {1:.0%}.", spare, now)
        if margin < now - 0.005:
            return tr("{0}. The present anchors leave more: {1:.0%}.", spare, now)
        return tr("{0}, the same as with the present anchors.", spare)

    def _leave_for_more_hangings(self) -> None:
        self.wants_more_hangings = True
        self.reject()

    def accept(self) -> None:
        """Moves the anchors, as one edit; nothing when the document has changed meanwhile."""
        if self._models.project.document is self._document:
            self._models.project.edit(tr("Better anchors"), with_anchors(self._document, *self._pair, self._number))
        super().accept()

    def done(self, result: int) -> None:
        self._search.abandon()
        super().done(result)
