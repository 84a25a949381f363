"""Collapsible controls under a button "More"; their state lasts while the program runs."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QSizePolicy, QToolButton, QVBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.theme import Kind, as_kind

ARROW = 10
"""Width of the arrow's room, px: little more than the arrow, which is thus aligned with titles."""
_UNFOLDED: set[str] = set()
"""Keys of the open folds."""


class MoreFold(QWidget):
    """A quiet button that shows and hides a column of controls, which keep their values."""

    def __init__(self, key: str, title: str, parent: QWidget | None = None) -> None:
        """key: identifies the fold when its page is rebuilt. title: what the controls belong to."""
        super().__init__(parent)
        self._key = key
        self.button = QToolButton()
        self.button.setText(tr("More"))
        self.button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.button.setAutoRaise(True)
        as_kind(self.button, Kind.FOLD)
        self.button.setIconSize(QSize(ARROW, ARROW))
        self.button.setCheckable(True)
        self.button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        explain(self.button, tr("Shows or hides what seldom needs a change."), tr("More: {0}", title))
        self.content = QWidget()
        self.column = QVBoxLayout(self.content)
        """Layout of the collapsible controls."""
        self.column.setContentsMargins(0, 0, 0, 0)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self.button)
        outer.addWidget(self.content)
        self.button.setChecked(key in _UNFOLDED)
        self._show_content(self.button.isChecked())
        self.button.toggled.connect(self._toggle)

    def unfold(self) -> None:
        self.button.setChecked(True)

    def _toggle(self, is_open: bool) -> None:
        (_UNFOLDED.add if is_open else _UNFOLDED.discard)(self._key)
        self._show_content(is_open)

    def _show_content(self, is_open: bool) -> None:
        self.content.setVisible(is_open)
        self.button.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)


def unfold_around(widget: QWidget) -> None:
    """Opens all folds that hide a widget."""
    parent = widget.parentWidget()
    while parent is not None:
        if isinstance(parent, MoreFold):
            parent.unfold()
        parent = parent.parentWidget()


def fold_all() -> None:
    """Resets all folds: pages built from now on have them closed."""
    _UNFOLDED.clear()
