"""Where the job goes: a folder of its own, named after the project, which need not exist yet."""

from __future__ import annotations

from html import escape
from pathlib import Path

from PySide6.QtCore import QDir, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.controller import Controller
from wallwright.document.edits import file_title
from wallwright.document.language import duration, tr
from wallwright.jobs.file_formats import FILE_FORMATS, TABLE_FORMATS
from wallwright.jobs.file_names import PLANE, REPORT, SHEET, SVG, file_for, name_for
from wallwright.jobs.file_set import is_unfinished
from wallwright.jobs.hanging_position import folder_of
from wallwright.jobs.how_to_run import how_to_run
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.jobs.job import continued_file_name
from wallwright.jobs.job_folder import project_in
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.jobs.wall_report import WALL_REPORT
from wallwright.motion.plan import Estimate
from wallwright.planning.plan import Plan
from wallwright.window.features.export.hanging_notes import missing_files, unplanned, warnings_as_rich_text
from wallwright.window.features.export.job_summary import JobSummary
from wallwright.window.features.export.sheet_view import SheetView
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.planning_client import PlanningClient
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.screen_size import resize_within_screen, scrolled
from wallwright.window.widgets.theme import CLOSE, FAR, NEAR, TIGHT, WIDE, StyledLabel, TextSize

WIDTH = 460
"""Pixels of what the dialog says; beside it the sheet has as many."""
SHORTER = 2
"""Result of a dialog that was left for a shorter job; beside those that Qt knows."""
SHEET_HEIGHT = 640
"""Pixels of the dialog, so that the first page of the sheet is seen almost whole."""


def proposed_folder(project: Path | None, kind: str = "job") -> Path:
    """Beside the project, and its own; while that has not been saved, one in the home folder that is not there yet. kind: of
    what is written; drawings of different kinds do not replace each other."""
    if project is None:
        home, name = Path(QDir.homePath()), f"wallwright-{kind}"
        free = (home / n for n in (name, *(f"{name}-{number}" for number in range(2, 1000))))
        return next((folder for folder in free if not folder.exists()), home / name)
    return project.absolute().with_name(f"{project.stem}-{kind}")


def _file_titles(controller: Controller) -> list[str]:
    """Names of the files for a controller; those of drawings depend on the pens."""
    drawing = controller.takes == "drawing"
    tables = (form for form in TABLE_FORMATS if controller.table.form in (form.table, "both"))
    others = [form.file for form in (*FILE_FORMATS, *tables)] if not drawing or controller.page.other_files else []
    return [tr("one SVG for each pen"), *others] if drawing else others


def _about_hangings(current: str, project: ProjectModel, planning: PlanningClient | None) -> str:
    """Which hanging a figure is about, and what those take that are planned."""
    count, plans = len(project.document.hangings), planning.plans if planning is not None else {}
    text = tr("This is for {0} alone.", current)
    if not plans:
        return text
    total = duration(sum(plan.estimate.total_s for plan in plans.values()))
    if len(plans) == count:
        return f"{text} {tr('All {0} hangings take {1}.', count, total)}"
    return f"{text} {tr('{0} of {1} hangings planned: {2}', len(plans), count, total)}."


class ExportDialog(QDialog):
    """Asks for the folder and says what will be written there."""

    def __init__(
        self,
        folder: Path,
        controller: Controller,
        parent: QWidget | None = None,
        current: str = "",
        rest_from: int | None = None,
        number: int = 0,
        project: ProjectModel | None = None,
        estimate: Estimate | None = None,
        ignored: IgnoredLimits | None = None,
        planning: PlanningClient | None = None,
    ) -> None:
        """controller: which one of the files is for. current, number: name and number of the current hanging when there are
        several, of which one or all can be written. rest_from: the stroke, counted from 1, from which only the rest is
        written. project: for which cautions are shown until they are closed, and whose job the folder may hold. estimate: of
        the job, shown first. ignored: limits that the job ignores, said before anything else. planning: has the pages of the
        hanging sheet painted; None: they are not shown."""
        super().__init__(parent)
        self._controller, self._rest_from, self._number = controller, rest_from, number
        self._project, self._ignored, self._planning = project, ignored, planning
        self.setWindowTitle(tr("Finish the job") if rest_from is None else tr("Export what is left"))
        self._line = QLineEdit(str(folder))
        explain(self._line, tr("The folder is created if it does not exist."), tr("Folder for the job"))
        choose = QPushButton(tr("Choose…"))
        explain(choose, tr("Choose an existing folder"))
        choose.setAutoDefault(False)
        choose.clicked.connect(self._choose)
        self._which = QComboBox()
        if current:
            self._which.addItem(tr("All hangings, each in its own folder"), True)
            self._which.addItem(tr("Only {0}", current), False)
            explain(self._which, tr("Which hangings to export."), tr("Hangings"))
            self._which.currentIndexChanged.connect(self._look)
        self._replace = QCheckBox()
        explain(self._replace, tr("The files of that job are deleted. Choose another folder to keep them."))
        self._replace.clicked.connect(self._look)
        self._what_happens, self._others = QLabel(), StyledLabel(size=TextSize.SMALL)
        self._own_file, self._steps, self._warned = QLabel(), QLabel(), QLabel()
        for label in (self._what_happens, self._own_file, self._steps, self._warned):
            label.setWordWrap(True)
        for label in (self._steps, self._warned):
            label.setTextFormat(Qt.TextFormat.RichText)
        body = QWidget()  # scrolls where the screen is too low for large text
        layout = QVBoxLayout(body)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(CLOSE)
        if estimate is not None and project is not None:
            summary = JobSummary(
                estimate, project.document, _about_hangings(current, project, planning) if current else ""
            )
            summary.shorter.clicked.connect(lambda: self.done(SHORTER))
            layout.addWidget(summary)
        if ignored:
            loud = QLabel(f"<b>{escape(ignored.text)}</b>")
            loud.setWordWrap(True)
            layout.addWidget(loud)
        layout.addWidget(self._warned)
        file = QHBoxLayout()
        file.setSpacing(CLOSE)
        sheet_of_paper = QLabel()
        sheet_of_paper.setPixmap(icon("new").pixmap(self.fontMetrics().height() + TIGHT))
        file.addWidget(sheet_of_paper)
        file.addWidget(self._own_file, 1)
        self._add_section(layout, tr("What the machine runs"), file, self._steps)
        row = QHBoxLayout()
        row.setSpacing(CLOSE)
        row.addWidget(self._line, 1)
        row.addWidget(choose)
        self._add_section(layout, tr("Where it is written"), *([self._which] if current else []), row)
        for widget in (self._replace, self._what_happens, self._others):
            layout.addWidget(widget)
        layout.addSpacing(CLOSE)
        layout.addWidget(caution_note(Occasion.RUN, project))
        layout.addStretch(1)
        self._finish(body, SheetView(planning, current) if planning is not None else None)

    def _add_section(self, layout: QVBoxLayout, title: str, *parts: QWidget | QHBoxLayout) -> None:
        heading = StyledLabel(title, is_strong=True)
        heading.setContentsMargins(0, NEAR if layout.count() else 0, 0, 0)
        layout.addWidget(heading)
        for part in parts:
            if isinstance(part, QWidget):
                layout.addWidget(part)
            else:
                layout.addLayout(part)

    def _finish(self, body: QWidget, sheet: SheetView | None) -> None:
        """Puts the parts beside each other, with the buttons below."""
        buttons = QDialogButtonBox()  # Tab goes in the order of adding
        self._export = buttons.addButton(tr("Export"), QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "files")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        area = scrolled(body)
        row = QHBoxLayout()
        row.setSpacing(FAR)
        row.addWidget(area, 1)
        if sheet is not None:
            row.addWidget(sheet, 1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(WIDE, WIDE, WIDE, WIDE)
        outer.setSpacing(WIDE)
        outer.addLayout(row, 1)
        outer.addWidget(buttons)
        self._export.setDefault(True)  # once it is in the dialog: before, Return would cancel
        self._line.textChanged.connect(self._change_folder)
        self._line.selectAll()
        self._look()
        width = max(WIDTH, area.minimumWidth())
        layout = body.layout()
        height = (layout.totalHeightForWidth(width) if layout is not None else 0) + buttons.sizeHint().height()
        around = 2 * WIDE + 2
        if sheet is not None:
            resize_within_screen(self, 2 * width + row.spacing() + around, max(height + WIDE + around, SHEET_HEIGHT))
        else:
            resize_within_screen(self, width + around, height + WIDE + around)

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

    def _change_folder(self) -> None:
        """What was agreed to for one folder counts for no other."""
        self._replace.setChecked(False)
        self._look()

    def _other_project(self) -> str | None:
        """Name of another project whose job the folder holds, "" when nobody knows whose; None: it holds none."""
        owner = project_in(self.place) if self._project is not None and self.folder.is_absolute() else None
        if owner is None or self._project is None:
            return None
        is_ours = self._project.path is not None and owner == file_title(self._project.name)
        return None if is_ours else owner

    def _name(self, name: str) -> str:
        """What one of the files will be called."""
        name = name_for(name, self._controller, bool(self._ignored))
        return name if self._rest_from is None else continued_file_name(name, self._rest_from)

    def _look(self) -> None:
        """Says what will happen; what cannot be is found now rather than after the wait."""
        names = [self._name(name) for name in (*_file_titles(self._controller), SHEET, REPORT)]
        found, good = "", True
        folder = self.folder
        written = [WALL_REPORT] if self.every else names
        if not self._line.text().strip():
            found, good = tr("Enter a folder."), False
        elif not folder.is_absolute():
            found, good = tr("Enter the full path of the folder, or choose one."), False
        elif folder.exists() and not folder.is_dir():
            found, good = tr("{0} is a file. Choose a folder.", folder.name), False
        elif is_unfinished(self.place):
            found = tr("The last export to this folder was interrupted. It will be replaced completely.")
        elif any((self.place / name).exists() for name in written):
            found = tr("The job in this folder will be replaced.")
        elif not folder.exists():
            found = tr("The folder will be created.")
        other = self._other_project() if good else None
        self._replace.setVisible(other is not None)
        if other is not None:
            named = tr("Replace the job of the project “{0}” in this folder", other)
            self._replace.setText(named if other else tr("Replace the job that is in this folder"))
        self._what_happens.setText(found)
        self._what_happens.setVisible(bool(found))
        self._show_files(names)
        self._show_warnings()
        self._export.setEnabled(good and (other is None or self._replace.isChecked()))

    def _plans(self) -> dict[int, Plan]:
        """Known plans of the hangings to write, by index."""
        if self._planning is None:
            return {}
        if self.every:
            return self._planning.fresh_plans
        plan = self._planning.fresh_plan
        return {} if plan is None else {plan.hanging: plan}

    def _names(self) -> dict[int, str]:
        """Names of the hangings by index, if all of several are written."""
        document = self._project.document if self._project is not None else None
        return {} if document is None or not self.every else {n: h.name for n, h in enumerate(document.hangings)}

    def _show_warnings(self) -> None:
        """Shows the warnings of the hangings to write."""
        plans, names = self._plans(), self._names()
        text = warnings_as_rich_text(plans, names)
        if self._planning is not None and (missing := unplanned(plans, names)):
            text = "<br>".join(filter(None, (text, escape(missing))))
        self._warned.setText(text)
        self._warned.setVisible(bool(text))

    def _show_files(self, names: list[str]) -> None:
        """Says which file the machine runs and how, and which others are written. names: of all of one hanging."""
        takes_drawing = self._controller.takes == "drawing"
        own = "" if takes_drawing else self._name(file_for(self._controller))
        is_split = self._controller.code.files != "one" and self._controller.pacing != "timed"
        name = tr("the parts of {0}, one after the other,", own) if is_split else own
        steps: tuple[str, ...]
        if takes_drawing:
            self._own_file.setText(f"<b>{tr('one SVG for each pen')}</b>")
            steps = (tr("When it is written, what to type on the machine's page is shown here and in {0}.", SHEET),)
        else:
            self._own_file.setText(f"<b>{escape(own)}</b>")
            steps = how_to_run(self._controller, [name])
        rows = "".join(
            f"<tr><td style='padding-right: 8px'>{number}.</td><td style='padding-bottom: 4px'>{escape(step)}</td></tr>"
            for number, step in enumerate(steps, start=1)
        )
        self._steps.setText(f"<table cellspacing='0'>{rows}</table>" if len(steps) > 1 else escape(steps[0]))
        in_plane = [self._name(name) for name in (PLANE, SVG)]
        missing = missing_files(self._plans(), self._names()) if in_plane[0] in names else []
        if missing and not self.every:
            names = [name for name in names if name not in in_plane]
        others = ", ".join(name for name in names if name != own and name != tr("one SVG for each pen"))
        text = tr("Also written: {0}.", others)
        if not takes_drawing:
            text += " " + tr("The other job files are for other kinds of controller.")
        if self.every:
            text = tr("Each hanging gets a folder, and {0} is written for all.", WALL_REPORT) + " " + text
        self._others.setText(" ".join((text, *missing)))
