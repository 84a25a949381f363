"""What the Help menu shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMessageBox

from app.document.language import tr

if TYPE_CHECKING:
    from app.window.window import MainWindow


def show_shortcuts(window: MainWindow) -> None:
    from app.window.actions import ACTIONS  # which names this module

    rows = "".join(
        f"<tr><td>{tr(d.title).replace('&', '')}&nbsp;&nbsp;</td>"
        f"<td><b>{window.actions_by_id[d.id].shortcut().toString(QKeySequence.SequenceFormat.NativeText)}</b>&nbsp;&nbsp;"
        f"</td><td>{tr(d.help)}</td></tr>"
        for d in ACTIONS
    )
    QMessageBox.information(window, tr("Shortcuts"), f"<table>{rows}</table>")


def show_cautions(window: MainWindow) -> None:
    from app.jobs.sheet.cautions import CAUTIONS

    items = "".join(f"<li>{tr(caution)}</li>" for caution in CAUTIONS)
    QMessageBox.information(window, tr("Cautions"), f"<ul>{items}</ul>")


def show_about(window: MainWindow) -> None:
    from app import __version__

    text = tr("Wallwright {0}", __version__)
    if window.log_file is not None:
        text += "<br>" + tr("Log file: {0}", window.log_file)
    QMessageBox.about(window, tr("About Wallwright"), text)
