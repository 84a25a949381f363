"""The few questions for a new wall, with a picture that answers at once."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFormLayout,
    QGroupBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue, UserError
from wallwright.document.language import tr
from wallwright.document.new_wall import NewWall, usual_machine
from wallwright.document.quantity import quantities
from wallwright.document.saved_presets import SavedPresets, SavedWall, read_presets, with_saved_wall
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.window.features.calibration.survey_picture import SurveyPicture
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.choices import narrow
from wallwright.window.widgets.number_field import NumberField

LOOK_AFTER_MS = 150
"""After a number was entered; also lets the page be painted before anything heavy is imported."""
ZONE_POINTS = 1500
PAGE = 0.75
"""Height by width of the picture that is told to fit: a usual sheet's."""
PAGE_SHARES = tuple(share / 40 for share in range(40, 1, -1))
"""Of the wall's width, tried from the largest."""
OWN, NOTHING, DEMO, FILE = "own", "nothing", "demo", "file"


class NewWallForm(QGroupBox):
    """Emits `made` with an empty project, the artwork files to bring, and whether to bring the demo's drawing."""

    made = Signal(object, tuple, bool)
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("A new wall"), parent)
        self.answers = NewWall()
        self._template: SavedWall | None = None
        self._file: Path | None = None
        self.walls, self.machines, self.artwork = (narrow(QComboBox(), 20) for _ in range(3))
        self._form = QFormLayout()
        self._form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self._row(tr("&Wall"), self.walls, tr("Enter its size below, or choose a saved wall."))
        self.fields: dict[str, NumberField] = {}
        for name, quantity in quantities(NewWall).items():
            field = NumberField(quantity, getattr(self.answers, name))
            field.entered.connect(lambda value, name=name: self._answer(name, value))
            field.refused.connect(self.refused)
            self.fields[name] = field
            self._form.addRow(tr(quantity.title), field)
        self._row(
            tr("&Machine"),
            self.machines,
            tr(
                "You can change mass, exits, motors, controller and limits at any time: select the machine in Contents."
            ),
        )
        self._row(tr("Ar&twork"), self.artwork, tr("What to draw. You can add more at any time."))
        self.picture = SurveyPicture()
        self.picture.setAccessibleName(tr("Picture of the wall"))
        self.picture.setWhatsThis(tr("The wall with its anchors. The machine can draw within the dashed line."))
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setMinimumHeight(3 * self.said.fontMetrics().lineSpacing())
        self.said.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.make = QPushButton(tr("&Create project"))
        self.make.setToolTip(tr("Opens the project. Planning and checks start automatically."))
        self.make.setWhatsThis(self.make.toolTip())
        self.make.clicked.connect(self._make)
        left = QVBoxLayout()
        left.addLayout(self._form)
        left.addWidget(self.said)
        left.addWidget(caution_note(Occasion.ANCHORS, None))
        left.addWidget(self.make)
        left.addStretch(1)
        row = QHBoxLayout(self)
        row.addLayout(left, 2)
        row.addWidget(self.picture, 3)
        self.walls.activated.connect(self._wall_chosen)
        self.machines.activated.connect(self._look_soon)
        self.artwork.activated.connect(self._artwork_chosen)
        self._soon = QTimer(self, singleShot=True, interval=LOOK_AFTER_MS)
        self._soon.timeout.connect(self.look)
        self.fill()

    def _row(self, title: str, box: QComboBox, help: str) -> None:
        box.setAccessibleName(title.replace("&", ""))
        box.setToolTip(help)
        box.setWhatsThis(help)
        label = QLabel(title)
        label.setBuddy(box)
        self._form.addRow(label, box)

    def fill(self) -> None:
        """Reads the templates afresh and shows the form's first answers."""
        try:
            kept = read_presets()
        except UserError as trouble:
            self.refused.emit(str(trouble))
            kept = SavedPresets()
        self.walls.clear()
        self.walls.addItem(tr("With this size"), None)
        for template in kept.walls:
            self.walls.addItem(template.name, template)
        self.machines.clear()
        for machine in (usual_machine(), *kept.machines):
            self.machines.addItem(machine.name, machine)
        self.artwork.clear()
        for text, what in (
            (tr("None yet"), NOTHING),
            (tr("The demo's harbour"), DEMO),
            (tr("A file…"), FILE),
        ):
            self.artwork.addItem(text, what)
        self._template, self._file = None, None
        self._look_soon()

    # What is answered.

    def _answer(self, name: str, value: float) -> None:
        self.answers = replace(self.answers, **{name: float(value)})
        self._look_soon()

    def _wall_chosen(self) -> None:
        self._template = self.walls.currentData()
        for field in self.fields.values():
            field.setEnabled(self._template is None)
        self._look_soon()

    def _artwork_chosen(self) -> None:
        if self.artwork.currentData() != FILE:
            return
        name, _ = QFileDialog.getOpenFileName(
            self,
            tr("Add artwork"),
            str(Path.home()),
            tr("Artwork ({0})", "*.svg *.svgz *.png *.jpg *.jpeg *.webp"),
        )
        if name:
            self._file = Path(name)
            self.artwork.setItemText(self.artwork.currentIndex(), self._file.name)
        elif self._file is None:
            self.artwork.setCurrentIndex(0)

    def document(self) -> Document:
        """The project that the answers describe. Raises BadValue when they do not fit together."""
        if self._template is not None:
            return with_saved_wall(NewWall().document(self.machines.currentData()), self._template)
        return self.answers.document(self.machines.currentData())

    def _make(self) -> None:
        try:
            document = self.document()
        except BadValue as trouble:
            self.refused.emit(f"{trouble}.")
            return
        what = self.artwork.currentData()
        self.made.emit(document, (self._file,) if what == FILE and self._file else (), what == DEMO)

    # The picture.

    def _look_soon(self) -> None:
        self._soon.start()

    def look(self) -> None:
        """Shows the wall that the answers give, and where the machine can draw on it."""
        from shapely import get_coordinates, get_parts  # slow to import: not before the page is on screen

        from wallwright.statics.draw_zone import compute_zone
        from wallwright.statics.zone_boundary import zone_polygons
        from wallwright.window.model.remedies import fits

        try:
            document = self.document()
        except BadValue as trouble:
            self.said.setText(f"{trouble}.")
            self.make.setEnabled(False)
            return
        wall, hanging = document.wall, document.hangings[0]
        zone = compute_zone(wall, document.machine, hanging, points=ZONE_POINTS)
        region = zone_polygons(wall, document.machine, zone)
        edges = tuple(get_coordinates(part.exterior) for part in get_parts(region))
        self.picture.show_survey(wall, hanging, (), edges)
        self.make.setEnabled(bool(edges))
        if not edges:
            self.said.setText(
                tr("This machine cannot draw anywhere on this wall. Place the anchors higher or closer together.")
            )
            return
        share = next((s for s in PAGE_SHARES if fits(zone, s * wall.width, s * wall.width * PAGE)), 0.0)
        width = share * wall.width / 1000
        self.said.setText(
            tr(
                "The machine can draw within the dashed line. A picture of {0:.1f} by {1:.1f} m fits. The anchors are "
                "{2:.0f} mm above the floor.",
                width,
                width * PAGE,
                wall.floor - hanging.left.y,
            )
        )
