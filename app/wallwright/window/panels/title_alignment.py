"""Titles and fields of a page's forms in line, whatever their lengths."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QWidget

from wallwright.window.widgets.choices import width_of_longest
from wallwright.window.widgets.slider_field import BETWEEN as SLIDER_GAP
from wallwright.window.widgets.slider_field import FIELD, LEAST_SLIDER, SliderField
from wallwright.window.widgets.theme import CLOSE

LONGEST_TITLE = 190
"""Pixels of a title in one line beside a field."""
TWO_LINES = 0.62
"""Of a long title's width: as wide are the lines when it takes two."""
BETWEEN = CLOSE
"""Pixels between title and field."""


def align_page(page: QWidget, width: int, least: int, most: int, margins: int) -> None:
    """Fields of all forms of the page begin at one edge, that of the longest title; very long ones take two lines. What
    needs more room than is left beside its title, as a list with long entries, goes below it. Forms with sliders have an
    edge of their own: a slider needs the room that short titles leave.

    width, least, most: pixels that the page has, that it has at least, and that it may grow to; margins: of these, at both
    edges together."""
    forms = page.findChildren(QFormLayout)
    pairs = {form: [_pair(form, row) for row in range(form.rowCount())] for form in forms}
    sliding = [form for form in forms if any(isinstance(field, SliderField) for _, field in pairs[form])]
    for group in ([form for form in forms if form not in sliding], sliding):
        titled = [(label, field) for form in group for label, field in pairs[form] if label is not None]
        _align(titled, width, least, most, margins)


def _align(titled: list[tuple[QLabel, QWidget | None]], width: int, least: int, most: int, margins: int) -> None:
    """One edge for these titles and their fields."""
    edge = longest_word = 0
    for label, _ in titled:
        is_long = _width(label) > LONGEST_TITLE
        words = label.text().replace("-", "- ").split() if is_long else [label.text()]
        two_lines = min(LONGEST_TITLE, TWO_LINES * _width(label)) if is_long else 0.0
        edge = max(edge, round(two_lines), *(label.fontMetrics().horizontalAdvance(word) + 2 for word in words))
        single = label.text().replace("-", "- ").split()
        longest_word = max(longest_word, 0, *(label.fontMetrics().horizontalAdvance(word) + 2 for word in single))
    room = max(width, least) - margins
    if any(isinstance(field, SliderField) for _, field in titled):
        # Long titles take more lines before a slider becomes too short to be set.
        edge = min(edge, max(room - LEAST_SLIDER - SLIDER_GAP - FIELD - BETWEEN, longest_word))
    # The panel grows for a long list. Qt adds the space between to its width: given all the room, the panel would creep.
    longest = max(width, most) - margins - BETWEEN
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
            field.setMinimumWidth(max(needed, least - margins - BETWEEN))


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
