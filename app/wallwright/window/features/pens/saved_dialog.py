"""The pens that were saved for other projects: choosing some to add, and deleting what is no longer owned."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.document import Pen
from wallwright.document.edits import replace
from wallwright.document.language import tr
from wallwright.document.saved_presets import SavedPresets
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.widgets.choices import swatch
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.whole_text import keep_whole_in_tips

PEN = Qt.ItemDataRole.UserRole


class SavedPensDialog(QDialog):
    """Read `chosen` and `kept` when it is closed."""

    def __init__(self, saved: SavedPresets, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.saved = self.kept = saved
        """What was saved before, and what stays saved."""
        self.setWindowTitle(tr("Saved pens"))
        note = QLabel(
            tr("Pens saved with “Pens › Save pen for reuse”. Select those that you want to use here.")
            if saved.pens
            else tr("No pen is saved yet. Select a pen and choose “Pens › Save pen for reuse”.")
        )
        note.setWordWrap(True)
        self._list = QListWidget()
        keep_whole_in_tips(self._list)
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        explain(self._list, tr("The saved pens."), tr("Saved pens"))
        for pen in saved.pens:
            row = QListWidgetItem(swatch(pen.colour), _words(pen))
            row.setData(PEN, pen)
            self._list.addItem(row)
        self._list.itemSelectionChanged.connect(self._update)
        self._list.itemDoubleClicked.connect(self.accept)
        buttons = QDialogButtonBox()
        self.add = buttons.addButton(tr("Add to this project"), QDialogButtonBox.ButtonRole.AcceptRole)
        self.delete = QPushButton(tr("Delete saved pen"))
        explain(self.delete, tr("Removes the selected pens from this list. Projects that use them keep them."))
        self.delete.setAutoDefault(False)
        buttons.addButton(self.delete, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "pens")
        self.delete.clicked.connect(self._delete)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(note)
        column.addWidget(self._list, 1)
        column.addWidget(buttons)
        self.resize(460, 320)
        if self._list.count():
            self._list.setCurrentRow(0)
        self._update()

    @property
    def chosen(self) -> tuple[Pen, ...]:
        """The selected pens, in the order of the list."""
        rows = (self._list.item(k) for k in range(self._list.count()))
        return tuple(row.data(PEN) for row in rows if row.isSelected())

    def _update(self) -> None:
        for button in (self.add, self.delete):
            button.setEnabled(bool(self.chosen))

    def _delete(self) -> None:
        names = {pen.name for pen in self.chosen}
        self.kept = replace(self.kept, pens=tuple(pen for pen in self.kept.pens if pen.name not in names))
        for row in self._list.selectedItems():
            self._list.takeItem(self._list.row(row))
        self._update()


def _words(pen: Pen) -> str:
    """Name, line width, and what is known of the ink."""
    text = tr("{0}, {1:g} mm", pen.name, pen.width)
    return text + ", " + tr("{0:.1f} m of ink left", max(pen.ink - pen.used, 0.0)) if pen.ink else text
