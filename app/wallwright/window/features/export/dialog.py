"""Where the job goes: a folder of its own, named after the project, which need not exist yet."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QDir
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.controller import Controller
from wallwright.document.language import tr
from wallwright.jobs.file_formats import FILE_FORMATS
from wallwright.jobs.file_names import REPORT, SHEET, file_for
from wallwright.jobs.file_set import is_unfinished
from wallwright.jobs.hanging_position import folder_of
from wallwright.jobs.job import continued_file_name
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.jobs.wall_report import WALL_REPORT
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain


def proposed_folder(project: Path | None) -> Path:
    """Beside the project, or in the home folder while it has not been saved."""
    if project is None:
        return Path(QDir.homePath()) / "wallwright-job"
    return project.absolute().with_name(f"{project.stem}-job")


def _file_titles(controller: Controller) -> list[str]:
    """Names of the files for a controller; those of drawings depend on the pens."""
    drawing = controller.takes == "drawing"
    others = [form.file for form in FILE_FORMATS] if not drawing or controller.page.other_files else []
    return [tr("one SVG for each pen"), *others] if drawing else others


class ExportDialog(QDialog):
    """Asks for the folder and says what will be written there."""

    def __init__(
        self,
        folder: Path,
        controller: Controller,
        parent: QWidget | None = None,
        in_hand: str = "",
        rest_from: int | None = None,
        number: int = 0,
        project: ProjectModel | None = None,
    ) -> None:
        """controller: which one of the files is for. in_hand, number: name and number of the hanging in hand when there are
        several, of which one or all can be written. rest_from: the stroke, counted from 1, from which only the rest is
        written. project: for which cautions are shown until they are closed."""
        super().__init__(parent)
        self._controller, self._rest_from, self._number = controller, rest_from, number
        self.setWindowTitle(tr("Export the job") if rest_from is None else tr("Export what is left"))
        self._line = QLineEdit(str(folder))
        self._line.setMinimumWidth(420)
        explain(self._line, tr("The folder is created if it does not exist."), tr("Folder for the job"))
        choose = QPushButton(tr("Choose…"))
        explain(choose, tr("Choose an existing folder"))
        choose.setAutoDefault(False)
        choose.clicked.connect(self._choose)
        row = QHBoxLayout()
        row.addWidget(self._line, 1)
        row.addWidget(choose)
        form = QFormLayout()
        label = QLabel(tr("&Folder"))
        label.setBuddy(self._line)
        form.addRow(label, row)
        self._which = QComboBox()
        if in_hand:
            self._which.addItem(tr("All hangings, each in its own folder"), True)
            self._which.addItem(tr("Only {0}", in_hand), False)
            explain(self._which, tr("Which hangings to export."), tr("Hangings"))
            self._which.currentIndexChanged.connect(self._look)
            which = QLabel(tr("&Hangings"))
            which.setBuddy(self._which)
            form.addRow(which, self._which)
        self._note = QLabel()
        self._note.setWordWrap(True)
        self._note.setMinimumHeight(self._note.fontMetrics().lineSpacing() * 7)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "files")
        self._export = buttons.addButton(tr("Export"), QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(self._note)
        layout.addWidget(caution_note(Occasion.RUN, project))
        layout.addWidget(buttons)
        self._export.setDefault(True)  # once it is in the dialog: before, Return would cancel
        self._line.textChanged.connect(self._look)
        self._line.selectAll()
        self._look()

    @property
    def folder(self) -> Path:
        return Path(self._line.text().strip()).expanduser()

    @property
    def every(self) -> bool:
        """Whether all of several hangings are to be written."""
        return bool(self._which.currentData())

    @property
    def place(self) -> Path:
        """Where the files go: those of one of several hangings into a folder of its own."""
        one_of_several = self._which.count() and not self.every
        return self.folder / folder_of(self._number) if one_of_several else self.folder

    def _choose(self) -> None:
        start = next((str(p) for p in (self.folder, *self.folder.parents) if p.is_dir()), "")
        chosen = QFileDialog.getExistingDirectory(self, tr("Folder for the job"), start)
        if chosen:
            self._line.setText(chosen)

    def _look(self) -> None:
        """Says what will happen; what cannot be is found now rather than after the wait."""
        names = [*_file_titles(self._controller), SHEET, REPORT]
        if self._rest_from is not None:
            names = [continued_file_name(name, self._rest_from) for name in names]
        text, good = tr("Writes {0}.", ", ".join(names)), True
        if self.every:
            text = tr("Writes a folder for each hanging with {0}, and {1} for all.", ", ".join(names), WALL_REPORT)
            names = [WALL_REPORT]
        folder = self.folder
        if not self._line.text().strip():
            text, good = tr("Enter a folder."), False
        elif not folder.is_absolute():
            text, good = tr("Enter the full path of the folder, or choose one."), False
        elif folder.exists() and not folder.is_dir():
            text, good = tr("{0} is a file. Choose a folder.", folder.name), False
        elif is_unfinished(self.place):
            text = tr("The last export to this folder was interrupted. It will be replaced completely.") + " " + text
        elif any((self.place / name).exists() for name in names):
            text = tr("The job in this folder will be replaced.") + " " + text
        elif not folder.exists():
            text = tr("The folder will be created.") + " " + text
        if good and self._controller.takes == "drawing":
            text += "\n\n" + tr(
                "When it is written, what to type on the machine's page is shown here and in {0}.", SHEET
            )
        elif good:
            own = file_for(self._controller)
            own = own if self._rest_from is None else continued_file_name(own, self._rest_from)
            text += "\n\n" + tr(
                "{0} is for your controller. The other job files are for other kinds of controller. The "
                "machine page says which one yours is.",
                own,
            )
        self._note.setText(text)
        self._export.setEnabled(good)
