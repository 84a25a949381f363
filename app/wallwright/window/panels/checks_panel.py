"""The checks, worst first: each shows its place and offers its remedies."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QStyle,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from wallwright.document.language import N_, tr
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.planning.stages import PROVISIONAL
from wallwright.statics.limits import SENTENCES, Limit
from wallwright.window.canvas.limit_styles import icon, swatch_size
from wallwright.window.model.models import Models
from wallwright.window.panels.page_area import PageArea
from wallwright.window.widgets.explain import explain

ICONS = {
    Verdict.GOOD: QStyle.StandardPixmap.SP_DialogApplyButton,
    Verdict.NOTE: QStyle.StandardPixmap.SP_MessageBoxInformation,
    Verdict.WARNING: QStyle.StandardPixmap.SP_MessageBoxWarning,
    Verdict.BAD: QStyle.StandardPixmap.SP_MessageBoxCritical,
}


VERDICTS = {
    Verdict.GOOD: N_("OK"),
    Verdict.NOTE: N_("Note"),
    Verdict.WARNING: N_("Warning"),
    Verdict.BAD: N_("Error: the job cannot be exported"),
}


LEAST_WIDTH = 230
"""Pixels."""
GAP = 4
"""Pixels between buttons."""
BESIDE = 56
"""Pixels of a row that margins, icon and scroll bar take."""


@dataclass(frozen=True)
class RemedyText:
    """What a button says, and what it does."""

    title: str
    help: str


REMEDIES: dict[Remedy, RemedyText] = {
    Remedy.MOVE_IN: RemedyText(
        N_("Move in"),
        N_("Moves all shown artwork together, no farther than needed, into the draw zone."),
    ),
    Remedy.SHRINK: RemedyText(
        N_("Shrink to fit"),
        N_("Shrinks all shown artwork together, no more than needed, and moves it into the draw zone."),
    ),
    Remedy.COVER_ARTWORK: RemedyText(
        N_("Add hangings to cover the artwork"),
        N_(
            "Proposes the hangings that are missing to cover the artwork. Hangings that exist stay where they are."
        ),
    ),
    Remedy.PROVE: RemedyText(
        N_("Proof drawing…"),
        N_("Two crosses and a line; four tape readings of them correct what is known of the machine's page."),
    ),
    Remedy.LINE_UP: RemedyText(
        N_("Line up by marks…"),
        N_("Enter how far the pen was from each mark on the wall. This corrects the anchors."),
    ),
    Remedy.CLIP: RemedyText(
        N_("Clip"),
        N_("Cuts off what lies outside the draw zone."),
    ),
    Remedy.DRAW_OUTSIDE: RemedyText(
        N_("Draw outside anyway"),
        N_("Draws outside the zone anyway. The machine may lose steps or fall there."),
    ),
    Remedy.ADVISE_ANCHORS: RemedyText(
        N_("Better anchors"),
        N_("Moves the anchors to where all shown artwork has the largest reserve."),
    ),
    Remedy.CALIBRATE: RemedyText(
        N_("Calibrate…"),
        N_(
            "Draw a few crosses and measure between them to find the true values of the machine and its anchors."
        ),
    ),
    Remedy.CONTINUE: RemedyText(
        N_("Continue…"),
        N_("Draws what is left, from where the job stopped."),
    ),
    Remedy.DISCARD_INTERRUPTION: RemedyText(
        N_("Discard"),
        N_("The job then no longer counts as interrupted."),
    ),
}
"""Of each remedy a check can offer."""


class ChecksPanel(PageArea):
    """Lists the checks of the newest plan."""

    show_place = Signal(tuple)
    remedy = Signal(object)
    """The Remedy that is wanted."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(LEAST_WIDTH, parent)
        self.models = models
        self.setAccessibleName(tr("Checks"))
        self.setWhatsThis(tr("Checks before hanging. Click a check to see its position on the wall."))
        self._shown: tuple[Check, ...] | None = None
        self._note: str | None = None
        models.planning.plan_changed.connect(self.fill)
        self.fill()

    def fill(self) -> None:
        plan, is_stale = self.models.planning.plan, self.models.planning.plan_is_stale
        checks = plan.checks if plan is not None else ()
        if plan is None or not checks:
            note = tr("Not planned yet.")
        elif is_stale:
            note = tr("From the plan before your last change:")
        else:
            note = tr(PROVISIONAL) if plan.is_provisional else ""
        if checks == self._shown and note == self._note and self.widget() is not None:
            return
        self._shown, self._note = checks, note
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(8, 6, 8, 6)
        column.setSpacing(4)
        if note:
            label = QLabel(note)
            label.setWordWrap(True)
            column.addWidget(label)
        for check in checks:
            column.addWidget(self._row(check))
        column.addStretch(1)
        page.setEnabled(not is_stale)
        self.setWidget(page)

    def _row(self, check: Check) -> QWidget:
        row = QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 2, 0, 2)
        icon = QLabel()
        icon.setPixmap(self.style().standardIcon(ICONS[check.verdict]).pixmap(16, 16))
        icon.setAccessibleName(tr(VERDICTS[check.verdict]))
        icon.setToolTip(tr(VERDICTS[check.verdict]))
        line.addWidget(icon, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout()
        column.setSpacing(2)
        title = QLabel(f"<b>{check.title}</b>")
        title.setWordWrap(True)
        text = QLabel(check.text)
        text.setWordWrap(True)
        column.addWidget(title)
        column.addWidget(text)
        for buttons in (*self._in_rows(self._parts(check)), *self._in_rows(self._buttons(check))):
            column.addLayout(buttons)
        line.addLayout(column, 1)
        return row

    def _parts(self, check: Check) -> list[QPushButton]:
        """One for each limit that strokes break, marked as they are on the wall; it shows where that is."""
        made = []
        for part in check.parts:
            limit = Limit[part.limit]
            metrics = QFontMetricsF(self.font())
            button = QPushButton(icon(limit, metrics, self.devicePixelRatioF()), tr("{0:.2f} m", part.metres))
            button.setIconSize(swatch_size(metrics))
            help = tr("Shows the strokes that lie outside because {0}.", tr(SENTENCES[limit]))
            explain(button, help, tr("{0:.2f} m because {1}", part.metres, tr(SENTENCES[limit])))
            button.clicked.connect(lambda _=False, p=part: self.show_place.emit(p.place))
            made.append(button)
        return made

    def _buttons(self, check: Check) -> list[QPushButton]:
        """One that shows the check's place, and one for each remedy."""
        made = []
        if check.place is not None:
            show = QPushButton(tr("Show"))
            explain(show, tr("Shows this check's position on the wall."), tr("Show {0}", check.title))
            show.clicked.connect(lambda: self.show_place.emit(check.place))
            made.append(show)
        for remedy in check.remedies:
            button = QPushButton(tr(REMEDIES[remedy].title))
            explain(button, tr(REMEDIES[remedy].help))
            button.clicked.connect(lambda _=False, r=remedy: self.remedy.emit(r))
            made.append(button)
        return made

    def _in_rows(self, buttons: list[QPushButton]) -> list[QHBoxLayout]:
        """Buttons side by side, in as many rows as the panel's width takes."""
        rows: list[QHBoxLayout] = []
        left = 0
        for button in buttons:
            width = button.sizeHint().width() + GAP
            if width > left:
                left = self.viewport().width() - BESIDE
                rows.append(QHBoxLayout())
                rows[-1].setSpacing(GAP)
                rows[-1].setAlignment(Qt.AlignmentFlag.AlignLeft)
            rows[-1].addWidget(button)
            left -= width
        return rows

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._shown = None
            self.fill()
