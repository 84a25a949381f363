"""The part of the machine's page about how its RS-274 files are written, with the lines that result."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QFocusEvent, QFontDatabase
from PySide6.QtWidgets import QCheckBox, QFormLayout, QGridLayout, QSizePolicy, QWidget

from wallwright.document.code_settings import PLACEHOLDERS
from wallwright.document.language import N_, tr
from wallwright.document.table_settings import TableColumn
from wallwright.window.panels.forms import Forms, value_at
from wallwright.window.panels.program_preview import ProgramPreview
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.line_text import TextField

CODE = "machine.controller.code"
SHOWN_LINES = 20
"""Of the beginning and of the end."""
WIDE = 250
"""Pixels of a field for several lines."""
VISIBLE_LINES = 20
"""Of them, without scrolling."""
LETTERS = {letter: letter for letter in "XYZABC"}
CHOICES: dict[str, tuple[str, str, dict[str, str]]] = {
    "left_axis": (N_("Left belt"), N_("Axis letter of the left belt, or of the position to the right."), LETTERS),
    "right_axis": (N_("Right belt"), N_("Axis letter of the right belt, or of the position down."), LETTERS),
    "lift_axis": (N_("Pen lift axis"), N_("Axis letter of the pen lift, when an axis moves it."), LETTERS),
    "unit": (
        N_("Axis unit"),
        N_("What the numbers of the two axes count."),
        {
            "mm": N_("Millimetres"),
            "inches": N_("Inches"),
            "steps": N_("Microsteps"),
            "revolutions": N_("Pulley revolutions"),
        },
    ),
    "feed_unit": (
        N_("Feed unit"),
        N_("What F counts."),
        {"minute": N_("Units per minute"), "second": N_("Units per second"), "inverse": N_("Inverse time (G93)")},
    ),
    "start": (
        N_("How the start is set"),
        N_("How the controller learns where the machine hangs."),
        {
            "preset": N_("Belts set by tape, then G92"),
            "stop": N_("Wound in to stops, then let out"),
            "none": N_("It knows its position"),
        },
    ),
    "modes": (
        N_("Mode words"),
        N_("Words at the head that set units, distances, plane and feed. Leave out those your controller rejects."),
        {"all": N_("All"), "short": N_("Units, distance, feed"), "none": N_("None")},
    ),
    "comments": (
        N_("Comments"),
        N_("Short keeps cautions, expected settings, pens and stroke numbers."),
        {"kept": N_("All"), "short": N_("Short"), "none": N_("None")},
    ),
    "pause_message": (
        N_("Message at a pause"),
        N_("How the file says which pen to put in."),
        {"comment": N_("As a comment"), "message": N_("Shown by the controller (MSG)"), "none": N_("None")},
    ),
    "dwell_unit": (N_("Unit of waits"), N_("What P counts in G4."), {"s": N_("Seconds"), "ms": N_("Milliseconds")}),
    "line_ending": (N_("Line ends"), N_("Bytes that end a line."), {"lf": N_("LF"), "crlf": N_("CR LF")}),
    "transfer": (
        N_("Transfer"),
        N_("How files get onto the machine. The hanging sheet says how to start them."),
        {
            "sender": N_("Sent line by line"),
            "card": N_("On a memory card"),
            "network": N_("Over the network"),
        },
    ),
    "files": (
        N_("Files"),
        N_("One file, one for each pen, or files up to a size. A file always ends where a stroke has ended."),
        {"one": N_("One"), "pens": N_("One per pen"), "size": N_("Split at a size")},
    ),
}
"""Title, help and titles of the values of each choice, in the order of the page."""
TABLE_FORMS = {"none": N_("None"), "csv": N_("CSV"), "binary": N_("Binary"), "both": N_("Both")}
TABLE_UNITS = {"mm": N_("Millimetres"), "steps": N_("Microsteps")}
TABLE_COLUMNS: dict[TableColumn, str] = {
    "time": N_("Time"),
    "left": N_("Left belt"),
    "right": N_("Right belt"),
    "x": N_("x on the wall"),
    "y": N_("y on the wall"),
    "pen": N_("Pen"),
}
TICKS = {
    "left_reversed": (N_("Left axis reversed"), N_("Its numbers grow when the belt is wound in.")),
    "right_reversed": (N_("Right axis reversed"), N_("Its numbers grow when the belt is wound in.")),
}
TEXTS = {
    "pause": (N_("Pause"), N_("The line that makes the controller wait for you."), 1),
    "end": (N_("End"), N_("The line that ends the program."), 1),
    "header": (N_("Own header"), N_("Lines before the first move."), 3),
    "pen_change": (N_("Own pen change"), N_("Lines before the pause for each pen."), 3),
    "footer": (N_("Own footer"), N_("Lines before the end."), 3),
}


def add_code(forms: Forms, has_preview: bool = True) -> None:
    """The settings of a controller that runs RS-274; nothing for machines that take drawings. has_preview: whether the lines
    that result are shown below, and offered beside the settings in a wide window."""
    forms.add_refreshed(
        lambda: forms.models.project.document.machine.controller.takes != "drawing",
        lambda shown: _build(forms, has_preview) if shown else None,
    )


def _build(forms: Forms, has_preview: bool) -> None:
    forms.add_title(tr("Program"), tr("How the G-code (RS-274) files are written."))
    if has_preview:
        help = tr("Shows these settings in a wide window, with the lines that result beside them.")
        forms.add_action("controller-settings", tr("Settings beside the resulting lines…"), help)
    form = forms.add_form()
    for name, (title, help, titles) in CHOICES.items():
        forms.add_choice(form, f"{CODE}.{name}", tr(title), titles, tr(help))
        if f"{name.removesuffix('_axis')}_reversed" in TICKS:
            reversed_ = f"{name.removesuffix('_axis')}_reversed"
            forms.add_tick(form, f"{CODE}.{reversed_}", tr(TICKS[reversed_][0]), tr(TICKS[reversed_][1]))
    forms.add_numbers(CODE, form)
    names = ", ".join("{" + name + "}" for name in PLACEHOLDERS)
    for name, (title, help, rows) in TEXTS.items():
        more = " " + tr("Placeholders: {0}.", names) if rows > 1 else ""
        _add_lines(forms, form, f"{CODE}.{name}", tr(title), tr(help) + more, rows)
    forms.add_title(tr("Tables for own firmware"), tr("Written beside the other job files."))
    form = forms.add_form()
    table = "machine.controller.table"
    forms.add_choice(form, f"{table}.form", tr("Form"), TABLE_FORMS, tr("CSV, or a binary form for a microcontroller."))
    forms.add_choice(
        form, f"{table}.unit", tr("Belts in"), TABLE_UNITS, tr("Of the CSV; the binary form has microsteps.")
    )
    forms.add_numbers(table, form)
    _add_columns(forms, form, f"{table}.columns")
    if has_preview:
        forms.add_title(tr("Resulting lines"), tr("Of a small corner drawn near the starting point."))
        _add_preview(forms)


def _add_columns(forms: Forms, form: QFormLayout, path: str) -> None:
    """A tick for each column that the CSV may have; one stays at least."""
    box = QWidget()
    grid = QGridLayout(box)
    grid.setContentsMargins(0, 0, 0, 0)
    ticks: dict[TableColumn, QCheckBox] = {}
    for number, (column, title) in enumerate(TABLE_COLUMNS.items()):
        ticks[column] = QCheckBox(tr(title))
        explain(ticks[column], tr("Whether the CSV has this column."))
        grid.addWidget(ticks[column], number // 2, number % 2)

    def refresh() -> None:
        chosen = value_at(forms.models.project.document, path)
        for column, tick in ticks.items():
            tick.setChecked(column in chosen)
            tick.setEnabled(tuple(chosen) != (column,))

    def choose() -> None:
        chosen = tuple(column for column, tick in ticks.items() if tick.isChecked())
        forms.models.project.set_field(tr("Change: {0}", tr("Columns")), path, chosen)

    for tick in ticks.values():
        tick.clicked.connect(choose)
    forms.refreshers.append(refresh)
    refresh()
    form.addRow(tr("Columns"), box)


class _Lines(TextField):
    """A few lines of code."""

    left = Signal()
    """The keys go elsewhere: what was typed counts."""

    def __init__(self, rows: int) -> None:
        super().__init__()
        self.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.setTabChangesFocus(True)
        self.setLineWrapMode(TextField.LineWrapMode.NoWrap)
        self.setFixedHeight(round(self.fontMetrics().lineSpacing() * (rows + 0.5)) + 16)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        if rows > 1:
            self.setMinimumWidth(WIDE)  # below its title, over the whole panel

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.left.emit()


def _add_lines(forms: Forms, form: QFormLayout, path: str, title: str, help: str, rows: int) -> None:
    """An own text."""
    field = _Lines(rows)
    explain(field, help, title)

    def refresh() -> None:
        text = value_at(forms.models.project.document, path)
        if not field.document().isModified() and field.toPlainText() != text:
            field.setPlainText(text)

    def enter() -> None:
        if not field.document().isModified():
            return
        field.document().setModified(False)
        forms.models.project.set_field(tr("Change: {0}", title), path, field.toPlainText().rstrip())
        refresh()

    field.left.connect(enter)
    forms.refreshers.append(refresh)
    refresh()
    form.addRow(title, field)


def _add_preview(forms: Forms) -> None:
    """The first and last lines of a small program."""
    view = ProgramPreview(SHOWN_LINES)
    view.setFixedHeight(round(view.fontMetrics().lineSpacing() * VISIBLE_LINES) + 16)

    def refresh() -> None:
        view.show_document(forms.models.project.document, forms.models.selection.hanging)

    forms.refreshers.append(refresh)
    refresh()
    forms.column.addWidget(view)
