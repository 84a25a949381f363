"""The property page of the machine."""

from __future__ import annotations

from functools import partial
from typing import get_args

import msgspec
from PySide6.QtWidgets import QFormLayout

from wallwright.document import edits, edits_body, edits_keep_outs
from wallwright.document.calibration import MachineCalibration
from wallwright.document.controller import Takes
from wallwright.document.language import N_, plural, tr
from wallwright.window.model.items import MachineItem
from wallwright.window.panels.body_drawing import NUMBERS, POINTS, BodyDrawing
from wallwright.window.panels.code_form import add_code
from wallwright.window.panels.drawing_page_form import add_drawing_page, add_takes
from wallwright.window.panels.forms import Forms

CHOICE_TITLES = {
    "accelerating": N_("Plans acceleration itself"),
    "constant": N_("Runs at constant speed"),
    "timed": N_("Follows a timed table"),
    "lines": N_("Short lines"),
    "arcs": N_("Lines and arcs (G2, G3)"),
    "axis": N_("Z axis"),
    "spindle": N_("Spindle output, on and off"),
    "servo": N_("Spindle output, two values"),
    "dwell": N_("Waits of two lengths"),
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
    "start_point": N_("Starting point"),
}

CHOICES = {
    "pacing": (
        N_("Timing"),
        N_("How the controller times the motion. The estimate and the job files depend on it."),
    ),
    "curves": (
        N_("Curves"),
        N_(
            "How curves are written in corrected coordinates. Arcs make the file about half as long. Choose "
            "them if your controller's manual lists G2 and G3."
        ),
    ),
    "kind": (
        N_("Pen lift driven by"),
        N_("What raises and lowers the pen."),
    ),
}
"""Titles and help of the machine's choices."""
PROGRAM_FIELDS = {"lift": ("kind", "up", "down"), "controller": ("curves",)}
"""What is said in programs only; a drawing has no place for it."""


ON_DRAWING = (*NUMBERS, *(f"body.{name}" for name in POINTS))
"""Fields that are typed on the drawing of the body."""


def build_machine_page(forms: Forms, _: MachineItem) -> None:
    """Every part of the machine, from the tables of its types."""
    forms.add_title(tr("Machine"))
    form = forms.add_form()
    forms.add_text(form, "machine.name", tr("Name"))
    forms.add_refreshed(
        lambda: forms.models.project.document.machine.calibration,
        lambda calibration: _add_calibration(forms, calibration),
    )
    add_takes(forms)
    add_drawing_page(forms)
    for part in PART_TITLES:
        if part in PROGRAM_FIELDS:
            forms.add_refreshed(lambda: _takes(forms), partial(add_machine_part, forms, part))
        else:
            add_machine_part(forms, part)
        if part == "controller":
            add_code(forms)


def _add_calibration(forms: Forms, calibration: MachineCalibration | None) -> None:
    """When the machine was calibrated: what was found goes with it, into files too."""
    if calibration is None:
        forms.add_note(tr("Not calibrated yet: Job, Calibrate."))
        return
    when = calibration.date or tr("on an unknown date")
    forms.add_note(
        plural("Calibrated {1} from {0} reading.", "Calibrated {1} from {0} readings.", calibration.readings, when)
    )


def _takes(forms: Forms) -> Takes:
    return forms.models.project.document.machine.controller.takes


def add_machine_part(forms: Forms, part: str, takes: Takes = "belts") -> None:
    """One part of a machine; without what is said in programs, where it takes drawings."""
    help = tr("Positions are measured from the pen tip: right and down, in mm.") if part == "body" else ""
    forms.add_title(tr(PART_TITLES[part]), help)
    if part == "body":
        _add_body_drawing(forms)
    form = forms.add_form()
    skip = PROGRAM_FIELDS.get(part, ()) if takes == "drawing" else ()
    struct = getattr(forms.models.project.document.machine, part)
    for field in msgspec.structs.fields(struct):
        if f"{part}.{field.name}" in ON_DRAWING:
            continue
        if field.name in POINT_TITLES:
            forms.add_point(form, f"machine.{part}.{field.name}", tr(POINT_TITLES[field.name]))
        elif field.name in CHOICES and field.name not in skip:
            titles = {option: CHOICE_TITLES[option] for option in get_args(field.type)}
            title, help = CHOICES[field.name]
            forms.add_choice(form, f"machine.{part}.{field.name}", tr(title), titles, tr(help))
    drawn = tuple(name.partition(".")[2] for name in ON_DRAWING if name.startswith(part))
    forms.add_numbers(f"machine.{part}", form, skip=(*skip, *drawn))
    if part == "body":
        _add_body_outline(forms, form)


def _add_body_outline(forms: Forms, form: QFormLayout) -> None:
    """How far the body reaches around the pen: two corners of its box."""
    help = tr(
        "Corner of the body's outline, measured from the pen tip: right and down, in mm. The body must "
        "stay on the wall and clear of anchors and keep-outs."
    )

    def box() -> tuple[float, float, float, float]:
        return edits_keep_outs.box_of(forms.models.project.document.machine.body.outline)

    forms.add_pair(
        form,
        tr("Outline, top left"),
        lambda: box()[:2],
        lambda x, y: edits_body.fit_body(forms.models.project.document, (x, y, *box()[2:])),
        help,
    )
    forms.add_pair(
        form,
        tr("Outline, bottom right"),
        lambda: box()[2:],
        lambda x, y: edits_body.fit_body(forms.models.project.document, (*box()[:2], x, y)),
        help,
    )


def _add_body_drawing(forms: Forms) -> None:
    """The body with its numbers where they are."""
    project = forms.models.project
    drawing = BodyDrawing(project.document.machine)
    drawing.edited.connect(lambda title, machine: project.edit(title, edits.replace(project.document, machine=machine)))
    drawing.refused.connect(forms.models.messages.say)
    forms.refreshers.append(lambda: drawing.show_machine(project.document.machine))
    forms.column.addWidget(drawing)
