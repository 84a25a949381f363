"""The inspector: properties of what is selected, made from the document types' own tables."""

from __future__ import annotations

import html
from typing import get_args

import msgspec
import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QColorDialog,
    QFormLayout,
    QPushButton,
    QWidget,
)  # fmt: skip

from wallwright.artwork.colour import name_of
from wallwright.artwork.drawing import Finding
from wallwright.document import edits_arrangement, edits_body, edits_keep_outs
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.generated_artwork import TYPES
from wallwright.document.language import N_, tr
from wallwright.document.placing import bounding_box, placement_box, placing_matrix, transform
from wallwright.planning.plan import PlacementReport
from wallwright.window.model.selection import PartSelection
from wallwright.window.model.session import Session
from wallwright.window.panels.findings_list import FindingsList
from wallwright.window.panels.forms import value_at
from wallwright.window.panels.generated_form import GeneratedForm
from wallwright.window.panels.hanging_pages import HangingPages
from wallwright.window.panels.ink_row import add_ink_row, joined
from wallwright.window.panels.palette_table import FILL_TITLES, PaletteTable
from wallwright.window.panels.part_form import PartForm, held_parts
from wallwright.window.panels.picture_form import PictureForm
from wallwright.window.panels.wall_pages import WallPages
from wallwright.window.widgets.choices import swatch
from wallwright.window.widgets.explain import explain

ORDER_TITLES = {
    "effort": (
        N_("Search"),
        {
            "quick": N_("Quick"),
            "good": N_("Good"),
            "best": N_("Best, takes a minute"),
        },
    ),
    "fills": (
        N_("Fills"),
        {
            "any": N_("Whenever quickest"),
            "after": N_("After the edges"),
            "before": N_("Before the edges"),
        },
    ),
    "together": (
        N_("In one go"),
        {
            "none": N_("Nothing"),
            "shape": N_("Each shape"),
            "artwork": N_("Each artwork"),
        },
    ),
}
ORDER_HELP = {
    "effort": N_("How long the quickest order of the strokes is searched for."),
    "fills": N_("Whether each pen draws fills before or after edges."),
    "together": N_("What a pen draws to its end before it goes on."),
}
OUTSIDE_TITLES = {
    "refuse": N_("Refuse the export"),
    "clip": N_("Clip"),
    "override": N_("Draw all the same"),
}
CHOICE_TITLES = {
    "belts": N_("Belt lengths"),
    "plane": N_("x and y"),
    "accelerating": N_("Plans acceleration itself"),
    "constant": N_("Runs at one speed"),
    "timed": N_("Follows a timed table"),
    "lines": N_("Short lines"),
    "arcs": N_("Lines and arcs (G2, G3)"),
    "axis": N_("Z axis"),
    "spindle": N_("Spindle output"),
    **OUTSIDE_TITLES,
}
PART_TITLES = {
    "body": N_("Body"),
    "belt": N_("Belts"),
    "motor": N_("Motors"),
    "lift": N_("Pen lift"),
    "controller": N_("Controller"),
    "limits": N_("Limits"),
}
POINT_TITLES = {
    "centre": N_("Mass centre"),
    "left_exit": N_("Left exit"),
    "right_exit": N_("Right exit"),
    "datum": N_("Starting place"),
}


CHOICES = {
    "takes": (
        N_("Takes"),
        N_("What the controller is told: both belt lengths, or places on the wall."),
    ),
    "pacing": (
        N_("Pacing"),
        N_("How the controller keeps time; estimate and job files follow it."),
    ),
    "curves": (
        N_("Curves"),
        N_(
            "How curves are written in corrected coordinates. Arcs make the file about half as long; choose them when your "
            "controller's papers name G2 and G3."
        ),
    ),
    "kind": (
        N_("Driven by"),
        N_("What raises and lowers the pen, as the controller knows it."),
    ),
}
"""Titles and help of the machine's choices."""


class PropertiesPanel(HangingPages, WallPages):
    """Shows one thing's properties. Rebuilt when another thing is selected, refreshed when the document changes."""

    show_place = Signal(tuple)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self._shape: tuple = ()
        session.selection_changed.connect(self.rebuild)
        session.document_changed.connect(self._update)
        session.preview_changed.connect(self._update)
        self.rebuild()

    def rebuild(self) -> None:
        """Builds the form of the selected thing."""
        self._shape = self._present_shape()
        page = self._begin()
        kind, _, name = self.session.selection.partition(":")
        getattr(self, f"_build_{kind}")(name)
        self._column.addStretch(1)
        self.setWidget(page)
        self._align()

    def _present_shape(self) -> tuple:
        """What decides which fields there are: when it changes, the form is built anew."""
        document = self.session.document
        return (self.session.chosen, tuple((p.id, p.name, p.colour) for p in document.pens),
                len(document.hangings), len(document.wall.keep_outs),
                tuple(g.plumb for g in document.guide_lines))  # fmt: skip

    def _update(self) -> None:
        if self._present_shape() != self._shape:
            self.rebuild()
            return
        for refresh in self._refresh:
            refresh()

    def edit_words(self) -> None:
        """Puts the cursor into the words of the selected artwork."""
        form = self.findChild(GeneratedForm)
        if form is not None:
            form.edit_text()

    # One kind of thing each.

    def _build_wall(self, _: str) -> None:
        self._title(tr("Wall"), tr("Measured from the left anchor: x to the right, y down."))
        self._numbers("wall")
        self._title(tr("Job"))
        form = self._form()
        self._choice(
            form,
            "settings.outside",
            tr("Outside the draw zone"),
            OUTSIDE_TITLES,
            tr("What happens to strokes that leave the draw zone."),
        )
        self._numbers("settings")
        self._title(tr("Fill"), tr("For every colour that has no fill of its own."))
        form = self._form()
        self._choice(
            form, "settings.fill.kind", tr("Kind"), FILL_TITLES, tr("How areas are filled with strokes.")
        )
        self._numbers("settings.fill", form)
        self._refreshed_part(lambda: len(self.session.document.hangings) > 1, self._build_joining)
        self._title(tr("Order"), tr("In which each pen draws; without rules, whatever is quickest."))
        form = self._form()
        for name, (title, titles) in ORDER_TITLES.items():
            self._choice(form, f"settings.order.{name}", tr(title), titles, tr(ORDER_HELP[name]))
        self._numbers("settings.order", form)

    def _build_several(self, _: str) -> None:
        """The joint box of several artworks: its middle moves them, its width scales them."""
        count = len(self.session.placement_ids)
        self._title(tr("{0} artworks", count), tr("Locked ones stay in their place."))
        form = self._form()

        def box() -> tuple[float, float, float, float]:
            return bounding_box(self.session.placements)

        def moved(x: float, y: float) -> Document:
            left, top, right, bottom = box()
            return edits_arrangement.move_placements(
                self.session.document, self.session.placement_ids, x - (left + right) / 2, y - (top + bottom) / 2
            )  # fmt: skip

        def scaled(w: float, h: float) -> Document:
            left, top, right, bottom = box()
            if min(w, h) < 0.1:
                raise BadValue(tr("Width and height are at least 0.1 mm"))
            # Proportions are kept: the number that was changed says by how much.
            share = w / (right - left) if abs(w - (right - left)) > 1e-4 else h / (bottom - top)
            return edits_arrangement.carry_placements(
                self.session.document, self.session.placement_ids, ((left + right) / 2, (top + bottom) / 2), share=share
            )  # fmt: skip

        self._pair(
            form, tr("Middle"), lambda: ((box()[0] + box()[2]) / 2, (box()[1] + box()[3]) / 2), moved
        )  # fmt: skip
        self._pair(form, tr("Size"), lambda: (box()[2] - box()[0], box()[3] - box()[1]), scaled)

    def _build_machine(self, _: str) -> None:
        self._title(tr("Machine"))
        form = self._form()
        self._text(form, "machine.name", tr("Name"))
        for part, title in PART_TITLES.items():
            self._title(
                tr(title),
                tr("Places are told from the pen: right and down, in mm.") if part == "body" else "",
            )
            form = self._form()
            struct = getattr(self.session.document.machine, part)
            for field in msgspec.structs.fields(struct):
                if field.name in POINT_TITLES:
                    self._point(form, f"machine.{part}.{field.name}", tr(POINT_TITLES[field.name]))
                elif (options := get_args(field.type)) and all(isinstance(o, str) for o in options):
                    titles = {o: CHOICE_TITLES[o] for o in options}
                    title, help = CHOICES[field.name]
                    self._choice(form, f"machine.{part}.{field.name}", tr(title), titles, tr(help))
            self._numbers(f"machine.{part}", form)
            if part == "body":
                self._body_outline(form)

    def _body_outline(self, form: QFormLayout) -> None:
        """How far the body reaches around the pen: two corners of its box."""
        help = tr("Of the body's outline, seen from the pen: across and down, in mm. It must stay on the wall and off "
                  "anchors and keep-outs.")  # fmt: skip

        def box() -> tuple[float, float, float, float]:
            return edits_keep_outs.box_of(self.session.document.machine.body.outline)

        self._pair(form, tr("Outline, top left"), lambda: box()[:2],
                   lambda x, y: edits_body.fit_body(self.session.document, (x, y, *box()[2:])), help)  # fmt: skip
        self._pair(form, tr("Outline, bottom right"), lambda: box()[2:],
                   lambda x, y: edits_body.fit_body(self.session.document, (*box()[:2], x, y)), help)  # fmt: skip

    def _build_pen(self, name: str) -> None:
        index = next(i for i, p in enumerate(self.session.document.pens) if p.id == name)
        self._title(tr("Pen"))
        form = self._form()
        self._text(form, f"pens.{index}.name", tr("Name"))
        button = QPushButton()
        explain(button, tr("The colour on screen and in the list; the checks go by the name."), tr("Colour"))

        def refresh() -> None:
            colour = value_at(self.session.document, f"pens.{index}.colour")
            button.setIcon(swatch(colour))
            button.setText(colour)

        def choose() -> None:
            now = QColor(value_at(self.session.document, f"pens.{index}.colour"))
            colour = QColorDialog.getColor(now, self, tr("Pen colour"))
            if colour.isValid():
                self.session.set_field(tr("Change a pen's colour"), f"pens.{index}.colour", colour.name())

        button.clicked.connect(choose)
        self._refresh.append(refresh)
        refresh()
        form.addRow(tr("Colour"), button)
        self._numbers(f"pens.{index}", form)

    def _build_placement(self, name: str) -> None:
        document = self.session.document
        index = next(i for i, p in enumerate(document.placements) if p.id == name)
        path = f"placements.{index}"
        artwork = document.artwork(document.placements[index].artwork)
        title = self._title(artwork.name)
        if artwork.media in TYPES:
            self._refresh.append(lambda: title.setText(f"<b>{html.escape(made.name)}</b>"))
            made = GeneratedForm(self.session, name)
            self._refresh.append(made.refresh)
            self._column.addWidget(made)
        if artwork.is_picture:
            picture = PictureForm(self.session, name)
            self._refresh.append(picture.refresh)
            self._column.addWidget(picture)
        form = self._form()
        self._numbers(path, form, keep_aspect=True)
        self._largest(form)
        self._measured_place(form, name)
        self._tick(form, f"{path}.mirror", tr("Mirrored"), tr("Left and right exchanged."))
        self._tick(
            form, f"{path}.visible", tr("Drawn"), tr("Artwork that is not drawn stays in the project.")
        )
        self._tick(form, f"{path}.locked", tr("Locked in place"), tr("Neither mouse nor keys move it."))
        self._refreshed_part(
            lambda: (self.session.report_of(name), self.session.document.placement(name).inks),
            lambda now: self._build_report(name, now[0]),
        )

    def _build_report(self, name: str, report: PlacementReport | None) -> None:
        document = self.session.document
        in_lines = document.draws_lines(document.placement(name))
        if report is not None and report.colours and not in_lines:
            self._title(tr("Colours and pens"))
            self._column.addWidget(PaletteTable(self.session, name, report.colours))
        if report is not None and report.findings:
            self._title(tr("Reading"))
            listed = FindingsList(report.findings)
            listed.asked.connect(lambda finding: self._show_finding(name, report, finding))
            self._column.addWidget(listed)

    def _show_finding(self, placement: str, report: PlacementReport, finding: Finding) -> None:
        """Frames on the wall what a finding speaks of: the element, or the whole artwork where it left nothing."""
        where = self.session.document.placement(placement)
        if finding.place is None:
            self.show_place.emit(placement_box(where))
            return
        left, top, right, bottom = finding.place
        corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
        on_wall = transform(placing_matrix(where, report.natural_size), corners)
        self.show_place.emit((*map(float, on_wall.min(axis=0)), *map(float, on_wall.max(axis=0))))

    def _build_part(self, _: str) -> None:
        """One colour, or all colours of one group together and each by itself."""
        part = PartSelection.of(self.session.selection)
        document = self.session.document
        name = document.artwork(document.placement(part.placement).artwork).name
        title = " / ".join(part.group) or name_of(part.colour)
        self._title(title, tr("Part of {0}. What is chosen here goes before what is chosen for the whole.", name)
                    if part.group else tr("Part of {0}.", name))  # fmt: skip
        self._refreshed_part(
            lambda: (
                self.session.report_of(part.placement),
                self.session.document.placement(part.placement).inks,
                self.session.document.settings.fill,
            ),
            lambda now: self._build_uses(part, now[0]),
        )

    def _build_uses(self, part: PartSelection, report: PlacementReport | None) -> None:
        if report is None:
            return
        parts = held_parts(report, part)
        if not parts:
            self._note(tr("Nothing of it is seen."))
            return
        self._column.addWidget(PartForm(self.session, part, report))
        colours = sorted({p.colour for p in parts})
        if part.colour or len(colours) < 2:
            return
        self._title(tr("Each colour"))
        form = self._form()
        for colour in colours:
            own = [p for p in parts if p.colour == colour]
            add_ink_row(self, form, part.placement, joined(own), part.group)
