"""Saving a report to ask for help with: asks about the project and the file, then writes it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import qVersion
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from wallwright.document.errors import UserError
from wallwright.document.language import tr
from wallwright.window.model.models import Models
from wallwright.window.model.settings import keep_folder, last_folder, settings

FILE_NAME = "wallwright-report.zip"


def save_help_report(models: Models, parent: QWidget) -> Path | None:
    """Returns the file that was written; None when the person left off or it could not be written."""
    from wallwright.document.help_report import write_help_report  # brings importlib.metadata

    with_project = ask_about_project(parent)
    if with_project is None:
        return None
    name, _ = QFileDialog.getSaveFileName(
        parent, tr("Save a report"), str(Path(last_folder("report")) / FILE_NAME), tr("Reports (*{0})", ".zip")
    )
    if not name:
        return None
    keep_folder("report", Path(name))
    file = Path(name) if Path(name).suffix else Path(name).with_suffix(".zip")
    choices = settings()
    versions = {"Qt": qVersion(), "Window system": QGuiApplication.platformName()}
    if (screen := parent.screen()) is not None:
        size = screen.size()
        versions["Screen"] = f"{size.width()} x {size.height()}, {screen.devicePixelRatio():g}"
    try:
        write_help_report(
            file,
            {key: choices.value(key) for key in choices.allKeys()},
            versions,
            models.project.document if with_project else None,
        )
    except UserError as trouble:
        models.messages.say(str(trouble))
        return None
    models.messages.say_files(tr("The report is saved. Nothing was sent: give the file to whoever helps you."), [file])
    return file


def ask_about_project(parent: QWidget) -> bool | None:
    """Whether the project goes into the report; None: the person does not want a report after all."""
    box = QMessageBox(
        QMessageBox.Icon.Question,
        tr("Save a report"),
        tr("Add this project with its artwork to the report?"),
        parent=parent,
    )
    box.setInformativeText(
        tr(
            "The report has the log, versions and settings, without paths of your folders. It is saved as a file; "
            "nothing is sent. With the project, others can see the problem for themselves."
        )
    )
    add = box.addButton(tr("Add the project"), QMessageBox.ButtonRole.YesRole)
    leave = box.addButton(tr("Without the project"), QMessageBox.ButtonRole.NoRole)
    box.addButton(QMessageBox.StandardButton.Cancel)
    box.setDefaultButton(leave)
    box.exec()
    pressed = box.clickedButton()
    box.deleteLater()
    return True if pressed is add else False if pressed is leave else None
