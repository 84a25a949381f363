"""The property page of the machine."""

from __future__ import annotations

from collections.abc import Collection
from functools import partial
from typing import get_args

import msgspec
from PySide6.QtWidgets import QFormLayout

from wallwright.document import edits, edits_body, edits_keep_outs
from wallwright.document.calibration import MachineCalibration
from wallwright.document.controller import Takes
from wallwright.document.language import N_, plural, tr
from wallwright.document.quantity import quantities
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
BASIC_FIELDS = {
    "body": ("outline",),
    "belt": ("length",),
    "motor": ("steps", "microsteps", "holding_torque", "rated_current", "set_current"),
    "lift": ("kind", "up", "down", "change_time"),
    "controller": ("pacing",),
    "limits": ("draw_speed", "travel_speed", "acceleration", "edge_gap"),
}
"""What a person knows of the own machine, or has to find out; the page folds the rest."""
ASSUMED = ("assumed_distance", "assumed_spacing", "assumed_rise", "assumed_steps")
"""Basic as well, where the controller itself turns x and y into belt lengths."""
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
        if part == "lift":
            forms.add_refreshed(
                lambda: (_takes(forms), forms.models.project.document.machine.lift_unit),
                lambda key: add_machine_part(forms, "lift", key[0]),
            )
        elif part in PROGRAM_FIELDS:
            forms.add_refreshed(lambda: _takes(forms), partial(add_machine_part, forms, part))
        else:
            add_machine_part(forms, part)


def _add_calibration(forms: Forms, calibration: MachineCalibration | None) -> None:
    """When the machine was calibrated: what was found goes with it, into files too."""
    if calibration is None:
        forms.add_note(tr("Not calibrated yet: “Job › Calibrate”."))
        return
    when = calibration.date or tr("on an unknown date")
    forms.add_note(
        plural("Calibrated {1} from {0} reading.", "Calibrated {1} from {0} readings.", calibration.readings, when)
    )


def _takes(forms: Forms) -> Takes:
    return forms.models.project.document.machine.controller.takes


def add_machine_part(forms: Forms, part: str, takes: Takes = "belts") -> None:
    """One part of a machine, basic fields first, the rest folded; without what is said in programs, where it takes
    drawings."""
    help = tr("Positions are measured from the pen tip: right and down, in mm.") if part == "body" else ""
    forms.add_title(tr(PART_TITLES[part]), help)
    if part == "body":
        _add_body_drawing(forms)
    _add_fields(forms, part, _fields(forms, part, takes, is_basic=True))
    with forms.folded(f"machine.{part}", tr(PART_TITLES[part])):
        _add_fields(forms, part, _fields(forms, part, takes, is_basic=False))
        if part == "controller":
            add_code(forms)


def add_whole_part(forms: Forms, part: str) -> None:
    """Every field of a part of a machine, nothing folded."""
    forms.add_title(tr(PART_TITLES[part]))
    _add_fields(
        forms, part, [*_fields(forms, part, "belts", is_basic=True), *_fields(forms, part, "belts", is_basic=False)]
    )


def _fields(forms: Forms, part: str, takes: Takes, is_basic: bool) -> list[str]:
    """Names of the fields that are shown of a part, in the order of its type."""
    skip = PROGRAM_FIELDS.get(part, ()) if takes == "drawing" else ()
    basic = BASIC_FIELDS[part] + (ASSUMED if takes != "belts" else ())
    struct = getattr(forms.models.project.document.machine, part)
    return [
        field.name
        for field in msgspec.structs.fields(struct)
        if field.name not in skip and f"{part}.{field.name}" not in ON_DRAWING and (field.name in basic) == is_basic
    ]


def _add_fields(forms: Forms, part: str, names: Collection[str]) -> None:
    """Choices, then numbers, then the outline, as far as they are among these fields of a part."""
    form = forms.add_form()
    struct = getattr(forms.models.project.document.machine, part)
    for field in msgspec.structs.fields(struct):
        if field.name in CHOICES and field.name in names:
            titles = {option: CHOICE_TITLES[option] for option in get_args(field.type)}
            title, help = CHOICES[field.name]
            forms.add_choice(form, f"machine.{part}.{field.name}", tr(title), titles, tr(help))
    others = tuple(name for name in quantities(type(struct)) if name not in names)
    lift = forms.models.project.document.machine.lift_unit
    units = {"up": lift, "down": lift} if part == "lift" else {}
    forms.add_numbers(f"machine.{part}", form, skip=others, units=units)
    if "outline" in names:
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
