"""The field of a page that has the keys, and how its line stands, while the part that it is in is made anew."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget


class TypedText(NamedTuple):
    """How a line stands that is made anew while somebody is in it."""

    text: str | None
    """What is half typed; None: it shows what the document has."""
    cursor: int
    selection: tuple[int, int] | None
    """First letter and number of letters; None: nothing is selected."""


def leave(field: QWidget | None, old: QWidget, is_arriving: bool = False) -> tuple[str, TypedText | None]:
    """Name of the field that has the keys, "" when it is in no part that goes; and how its line stands. is_arriving: the
    keys are on their way to the field, whose line has not selected its text yet."""
    if field is None or not old.isAncestorOf(field):
        return "", None
    name = field.accessibleName()
    if not isinstance(field, QLineEdit):
        return name, None
    if is_arriving and QApplication.mouseButtons() == Qt.MouseButton.NoButton:
        return name, TypedText(None, len(field.text()), (0, len(field.text())))  # Tab selects all
    start = field.selectionStart()
    typed = TypedText(
        field.text() if field.isModified() else None,
        field.cursorPosition(),
        (start, field.selectionLength()) if start >= 0 else None,
    )
    field.setModified(False)  # when it goes, what is half typed must not count as entered
    return name, typed


def go_on(part: QWidget, name: str, typed: TypedText | None) -> None:
    """Whoever chooses by keys goes on in the field where they were, whoever types within the word."""
    for field in part.findChildren(QWidget) if name else ():
        if field.accessibleName() == name:
            field.setFocus(Qt.FocusReason.OtherFocusReason)
            if typed is not None and isinstance(field, QLineEdit):
                if typed.text is not None:
                    field.setText(typed.text)
                field.setCursorPosition(typed.cursor)
                if typed.selection is not None:
                    field.setSelection(*typed.selection)
                field.setModified(typed.text is not None)
