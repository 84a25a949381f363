"""The checks, worst first, a row each: errors and warnings open, notes and what is OK closed to one line."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QApplication, QLabel, QVBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.jobs.checks import Check
from wallwright.planning.stages import PROVISIONAL
from wallwright.window.model.models import Models
from wallwright.window.panels.check_row import OPEN_AT_FIRST, CheckRow
from wallwright.window.panels.page_area import PageArea

LEAST_WIDTH = 250
"""Pixels."""


class ChecksPanel(PageArea):
    """Lists the checks of the newest plan."""

    show_place = Signal(tuple)
    remedy = Signal(object)
    """The Remedy that is wanted."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(LEAST_WIDTH, parent)
        self.models = models
        self.setAccessibleName(tr("Checks"))
        self.setWhatsThis(tr("Checks before hanging. Click a check to read it and to see its position."))
        self._shown: tuple[Check, ...] | None = None
        self._note: str | None = None
        self._chosen: dict[tuple[str, str, str], bool] = {}
        """Rows that the person opened or closed, by check, title and verdict."""
        models.planning.plan_changed.connect(self.fill)
        self.fill()

    def rows(self) -> list[CheckRow]:
        """From top to bottom."""
        page = self.widget()
        return page.findChildren(CheckRow) if page is not None else []

    def visit(self) -> None:
        """Puts the keys to the worst check, opened, and brings it into view."""
        rows = self.rows()
        if not rows:
            self.setFocus(Qt.FocusReason.ShortcutFocusReason)
            return
        if rows[0].check.verdict in OPEN_AT_FIRST:
            rows[0].set_open(True)
        self.ensureWidgetVisible(rows[0])
        rows[0].header.setFocus(Qt.FocusReason.ShortcutFocusReason)
        # A row that is taller than the panel is read from its beginning, once the page has its new height.
        QTimer.singleShot(0, rows[0].header, partial(self.ensureWidgetVisible, rows[0].header))

    def fill(self) -> None:
        plan, is_stale = self.models.planning.plan, self.models.planning.plan_is_stale
        checks = plan.checks if plan is not None else ()
        if is_stale and plan is not None and not len(plan.strokes):
            checks = ()  # "Nothing to draw" beside artwork that was just added would be wrong
        if plan is None or not checks:
            note = tr("Not planned yet.")
        elif is_stale:
            note = tr("From the plan before your last change:")
        else:
            note = tr(PROVISIONAL) if plan.is_provisional else ""
        if checks == self._shown and note == self._note and self.widget() is not None:
            return
        self._shown, self._note = checks, note
        focused, above = self._focused_name(), self.verticalScrollBar().value()
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(4, 4, 4, 4)
        column.setSpacing(1)
        if note:
            label = QLabel(note)
            label.setWordWrap(True)
            label.setContentsMargins(6, 2, 6, 4)
            column.addWidget(label)
        for check in checks:
            column.addWidget(self._row(check))
        column.addStretch(1)
        page.setEnabled(not is_stale)
        self.setWidget(page)
        self.verticalScrollBar().setValue(above)
        for widget in page.findChildren(QWidget) if focused else ():
            if widget.accessibleName() == focused:
                widget.setFocus(Qt.FocusReason.OtherFocusReason)
                break

    def _focused_name(self) -> str:
        """Of the control of this panel that has the keys; "" when none has."""
        focus = QApplication.focusWidget()
        page = self.widget()
        is_here = focus is not None and page is not None and page.isAncestorOf(focus)
        return focus.accessibleName() if focus is not None and is_here else ""

    def _row(self, check: Check) -> CheckRow:
        key = (check.id, check.title, check.verdict.value)
        is_open = self._chosen.get(key, check.verdict in OPEN_AT_FIRST)
        row = CheckRow(check, is_open)
        row.show_place.connect(self.show_place)
        row.remedy.connect(self.remedy)
        row.opened.connect(lambda on: self._chosen.update({key: on}))
        return row
