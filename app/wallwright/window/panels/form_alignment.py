"""Titles and fields of forms under each other."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QWidget

from wallwright.window.panels.page_area import PageArea
from wallwright.window.widgets.choices import width_of_longest
from wallwright.window.widgets.slider_field import SliderField
from wallwright.window.widgets.theme import CLOSE, NEAR

LONGEST_TITLE = 0.56
"""Of the panel's width, in one line beside a field."""
TWO_LINES = 0.62
"""Of a long title's width: as wide are the lines when it takes two."""
LEAST_WIDTH = 340
"""Pixels."""
MARGIN, BETWEEN = NEAR, CLOSE
"""Pixels at the left and right edge of a page, and between title and field."""


def align_titles(area: PageArea) -> None:
    """Fields of all forms of the page begin at one edge, that of the longest title; very long ones take two lines. What
    needs more room than is left beside its title, as a list with long entries, goes below it. Forms with sliders have an
    edge of their own: a slider needs the room that short titles leave."""
    page = area.widget()
    forms = page.findChildren(QFormLayout) if page is not None else []
    pairs = {form: [_pair(form, row) for row in range(form.rowCount())] for form in forms}
    sliding = [form for form in forms if any(isinstance(field, SliderField) for _, field in pairs[form])]
    for group in ([form for form in forms if form not in sliding], sliding):
        _align(area, [(label, field) for form in group for label, field in pairs[form] if label is not None])


def _align(area: PageArea, titled: list[tuple[QLabel, QWidget | None]]) -> None:
    """One edge for these titles and their fields."""
    most, edge = LONGEST_TITLE * LEAST_WIDTH, 0
    for label, _ in titled:
        words = label.text().replace("-", "- ").split() if _width(label) > most else [label.text()]
        two_lines = min(most, TWO_LINES * _width(label)) if _width(label) > most else 0.0
        edge = max(edge, round(two_lines), *(label.fontMetrics().horizontalAdvance(word) + 2 for word in words))
    bar, width = area.verticalScrollBar().sizeHint().width(), area.viewport().width()
    room, least = max(width, LEAST_WIDTH - bar) - 2 * MARGIN, LEAST_WIDTH - bar - 2 * MARGIN
    # The panel grows for a long list. Qt adds the space between to its width: given all the room, the panel would creep.
    longest = max(width, area.most_width() - bar) - 2 * MARGIN - BETWEEN
    for label, field in titled:
        label.setToolTip(field.toolTip() if field is not None else "")
        if isinstance(field, QComboBox):
            field.setMinimumWidth(min(width_of_longest(field), longest))
        needed = field.minimumWidth() if field is not None else 0
        is_below = needed > room - edge - BETWEEN
        label.setWordWrap(not is_below and _width(label) > edge)
        above = max(edge, min(_width(label), room), room - needed + 2 * BETWEEN)  # Qt leaves out the space between
        label.setFixedWidth(above if is_below else edge)
        if is_below and isinstance(field, QComboBox):
            # Qt puts one that is narrower than its line at the right end; more than the least would widen the panel.
            field.setMinimumWidth(max(needed, least - BETWEEN))


def _pair(form: QFormLayout, row: int) -> tuple[QLabel | None, QWidget | None]:
    """Title and field of a row, where there are such."""
    role = QFormLayout.ItemRole
    label, field = (
        item.widget() if (item := form.itemAt(row, which)) is not None else None
        for which in (role.LabelRole, role.FieldRole)
    )
    return label if isinstance(label, QLabel) else None, field


def _width(label: QLabel) -> int:
    """Pixels of its text in one line."""
    return label.fontMetrics().horizontalAdvance(label.text()) + 2
