"""The checks, worst first, a row each: errors and warnings open, notes and what is OK closed to one line."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QPoint, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QCursor
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QVBoxLayout, QWidget

from wallwright.document.language import N_, tr
from wallwright.jobs.checks import Check
from wallwright.window.model.models import Models
from wallwright.window.panels.check_row import OPEN_AT_FIRST, CheckRow
from wallwright.window.panels.page_area import PageArea

LEAST_WIDTH = 250
"""Pixels."""
NOT_PLANNED, STALE = N_("Not planned yet."), N_("From before your last change:")
NOT_FINAL = N_("Provisional: order not final")
NOTES = (NOT_PLANNED, STALE, NOT_FINAL)
"""Short notes: their line is reserved when there is none."""
SETTLE_MS = 350
"""Time, ms, for which clicks are ignored after another button has come under the mouse: reaction time, own choice."""


class NoteLine(QLabel):
    """Shows which plan the checks belong to. Keeps the height of its longest note, so that rows do not move."""

    def __init__(self, text: str) -> None:
        super().__init__(text or " ")  # Qt gives a label without text no height for a width
        self.setWordWrap(True)
        self.setContentsMargins(6, 2, 6, 4)

    def heightForWidth(self, width: int) -> int:
        margins = self.contentsMargins()
        room = QRect(0, 0, max(width - margins.left() - margins.right(), 1), 10_000)
        wrap = int(Qt.TextFlag.TextWordWrap)
        heights = (self.fontMetrics().boundingRect(room, wrap, tr(note)).height() for note in NOTES)
        return max(heights) + margins.top() + margins.bottom()

    def sizeHint(self) -> QSize:
        return QSize(super().sizeHint().width(), self.heightForWidth(max(self.width(), LEAST_WIDTH)))

    def minimumSizeHint(self) -> QSize:
        return QSize(super().minimumSizeHint().width(), self.fontMetrics().height())


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
            note = tr(NOT_PLANNED)
        elif is_stale:
            note = tr(STALE)
        else:
            note = tr(NOT_FINAL) if plan.is_provisional else ""
        if checks == self._shown and note == self._note and self.widget() is not None:
            return
        self._shown, self._note = checks, note
        focused, above = self._focused_name(), self.verticalScrollBar().value()
        pointed, aimed_at = self._row_under_mouse(), self._control_under_mouse()
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(4, 4, 4, 4)
        column.setSpacing(1)
        column.addWidget(NoteLine(note))
        for check in checks:
            column.addWidget(self._row(check))
        column.addStretch(1)
        page.setEnabled(not is_stale)
        self.setWidget(page)
        self.verticalScrollBar().setValue(above)
        if pointed is not None:
            self._keep_in_place(page, *pointed)
        if aimed_at and aimed_at != self._control_under_mouse():
            page.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            transparent = Qt.WidgetAttribute.WA_TransparentForMouseEvents
            QTimer.singleShot(SETTLE_MS, page, lambda: page.setAttribute(transparent, False))
        for widget in page.findChildren(QWidget) if focused else ():
            if widget.accessibleName() == focused:
                widget.setFocus(Qt.FocusReason.OtherFocusReason)
                break

    def _mouse(self) -> QPoint | None:
        """Returns the mouse position on the page; None if it is elsewhere."""
        page, at = self.widget(), self.viewport().mapFromGlobal(QCursor.pos())
        is_here = page is not None and self.isVisible() and self.viewport().rect().contains(at)
        return page.mapFrom(self.viewport(), at) if page is not None and is_here else None

    def _row_under_mouse(self) -> tuple[Check, int] | None:
        """Returns the check of the row under the mouse, and the row's top in the panel, px."""
        at = self._mouse()
        rows = [row for row in self.rows() if at is not None and row.geometry().contains(at)]
        return (rows[0].check, rows[0].mapTo(self.viewport(), QPoint()).y()) if rows else None

    def _control_under_mouse(self) -> str:
        """Returns the name of the button under the mouse; "" if there is none."""
        at, page = self._mouse(), self.widget()
        control = page.childAt(at) if page is not None and at is not None else None
        return control.accessibleName() if isinstance(control, QAbstractButton) else ""

    def _keep_in_place(self, page: QWidget, check: Check, top: int) -> None:
        """Scrolls so that the row of a check under the mouse stays in place, as far as possible. A row with another title or
        verdict is not followed."""
        layout = page.layout()
        if layout is not None:
            layout.activate()
        key = (check.title, check.verdict)
        row = next((row for row in self.rows() if (row.check.title, row.check.verdict) == key), None)
        if row is not None:
            bar = self.verticalScrollBar()
            bar.setValue(bar.value() + row.mapTo(self.viewport(), QPoint()).y() - top)

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
