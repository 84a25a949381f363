"""The dialog: each change that shortens the job as a row with the time that is then left, the shortest first."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QDialogButtonBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.language import duration, tr
from wallwright.planning.plan import Response, ShorterOption
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.models import Models
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import resize_within_screen, scrolled
from wallwright.window.widgets.theme import CLOSE, NEAR, TIGHT, WIDE, StyledLabel, TextSize

SIZE = 620, 560
"""Pixels."""
BAR_HEIGHT = 4
"""Pixels of the line that moves while changes are tried."""


def rounded(seconds: float) -> float:
    """An estimated time as people say it: to the minute, above an hour to five minutes."""
    step = 300 if seconds > 3600 else 60 if seconds > 120 else 10
    return max(round(seconds / step), 1) * step


class OptionRow(QFrame):
    """One change: its title to choose, what is left of the time, and what it does."""

    def __init__(self, option: ShorterOption, seconds: float, group: QButtonGroup) -> None:
        """seconds: that the job takes now."""
        super().__init__()
        self.option = option
        self.setObjectName("card")
        self.choice = QRadioButton(option.title)
        group.addButton(self.choice)
        if option.share is None:
            left, saved = tr("a little shorter"), ""
        else:
            left = tr("about {0}", duration(rounded(option.share * seconds)))
            saved = tr("{0} less", duration(rounded((1 - option.share) * seconds)))
        explain(self.choice, option.text, ", ".join(filter(None, (option.title, left, saved))))
        grid = QGridLayout(self)
        grid.setContentsMargins(NEAR, CLOSE, NEAR, CLOSE)
        grid.setHorizontalSpacing(NEAR)
        grid.setVerticalSpacing(TIGHT)
        grid.setColumnStretch(0, 1)
        font = self.choice.font()
        font.setBold(True)
        self.choice.setFont(font)
        grid.addWidget(self.choice, 0, 0)
        grid.addWidget(StyledLabel(left, is_strong=True), 0, 1, Qt.AlignmentFlag.AlignRight)
        text = StyledLabel(option.text, TextSize.SMALL)
        text.setIndent(self.choice.sizeHint().width() - self.choice.fontMetrics().horizontalAdvance(option.title))
        grid.addWidget(text, 1, 0)
        small = StyledLabel(saved, TextSize.SMALL)
        small.setWordWrap(False)
        grid.addWidget(small, 1, 1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)

    @property
    def order(self) -> float:
        """The less is left, the further up."""
        return 1.0 if self.option.share is None else self.option.share


class ShorterDialog(QDialog):
    """Asks for the changes as soon as the job is planned. Read `chosen` when it was accepted."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._models = models
        self.rows: list[OptionRow] = []
        """From top to bottom."""
        self.setWindowTitle(tr("A shorter job"))
        self.now = StyledLabel(size=TextSize.TITLE, is_strong=True)
        about = StyledLabel(
            tr("Choose a change. Its time is an estimate from trying it; pen changes are not counted."), TextSize.SMALL
        )
        self.message = QLabel()
        self.message.setWordWrap(True)
        self.busy = QProgressBar()
        self.busy.setRange(0, 0)
        self.busy.setTextVisible(False)
        self.busy.setFixedHeight(BAR_HEIGHT)
        self.busy.setAccessibleName(tr("Changes are being tried"))
        self._group = QButtonGroup(self)
        body = QWidget()
        self._column = QVBoxLayout(body)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(CLOSE)
        self._column.addStretch(1)
        buttons = QDialogButtonBox()
        self.apply = buttons.addButton(tr("Apply"), QDialogButtonBox.ButtonRole.AcceptRole)
        self._group.buttonClicked.connect(lambda: self.apply.setEnabled(True))
        explain(self.apply, tr("Makes the chosen change. It can be undone."))
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "first-job")
        self.apply.setEnabled(False)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        state = QHBoxLayout()
        state.setSpacing(NEAR)
        state.addWidget(self.message, 2)
        state.addWidget(self.busy, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(WIDE, WIDE, WIDE, WIDE)
        column.setSpacing(CLOSE)
        column.addWidget(self.now)
        column.addWidget(about)
        column.addLayout(state)
        column.addWidget(scrolled(body), 1)
        column.addWidget(buttons)
        resize_within_screen(self, *SIZE)
        self._is_asked = False
        models.planning.shorter_found.connect(self._take)
        models.planning.plan_changed.connect(self._ask)
        self._ask()

    @property
    def seconds(self) -> float:
        """That the job takes now, as planned."""
        plan = self._models.planning.plan
        return plan.estimate.total_s if plan is not None else 0.0

    @property
    def chosen(self) -> ShorterOption | None:
        """The change that the person wants."""
        return next((row.option for row in self.rows if row.choice.isChecked()), None)

    def _ask(self) -> None:
        if not self._is_asked:
            self._is_asked = self._models.planning.find_shorter()
            self._say(tr("Changes are being tried…") if self._is_asked else tr("The job is being planned…"), True)
            self.now.setText(tr("Now: {0}", duration(self.seconds)) if self._is_asked else "")

    def _say(self, text: str, is_busy: bool) -> None:
        self.message.setText(text)
        self.message.setVisible(bool(text))
        self.busy.setVisible(is_busy)

    def _take(self, answer: Response) -> None:
        if answer.shorter is not None:
            self._add(OptionRow(answer.shorter, self.seconds, self._group))
        if answer.trouble:
            self._say(answer.trouble, False)
        elif answer.final:
            self._say("" if self.rows else tr("No change was found that shortens this job."), False)

    def _add(self, row: OptionRow) -> None:
        at = sum(other.order <= row.order for other in self.rows)
        self.rows.insert(at, row)
        self._column.insertWidget(at, row)
        before = self.rows[at - 1].choice if at else None
        if before is not None:
            QWidget.setTabOrder(before, row.choice)
