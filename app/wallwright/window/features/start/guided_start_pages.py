"""Pages of the guided start: wall, anchors and machine. Each shows answers and says new ones."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.artwork.media import PICTURE_FILES
from wallwright.document.controller import Controller
from wallwright.document.edits import replace
from wallwright.document.language import N_, tr
from wallwright.document.machine import Machine
from wallwright.document.new_wall import NewWall, usual_machine
from wallwright.document.quantity import quantities
from wallwright.document.saved_presets import SavedPresets
from wallwright.document.start_answers import Opening, StartAnswers, usual_opening
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.window.model.settings import keep_folder, last_folder
from wallwright.window.panels.body_drawing import BodyDrawing
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.panels.drawing_page_form import PLACING, TAKES, TAKES_HELP, ask_lists
from wallwright.window.widgets.choices import narrow, width_of_longest
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.pair_field import PairField
from wallwright.window.widgets.theme import CLOSE, NEAR, Kind, StyledLabel, TextSize, as_kind

PAGE_KNOWN = N_("More about its page: select the machine in Contents, once the project is made.")
PAGE_UNKNOWN = N_(
    "Answer as far as you can see. Once the project is made, a proof drawing of a few minutes shows what the page really "
    "does (Job menu)."
)
LEAST_OPENING = 10.0
"""Limits of width and height, mm."""
FIRST_WINDOW = 0.02
"""Left of the first window, as a share of the usual place at the right end: near the left edge of the wall."""
UNKNOWN = "unknown"
"""A machine that takes drawings, on a page that its owner has not tried yet."""

UNSURE = "unsure"
"""Choice for a machine whose input is not known."""
UNSURE_NOTE = N_(
    "For now, the project uses “{0}”. Find out before you export, or the machine may draw nothing or something else. Does "
    "its page or app have a button for SVG files? Or open a file that it has drawn: G1 X100 Y50 may be places on the wall "
    "or belt lengths; its instructions say which. Then choose the answer under “Machine” in Contents."
)


class GuidedStartPage(QWidget):
    """One page. `answered` carries all answers with those of the page."""

    answered = Signal(object)
    refused = Signal(str)

    def __init__(self, about: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.answers = StartAnswers()
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(NEAR)
        self.column.addWidget(StyledLabel(about, TextSize.SMALL))
        self.form = QFormLayout()
        self.form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self.column.addLayout(self.form)
        self.fields: dict[str, NumberField] = {}

    def add_numbers(self, *names: str) -> None:
        """Of NewWall."""
        for name in names:
            quantity = quantities(NewWall)[name]
            field = NumberField(quantity, getattr(NewWall(), name))
            field.entered.connect(lambda value, name=name: self._enter(name, value))
            field.refused_unseen.connect(self.refused)
            self.fields[name] = field
            self.form.addRow(quantity.shown_title, field)

    def show_answers(self, answers: StartAnswers) -> None:
        self.answers = answers
        for name, field in self.fields.items():
            field.show_value(getattr(answers.wall, name))
            field.setEnabled(answers.saved_wall is None)

    def forget_files(self) -> None:
        """No file is chosen any more."""

    def _enter(self, name: str, value: float) -> None:
        self.answered.emit(replace(self.answers, wall=replace(self.answers.wall, **{name: float(value)})))


class WallPage(GuidedStartPage):
    """Size, openings, and a photo to see it by."""

    photo_chosen = Signal(object)
    """Path of a photo of the wall."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Measure the wall once with a tape. Everything can be changed later."), parent)
        self.walls = narrow(QComboBox(), 18)
        explain(self.walls, tr("Enter its size below, or choose a saved wall."), tr("Wall"))
        self.walls.activated.connect(self._choose)
        self.form.addRow(tr("Wall"), self.walls)
        self.add_numbers("width", "height")
        row = QHBoxLayout()
        row.setSpacing(CLOSE)
        self.openings = []
        for is_door, title in ((True, tr("Add a door")), (False, tr("Add a window"))):
            button = QPushButton(title)
            explain(button, tr("Neither pen nor body may touch it. Drag it to its place in the picture."))
            button.clicked.connect(lambda _=False, is_door=is_door: self._open(is_door))
            row.addWidget(button)
            self.openings.append(button)
        self.column.addLayout(row)
        self.places: list[tuple[PairField, PairField]] = []
        """Fields by opening: position from the wall's left edge and above the floor; width and height."""
        self._opening_names: tuple[str, ...] = ()
        self._opening_form = QFormLayout()
        self._opening_form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self.column.addLayout(self._opening_form)
        row = QHBoxLayout()
        row.setSpacing(CLOSE)
        self.photo = QPushButton()
        explain(self.photo, tr("Shown behind the artwork, on screen only."))
        self.photo.clicked.connect(self._choose_photo)
        self.clear = as_kind(QPushButton(tr("Remove openings")), Kind.QUIET)
        explain(self.clear, tr("Removes all doors and windows from this wall."))
        self.clear.clicked.connect(lambda: self.answered.emit(replace(self.answers, openings=())))
        row.addWidget(self.photo)
        row.addWidget(self.clear)
        self.column.addLayout(row)
        self.column.addStretch(1)
        self.forget_files()

    def forget_files(self) -> None:
        self.photo.setText(tr("Photo of the wall…"))

    def offer(self, presets: SavedPresets) -> None:
        """Saved walls to choose from."""
        self.walls.clear()
        self.walls.addItem(tr("With this size"), None)
        for wall in presets.walls:
            self.walls.addItem(wall.name, wall)

    def show_answers(self, answers: StartAnswers) -> None:
        super().show_answers(answers)
        saved = answers.saved_wall
        self.walls.setCurrentIndex(max(self.walls.findText(saved.name), 0) if saved is not None else 0)
        for button in self.openings:
            button.setEnabled(saved is None)
        self.clear.setEnabled(saved is None and bool(answers.openings))
        self._show_openings(() if saved is not None else answers.openings)

    def _show_openings(self, openings: tuple[Opening, ...]) -> None:
        names = tuple(opening.name for opening in openings)
        if names != self._opening_names:
            self._opening_names = names
            self._build_openings(names)
        for opening, (place, size) in zip(openings, self.places, strict=True):
            place.show_value(opening.left, opening.bottom)
            size.show_value(opening.width, opening.height)

    def _build_openings(self, names: tuple[str, ...]) -> None:
        """Adds two fields for each opening."""
        while self._opening_form.rowCount():
            self._opening_form.removeRow(0)
        self.places = []
        for number, name in enumerate(names):
            name = f"{name} {names[:number].count(name) + 1}" if names.count(name) > 1 else name
            place = PairField(
                tr("{0}: left, bottom", name),
                tr("From the wall's left edge and above the floor, in mm. You can also drag it in the picture."),
            )
            size = PairField(tr("{0}: width, height", name), tr("In mm. Calculations and units work too."))
            place.entered.connect(lambda x, y, n=number, f=place: self._change_opening(n, f, left=x, bottom=y))
            size.entered.connect(lambda x, y, n=number, f=size: self._change_opening(n, f, width=x, height=y))
            for field in (place, size):
                field.refused_unseen.connect(self.refused)
                self._opening_form.addRow(field.accessibleName(), field)
            self.places.append((place, size))

    def _change_opening(self, number: int, field: PairField, **changes: float) -> None:
        changed = replace(self.answers.openings[number], **changes)
        wall = self.answers.wall
        is_on_wall = min(changed.left, changed.bottom) >= 0 and min(changed.width, changed.height) >= LEAST_OPENING
        if not is_on_wall or changed.left + changed.width > wall.width or changed.bottom + changed.height > wall.height:
            field.show_error(tr("This does not fit on the wall of {0:g} by {1:g} mm.", wall.width, wall.height))
            return
        self._take_opening(number, changed)

    def move_opening(self, number: int, right: float, down: float) -> None:
        """Moves an opening as dragged in the picture, mm: it stays on the wall, and on the floor if it stands there."""
        opening, wall = self.answers.openings[number], self.answers.wall
        left = min(max(opening.left + right, 0.0), wall.width - opening.width)
        bottom = min(max(opening.bottom - down, 0.0), wall.height - opening.height) if opening.bottom else 0.0
        self._take_opening(number, replace(opening, left=10.0 * round(left / 10), bottom=10.0 * round(bottom / 10)))

    def _take_opening(self, number: int, opening: Opening) -> None:
        openings = (*self.answers.openings[:number], opening, *self.answers.openings[number + 1 :])
        self.answered.emit(replace(self.answers, openings=openings))

    def _choose(self) -> None:
        self.answered.emit(replace(self.answers, saved_wall=self.walls.currentData()))

    def _open(self, is_door: bool) -> None:
        opening = usual_opening(is_door, self.answers.wall)
        before = sum(other.width for other in self.answers.openings if other.name == opening.name)
        left = opening.left - before if is_door else opening.left * FIRST_WINDOW + before
        left = min(max(left, 0.0), opening.left)
        self.answered.emit(replace(self.answers, openings=(*self.answers.openings, replace(opening, left=left))))

    def _choose_photo(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, tr("Photo of the wall"), last_folder("photo"), tr("Pictures ({0})", PICTURE_FILES)
        )
        if name:
            keep_folder("photo", Path(name))
            self.photo.setText(Path(name).name)
            self.photo_chosen.emit(Path(name))


class AnchorsPage(GuidedStartPage):
    """Where the belts hang from."""

    proposal_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            tr(
                "Two anchors at the same height, centred on the wall. Wider and higher anchors give a larger "
                "drawing, until the motors are too weak."
            ),
            parent,
        )
        self.add_numbers("distance", "drop")
        self.propose = QPushButton(tr("Propose anchors"))
        explain(self.propose, tr("Places the anchors so that the largest picture fits on this wall."))
        self.propose.clicked.connect(self.proposal_wanted)
        self.column.addWidget(self.propose, 0, Qt.AlignmentFlag.AlignLeft)
        self.answer = StyledLabel("", TextSize.SMALL)
        self.answer.setMinimumHeight(self.answer.fontMetrics().lineSpacing())  # what is below stays where it is
        self.column.addWidget(self.answer)
        self.column.addWidget(caution_note(Occasion.ANCHORS, None))
        self.column.addStretch(1)

    def show_answers(self, answers: StartAnswers) -> None:
        super().show_answers(answers)
        self.propose.setEnabled(answers.saved_wall is None)
        self.say("")

    def say(self, sentence: str) -> None:
        """Shows the result of a proposal below its button until anything changes."""
        self.answer.setText(sentence)


class MachinePage(GuidedStartPage):
    """What it takes, and its body."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            tr(
                "Leave what you do not know: usual values are filled in. The check “Accuracy” says what that costs, and "
                "“Job › Calibrate” finds the true values."
            ),
            parent,
        )
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)  # long lists, and names of any length
        self.machines = narrow(QComboBox(), 18)
        explain(self.machines, tr("A typical machine, or one that you saved."), tr("Machine"))
        self.machines.activated.connect(lambda: self._say(self.machines.currentData()))
        self.takes = narrow(QComboBox(), 18)
        explain(self.takes, tr(TAKES_HELP), tr("What does your machine take?"))
        for value, text in TAKES.items():
            self.takes.addItem(tr(text), value)
        self.takes.addItem(tr("A drawing; I do not know its page yet"), UNKNOWN)
        self.takes.addItem(tr("I do not know"), UNSURE)
        self._is_unsure = False
        self.takes.setMinimumWidth(width_of_longest(self.takes))
        self.takes.activated.connect(self._choose_takes)
        self.form.addRow(tr("What does your machine take?"), self.takes)
        self._takes_note = StyledLabel(tr(TAKES_HELP), TextSize.SMALL)
        self.form.addRow(self._takes_note)
        self.asks, self.placing = narrow(QComboBox(), 18), narrow(QComboBox(), 18)
        explain(
            self.asks,
            tr("Choose the list in the order in which the page asks; what you type is said in this order."),
            tr("The page asks for"),
        )
        explain(self.placing, tr("How its page comes to the drawing's place."), tr("What it does with a drawing"))
        for placing, text in PLACING.items():
            self.placing.addItem(tr(text), placing)
        self.asks.activated.connect(lambda: self._change_page(asks=tuple(self.asks.currentData())))
        self.placing.activated.connect(lambda: self._change_page(placing=self.placing.currentData()))
        self.form.addRow(tr("The page asks for"), self.asks)
        self.form.addRow(tr("What it does with a drawing"), self.placing)
        self._page_note = StyledLabel("", TextSize.SMALL)
        self.form.addRow(self._page_note)
        self.form.addRow(tr("Machine"), self.machines)
        self.drawing = BodyDrawing(usual_machine())
        self.drawing.edited.connect(lambda title, machine: self._say(machine))
        self.drawing.refused.connect(self.refused)
        self.column.addWidget(self.drawing)
        self.column.addWidget(
            StyledLabel(tr("Positions are measured from the pen tip: right and down, in mm."), TextSize.SMALL)
        )
        self.column.addStretch(1)

    def offer(self, presets: SavedPresets) -> None:
        """Saved machines to choose from."""
        self.machines.clear()
        for machine in (usual_machine(), *presets.machines):
            self.machines.addItem(machine.name, machine)
        self.form.setRowVisible(self.machines, self.machines.count() > 1)

    def show_answers(self, answers: StartAnswers) -> None:
        super().show_answers(answers)
        machine = self._machine
        self.machines.setCurrentIndex(max(self.machines.findText(machine.name), 0))
        self.machines.setToolTip(self.machines.currentText())
        controller = machine.controller
        is_unknown = controller.takes == "drawing" and not controller.page.is_known
        self._is_unsure &= controller.takes == Controller().takes
        shown = UNSURE if self._is_unsure else UNKNOWN if is_unknown else controller.takes
        self.takes.setCurrentIndex(self.takes.findData(shown))
        usual = tr(TAKES[Controller().takes])
        self._takes_note.setText(tr(UNSURE_NOTE, usual) if self._is_unsure else tr(TAKES_HELP))
        for field in (self.asks, self.placing, self._page_note):
            self.form.setRowVisible(field, controller.takes == "drawing")
        self.asks.clear()
        for asks, text in ask_lists(controller.page.asks).items():
            self.asks.addItem(text, list(asks))
        self.asks.setCurrentIndex(0)
        self.placing.setCurrentIndex(self.placing.findData(controller.page.placing))
        self._page_note.setText(tr(PAGE_UNKNOWN if is_unknown else PAGE_KNOWN))
        self.drawing.show_machine(machine)

    @property
    def _machine(self) -> Machine:
        return self.answers.machine or usual_machine()

    def _say(self, machine: Machine) -> None:
        self.answered.emit(replace(self.answers, machine=machine))

    def _choose_takes(self) -> None:
        machine, answer = self._machine, self.takes.currentData()
        self._is_unsure = answer == UNSURE
        kinds = {UNKNOWN: "drawing", UNSURE: Controller().takes}
        controller = machine.controller.taking(kinds.get(answer, answer))
        if controller.takes == "drawing":
            controller = replace(controller, page=replace(controller.page, is_known=answer != UNKNOWN))
        self._say(replace(machine, controller=controller))

    def _change_page(self, **changes: object) -> None:
        controller = self._machine.controller
        changed = replace(controller, page=replace(controller.page, **changes))
        self._say(replace(self._machine, controller=changed))
