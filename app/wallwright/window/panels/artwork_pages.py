"""Property pages of an artwork, of several together, and of a part of one."""

from __future__ import annotations

import html

import numpy as np
from PySide6.QtWidgets import QFormLayout, QLabel, QPushButton

from wallwright.artwork.colour import name_of
from wallwright.artwork.drawing import Finding
from wallwright.artwork.media import SVG
from wallwright.document import edits, edits_arrangement
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.generated_artwork import TYPES
from wallwright.document.language import tr
from wallwright.document.placing import bounding_box, placement_box, placing_matrix, transform
from wallwright.document.wall import Point
from wallwright.planning.plan import PlacementReport
from wallwright.window.model.items import PartItem, PlacementItem
from wallwright.window.panels.arrange_row import add_arrange_row
from wallwright.window.panels.findings_list import FindingsList
from wallwright.window.panels.forms import Forms
from wallwright.window.panels.generated_form import GeneratedForm
from wallwright.window.panels.ink_row import add_ink_row, joined
from wallwright.window.panels.palette_table import PaletteTable
from wallwright.window.panels.part_form import PartForm, held_parts
from wallwright.window.panels.picture_form import PictureForm
from wallwright.window.panels.position_fields import add_coordinate, add_origin_choice, add_position
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.whole_text import counted


def build_placement_page(forms: Forms, item: PlacementItem) -> None:
    """One artwork: what it is made of, where it is, and which pens draw it."""
    name, document = item.placement, forms.models.project.document
    index = next(i for i, p in enumerate(document.placements) if p.id == name)
    path = f"placements.{index}"
    artwork = document.artwork(document.placements[index].artwork)
    title = forms.add_title(artwork.name)
    if artwork.media in TYPES:
        forms.refreshers.append(lambda: title.setText(f"<b>{html.escape(made.name)}</b>"))
        made = GeneratedForm(forms.models, name)
        forms.refreshers.append(made.refresh)
        forms.column.addWidget(made)
    if artwork.is_picture:
        picture = PictureForm(forms.models, name)
        forms.refreshers.append(picture.refresh)
        forms.column.addWidget(picture)
    add_arrange_row(forms, 1)
    add_origin_choice(forms)
    form = forms.add_form()
    _add_centre(forms, form, name)
    _add_sides(forms, form, name)
    forms.add_numbers(path, form, skip=("x", "y"), keep_aspect=True)
    _add_ink_size(forms, form, name)
    forms.add_fill_zone_button(form)
    if artwork.media == SVG:
        _add_file_size_button(forms, form, name)
    forms.add_tick(form, f"{path}.mirror", tr("Mirrored"), tr("Swaps left and right."))
    forms.add_tick(form, f"{path}.visible", tr("Shown"), tr("Hidden artwork stays in the project but is not drawn."))
    forms.add_tick(form, f"{path}.locked", tr("Locked"), tr("Mouse and keys cannot move it."))
    chosen: set[str] = set()
    forms.add_refreshed(
        lambda: (forms.models.planning.report_of(name), forms.models.project.document.placement(name).inks),
        lambda now: _add_report(forms, name, now[0], chosen),
    )


def _add_ink_size(forms: Forms, form: QFormLayout, name: str) -> None:
    """Adds the size of the drawn part; hidden until it is known."""
    label = QLabel()
    help = tr(
        "What the pens draw, without the page's empty margins. “Fit to draw zone” and the draw zone's check use it."
    )
    explain(label, help, tr("Drawn size"))

    def refresh() -> None:
        part = forms.models.planning.drawn_parts().get(name)
        placement = forms.models.project.document.placement(name)
        form.setRowVisible(label, part is not None)
        if part is not None:
            width, height = (part[2] - part[0]) * placement.width, (part[3] - part[1]) * placement.height
            label.setText(tr("{0:.0f} × {1:.0f} mm", width, height))

    form.addRow(tr("Drawn size"), label)
    forms.refreshers.append(refresh)
    refresh()


def _add_file_size_button(forms: Forms, form: QFormLayout, name: str) -> None:
    """The button that gives artwork the size that its file states, with that size; hidden until the file is read."""
    button = QPushButton()
    explain(button, tr("Gives it the width and height that its file states."))

    def size() -> tuple[float, float] | None:
        report = forms.models.planning.report_of(name)
        return report.natural_size if report is not None else None

    def resize() -> None:
        if (stated := size()) is not None:
            document = forms.models.project.document
            after = edits.set_placement(document, name, width=stated[0], height=stated[1])
            forms.models.project.edit(tr("Set to the size in the file"), after)

    def refresh() -> None:
        stated = size()
        form.setRowVisible(button, stated is not None)
        if stated is not None:
            button.setText(tr("Set to the size in the file, {0:.0f} × {1:.0f} mm", *stated))

    button.clicked.connect(resize)
    form.addRow(button)
    forms.refreshers.append(refresh)
    refresh()


def _add_centre(forms: Forms, form: QFormLayout, name: str) -> None:
    """Where an artwork's centre is."""

    def centre() -> Point:
        placement = forms.models.project.document.placement(name)
        return placement.x, placement.y

    def moved(x: float, y: float) -> Document:
        return edits.set_placement(forms.models.project.document, name, x=x, y=y)

    add_position(forms, form, tr("Centre"), centre, moved)


def _add_sides(forms: Forms, form: QFormLayout, name: str) -> None:
    """Where an artwork's left side and its lower edge are."""

    def corner() -> Point:
        left, _, _, bottom = placement_box(forms.models.project.document.placement(name))
        return left, bottom

    def moved(x: float, y: float) -> Document:
        left, bottom = corner()
        return edits_arrangement.move_placements(forms.models.project.document, [name], x - left, y - bottom)

    add_coordinate(forms, form, 0, tr("Left side"), corner, moved)
    add_coordinate(forms, form, 1, tr("Bottom"), corner, moved)


def _add_report(forms: Forms, placement: str, report: PlacementReport | None, chosen: set[str]) -> None:
    """What was found in the artwork: its colours, and what could not be read. chosen: colours that are selected."""
    document = forms.models.project.document
    in_lines = document.draws_lines(document.placement(placement))
    if report is not None and report.colours and not in_lines:
        forms.add_title(counted(tr("Colours and pens"), len(report.colours)))
        forms.column.addWidget(PaletteTable(forms.models, placement, report.colours, chosen))
    if report is not None and report.findings:
        forms.add_title(counted(tr("Reading"), len(report.findings)))
        listed = FindingsList(report.findings)
        listed.asked.connect(lambda finding: _show_finding(forms, placement, report, finding))
        forms.column.addWidget(listed)


def _show_finding(forms: Forms, placement: str, report: PlacementReport, finding: Finding) -> None:
    """Frames on the wall what a finding speaks of: the element, or the whole artwork where it left nothing."""
    where = forms.models.project.document.placement(placement)
    if finding.place is None:
        forms.show_place.emit(placement_box(where))
        return
    left, top, right, bottom = finding.place
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    on_wall = transform(placing_matrix(where, report.natural_size), corners)
    forms.show_place.emit((*map(float, on_wall.min(axis=0)), *map(float, on_wall.max(axis=0))))


def build_part_page(forms: Forms, part: PartItem) -> None:
    """One colour, or all colours of one group together and each by itself."""
    document = forms.models.project.document
    name = document.artwork(document.placement(part.placement).artwork).name
    title = " / ".join(part.group) or name_of(part.colour)
    forms.add_title(
        title,
        tr("Part of {0}. Choices here take precedence over those for the whole artwork.", name)
        if part.group
        else tr("Part of {0}.", name),
    )
    forms.add_refreshed(
        lambda: (
            forms.models.planning.report_of(part.placement),
            forms.models.project.document.placement(part.placement).inks,
            forms.models.project.document.settings.fill,
        ),
        lambda now: _add_uses(forms, part, now[0]),
    )


def _add_uses(forms: Forms, part: PartItem, report: PlacementReport | None) -> None:
    if report is None:
        return
    parts = held_parts(report, part)
    if not parts:
        forms.add_note(tr("Nothing of it is visible."))
        return
    forms.column.addWidget(PartForm(forms.models, part, report))
    colours = sorted({p.colour for p in parts})
    if part.colour or len(colours) < 2:
        return
    forms.add_title(tr("Each colour"))
    form = forms.add_form()
    for colour in colours:
        own = [p for p in parts if p.colour == colour]
        add_ink_row(forms, form, part.placement, joined(own), part.group)


def build_joint_page(forms: Forms) -> None:
    """The joint box of several artworks: its middle moves them, its width scales them."""
    count = len(forms.models.selection.placement_ids)
    forms.add_title(tr("{0} artworks", count), tr("Locked artworks stay in their place."))
    add_arrange_row(forms, count)
    add_origin_choice(forms)
    form = forms.add_form()

    def box() -> tuple[float, float, float, float]:
        return bounding_box(forms.models.selection.placements)

    def moved(x: float, y: float) -> Document:
        left, top, right, bottom = box()
        return edits_arrangement.move_placements(
            forms.models.project.document,
            forms.models.selection.placement_ids,
            x - (left + right) / 2,
            y - (top + bottom) / 2,
        )

    def scaled(w: float, h: float) -> Document:
        left, top, right, bottom = box()
        if min(w, h) < 0.1:
            raise BadValue(tr("Width and height must be at least 0.1 mm"))
        # Proportions are kept: the number that was changed says by how much.
        share = w / (right - left) if abs(w - (right - left)) > 1e-4 else h / (bottom - top)
        return edits_arrangement.carry_placements(
            forms.models.project.document,
            forms.models.selection.placement_ids,
            ((left + right) / 2, (top + bottom) / 2),
            share=share,
        )

    def centre() -> Point:
        return (box()[0] + box()[2]) / 2, (box()[1] + box()[3]) / 2

    add_position(forms, form, tr("Centre"), centre, moved)
    forms.add_pair(form, tr("Width, height"), lambda: (box()[2] - box()[0], box()[3] - box()[1]), scaled)
    forms.add_fill_zone_button(form)
