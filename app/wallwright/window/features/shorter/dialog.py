"""The dialog: each change that may shorten the job as a row. The time that is then left is filled in once it is known."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent
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
    """One change: its title to choose, what is left of the time, and what it does. A click anywhere chooses it."""

    def __init__(self, option: ShorterOption, seconds: float, group: QButtonGroup) -> None:
        """seconds: that the job takes now."""
        super().__init__()
        self.option, self._seconds = option, seconds
        self.setObjectName("card")
        self.choice = QRadioButton(option.title)
        group.addButton(self.choice)
        self.left, self.saved = StyledLabel(is_strong=True), StyledLabel(size=TextSize.SMALL)
        for label in (self.left, self.saved):
            label.setWordWrap(False)
        grid = QGridLayout(self)
        grid.setContentsMargins(NEAR, CLOSE, NEAR, CLOSE)
        grid.setHorizontalSpacing(NEAR)
        grid.setVerticalSpacing(TIGHT)
        grid.setColumnStretch(0, 1)
        grid.setColumnMinimumWidth(1, self.fontMetrics().horizontalAdvance(tr("about {0}", duration(5 * 3540))))
        font = self.choice.font()
        font.setBold(True)
        self.choice.setFont(font)
        grid.addWidget(self.choice, 0, 0)
        grid.addWidget(self.left, 0, 1, Qt.AlignmentFlag.AlignRight)
        text = StyledLabel(option.text, TextSize.SMALL)
        text.setIndent(self.choice.sizeHint().width() - self.choice.fontMetrics().horizontalAdvance(option.title))
        grid.addWidget(text, 1, 0)
        grid.addWidget(self.saved, 1, 1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        self.show_option(option)

    def show_option(self, option: ShorterOption) -> None:
        """What became of the change when it was tried; the row keeps its place and its height."""
        self.option, share, saved = option, option.share, " "
        if option.is_pending:
            left = tr("being tried…")
        elif share is None:
            left = tr("a little shorter")
        elif share >= 1:
            left = tr("no shorter")
        else:
            left = tr("about {0}", duration(rounded(share * self._seconds)))
            saved = tr("{0} less", duration(rounded((1 - share) * self._seconds)))
        self.left.setText(left)
        self.saved.setText(saved)
        self.choice.setEnabled(self.can_be_chosen)
        self.setCursor(Qt.CursorShape.PointingHandCursor if self.can_be_chosen else Qt.CursorShape.ArrowCursor)
        explain(self.choice, option.text, ", ".join(filter(None, (option.title, left, saved.strip()))))

    @property
    def can_be_chosen(self) -> bool:
        """Whether it is known to shorten the job."""
        return not self.option.is_pending and (self.option.share is None or self.option.share < 1)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        if event.button() == Qt.MouseButton.LeftButton and self.rect().contains(event.position().toPoint()):
            self.choice.setFocus()
            self.choice.click()


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
        option = answer.shorter
        if option is not None:
            row = next((r for r in self.rows if r.option.is_pending and r.option.title == option.title), None)
            if row is not None:
                row.show_option(option)
            else:
                self._add(OptionRow(option, self.seconds, self._group))
        if answer.trouble:
            self._say(answer.trouble, False)
        elif answer.final:
            none = tr("No change was found that shortens this job.")
            self._say("" if any(row.can_be_chosen for row in self.rows) else none, False)

    def _add(self, row: OptionRow) -> None:
        """Below the others: nothing moves under a hand that is about to click."""
        self._column.insertWidget(len(self.rows), row)
        if self.rows:
            QWidget.setTabOrder(self.rows[-1].choice, row.choice)
        self.rows.append(row)
