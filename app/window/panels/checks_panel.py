"""The checks, worst first: each shows its place and offers its remedies."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QStyle,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from app.document.language import marked, tr
from app.jobs.checks import Check, Verdict
from app.window.session import Session

ICONS = {
    Verdict.GOOD: QStyle.StandardPixmap.SP_DialogApplyButton,
    Verdict.NOTE: QStyle.StandardPixmap.SP_MessageBoxInformation,
    Verdict.WARNING: QStyle.StandardPixmap.SP_MessageBoxWarning,
    Verdict.BAD: QStyle.StandardPixmap.SP_MessageBoxCritical,
}


VERDICTS = {
    Verdict.GOOD: marked("Good"),
    Verdict.NOTE: marked("Note"),
    Verdict.WARNING: marked("Warning"),
    Verdict.BAD: marked("Bad: the job cannot be exported"),
}


class ChecksPanel(QScrollArea):
    """Lists the checks of the newest plan."""

    show_place = Signal(tuple)
    remedy = Signal(str)

    def __init__(self, session: Session, titles: dict[str, str], parent: QWidget | None = None) -> None:
        """titles: remedy id to the words on its button."""
        super().__init__(parent)
        self.session, self._titles = session, titles
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(tr("Checks"))
        self.setWhatsThis(
            tr("What was looked at before hanging. Click a check to see its place on the wall.")
        )
        self._shown: tuple[Check, ...] | None = None
        self._stale: bool | None = None
        session.plan_changed.connect(self.fill)
        self.fill()

    def fill(self) -> None:
        plan, stale = self.session.plan, self.session.plan_is_stale
        checks = plan.checks if plan is not None else ()
        if checks == self._shown and stale == self._stale and self.widget() is not None:
            return
        self._shown, self._stale = checks, stale
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(8, 6, 8, 6)
        column.setSpacing(4)
        if not checks:
            column.addWidget(QLabel(tr("Not planned yet.")))
        elif stale:
            column.addWidget(QLabel(tr("Of the plan before the last edit:")))
        for check in checks:
            column.addWidget(self._row(check))
        column.addStretch(1)
        page.setEnabled(not stale)
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
        buttons = QGridLayout()
        if check.place is not None:
            show = QPushButton(tr("Show"))
            show.setAccessibleName(tr("Show {0}", check.title))
            show.clicked.connect(lambda: self.show_place.emit(check.place))
            buttons.addWidget(show, 0, 0)
        for remedy in check.remedies:
            if remedy in self._titles:
                button = QPushButton(self._titles[remedy])
                button.clicked.connect(lambda _=False, r=remedy: self.remedy.emit(r))
                buttons.addWidget(button, buttons.count() // 2, buttons.count() % 2)
        if buttons.count():
            buttons.setColumnStretch(0, 1)
            buttons.setColumnStretch(1, 1)
            column.addLayout(buttons)
        line.addLayout(column, 1)
        return row
