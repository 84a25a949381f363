"""About the program: its version, where its log is, and the licences of all it is made of."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from wallwright import __version__
from wallwright.document.components import components, shipped_pictures
from wallwright.document.language import tr
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.whole_text import keep_whole_in_tips


class AboutDialog(QDialog):
    """Left the components, right the licence of the one that is selected."""

    def __init__(self, parent: QWidget | None, log_file: Path | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("About Wallwright"))
        lines = [
            "<b>" + tr("Wallwright {0}", __version__) + "</b>",
            tr("Prepares drawing jobs for a machine that hangs on two belts. Free software under the MIT licence."),
        ]
        if log_file is not None:
            lines.append(tr("Log file: {0}", log_file))
        head = QLabel("<br>".join(lines))
        head.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        head.setWordWrap(True)
        self.components = [*components(), *shipped_pictures()]
        self.list = QListWidget()
        keep_whole_in_tips(self.list)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setAccessibleName(tr("Components"))
        self.list.setWhatsThis(tr("What the program is made of. Select one to read its licence."))
        for one in self.components:
            self.list.addItem(f"{one.name} {one.version}, {one.licence}")
        self.text = QPlainTextEdit(readOnly=True)
        self.text.setAccessibleName(tr("Licence"))
        self.text.setWhatsThis(tr("The licence of the selected component."))
        self.list.currentRowChanged.connect(lambda row: self.text.setPlainText(self.components[row].text))
        self.list.setCurrentRow(0)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        row = QHBoxLayout()
        row.addWidget(self.list, 2)
        row.addWidget(self.text, 3)
        column = QVBoxLayout(self)
        column.addWidget(head)
        column.addLayout(row, 1)
        column.addWidget(buttons)
        letter, height = self.fontMetrics().averageCharWidth(), self.fontMetrics().lineSpacing()
        resize_within_screen(self, 130 * letter, 32 * height)
