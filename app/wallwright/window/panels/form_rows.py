"""Rows of a form: title, field, the room that a title needs, and a list that anything can be typed into."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QLineEdit, QWidget

from wallwright.window.widgets.choices import narrow


def row_parts(form: QFormLayout, row: int) -> tuple[QLabel | None, QWidget | None]:
    """Title and field of a row, where there are such."""
    role = QFormLayout.ItemRole
    label, field = (
        item.widget() if (item := form.itemAt(row, which)) is not None else None
        for which in (role.LabelRole, role.FieldRole)
    )
    return label if isinstance(label, QLabel) else None, field


def title_width(label: QLabel) -> int:
    """Pixels of its text in one line."""
    return label.fontMetrics().horizontalAdvance(label.text()) + 2


def editable_box(line: QLineEdit, offered: tuple[str, ...]) -> QComboBox:
    """A list whose entries can be chosen, or anything else typed into its line."""
    box = narrow(QComboBox())
    box.setEditable(True)
    box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    box.addItems(offered)
    box.setLineEdit(line)
    line.setCompleter(None)  # type: ignore[arg-type]  # Qt: none, so that a short name is not made a longer one
    return box
