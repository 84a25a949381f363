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


class KeyedField(NamedTuple):
    """Which field has the keys."""

    name: str
    number: int
    """Among the fields of this name."""
    typed: TypedText | None
    """None: it is no line."""


def is_being_pressed(old: QWidget) -> bool:
    """Whether a list of this part is open or a mouse button held down on it: made anew now, it would lose the choice."""
    popup: QWidget | None = QApplication.activePopupWidget()
    while popup is not None and popup is not old:
        popup = popup.parentWidget()
    return popup is old or (old.underMouse() and QApplication.mouseButtons() != Qt.MouseButton.NoButton)


def leave(field: QWidget | None, old: QWidget, is_arriving: bool = False) -> KeyedField | None:
    """The field that has the keys and how its line stands; None when it is in no part that goes. is_arriving: the keys
    are on their way to the field, whose line has not selected its text yet."""
    if field is None or not old.isAncestorOf(field):
        return None
    name = field.accessibleName()
    index = next((i for i, one in enumerate(_called(old, name)) if one is field), 0)
    if not isinstance(field, QLineEdit):
        return KeyedField(name, index, None)
    if is_arriving and not field.isModified() and QApplication.mouseButtons() == Qt.MouseButton.NoButton:
        return KeyedField(name, index, TypedText(None, len(field.text()), (0, len(field.text()))))  # Tab selects all
    start = field.selectionStart()
    typed = TypedText(
        field.text() if field.isModified() else None,
        field.cursorPosition(),
        (start, field.selectionLength()) if start >= 0 else None,
    )
    field.setModified(False)  # when it goes, what is half typed must not count as entered
    return KeyedField(name, index, typed)


def go_on(part: QWidget, keyed: KeyedField | None) -> None:
    """Whoever chooses by keys goes on in the field where they were, whoever types within the word."""
    fields = _called(part, keyed.name) if keyed is not None and keyed.name else []
    if keyed is None or not fields:
        return
    field, typed = fields[min(keyed.number, len(fields) - 1)], keyed.typed
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    if typed is not None and isinstance(field, QLineEdit):
        if typed.text is not None:
            field.setText(typed.text)
        field.setCursorPosition(typed.cursor)
        if typed.selection is not None:
            field.setSelection(*typed.selection)
        field.setModified(typed.text is not None)


def _called(part: QWidget, name: str) -> list[QWidget]:
    return [field for field in part.findChildren(QWidget) if field.accessibleName() == name]
