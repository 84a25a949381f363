"""Dialogs of the Help menu."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QMessageBox, QTextBrowser, QVBoxLayout, QWidget

from wallwright.document.language import N_, tr
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId
from wallwright.window.widgets.screen_size import resize_within_screen

BY_HAND = (
    (N_("Arrow keys"), N_("Move the selection by 1 mm; with Shift by 10 mm.")),
    (N_("Wheel"), N_("Zoom in and out at the pointer.")),
    (N_("Middle button, or space bar"), N_("Pan the view.")),
    (N_("Alt+click on a stroke"), N_("Show when it is drawn.")),
    (N_("F6, Shift+F6"), N_("Go to the next or the previous area of the window.")),
    (N_("Tab, Shift+Tab"), N_("Go to the next or the previous control.")),
)
"""Keyboard and mouse operations on the wall, which are in no menu."""


def show_shortcuts(parent: QWidget, declared: Sequence[Action], actions: Mapping[ActionId, QAction]) -> None:
    """Shows all actions by menu with their keys, and the operations on the wall."""
    dialog = QDialog(parent)
    dialog.setWindowTitle(tr("Shortcuts"))
    text = QTextBrowser()
    text.setAccessibleName(tr("Shortcuts"))
    text.setWhatsThis(tr("All commands with their keys."))
    text.setHtml(shortcuts_html(declared, actions))
    buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
    buttons.rejected.connect(dialog.reject)
    column = QVBoxLayout(dialog)
    column.addWidget(text)
    column.addWidget(buttons)
    letter, row = dialog.fontMetrics().averageCharWidth(), dialog.fontMetrics().lineSpacing()
    resize_within_screen(dialog, 110 * letter, 38 * row)
    dialog.exec()
    dialog.deleteLater()


def shortcuts_html(declared: Sequence[Action], actions: Mapping[ActionId, QAction]) -> str:
    """Returns the table of the shortcuts page."""
    parts = []
    for menu in dict.fromkeys(one.menu for one in declared):
        rows = []
        for one in declared:
            if one.menu == menu:
                keys = actions[one.id].shortcut()
                shown = keys.toString(QKeySequence.SequenceFormat.NativeText)
                rows.append((tr(one.title).replace("&", ""), shown, tr(one.help)))
        parts.append(_table(tr(menu), rows))
    parts.append(_table(tr("On the wall"), [("", tr(keys), tr(what)) for keys, what in BY_HAND]))
    return "".join(parts)


def _table(title: str, rows: list[tuple[str, str, str]]) -> str:
    cells = "".join(
        f"<tr><td width='26%'>{escape(name)}</td><td width='22%'><b>{escape(keys)}</b></td><td>{escape(what)}</td></tr>"
        for name, keys, what in rows
    )
    return f"<h3>{escape(title)}</h3><table width='100%' cellpadding='3'>{cells}</table>"


def show_cautions(parent: QWidget) -> None:
    from wallwright.jobs.sheet.cautions import Occasion

    items = "".join(f"<li>{tr(risk.value)}</li>" for risk in Occasion.SHEET.value)
    QMessageBox.information(parent, tr("Cautions"), f"<ul>{items}</ul>")


def show_about(parent: QWidget, log_file: Path | None) -> None:
    from wallwright.window.shell.about import AboutDialog  # reads the licences of all libraries

    dialog = AboutDialog(parent, log_file)
    dialog.exec()
    dialog.deleteLater()
