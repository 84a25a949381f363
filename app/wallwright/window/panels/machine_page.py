"""The property page of the machine."""

from __future__ import annotations

from typing import get_args

import msgspec
from PySide6.QtWidgets import QFormLayout

from wallwright.document import edits_body, edits_keep_outs
from wallwright.document.language import N_, tr
from wallwright.window.model.items import MachineItem
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
    "centre": N_("Centre of mass"),
    "left_exit": N_("Left exit"),
    "right_exit": N_("Right exit"),
    "datum": N_("Starting point"),
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


def build_machine_page(forms: Forms, _: MachineItem) -> None:
    """Every part of the machine, from the tables of its types."""
    forms.add_title(tr("Machine"))
    form = forms.add_form()
    forms.add_text(form, "machine.name", tr("Name"))
    add_takes(forms)
    for part, title in PART_TITLES.items():
        forms.add_title(
            tr(title),
            tr("Positions are measured from the pen tip: right and down, in mm.") if part == "body" else "",
        )
        form = forms.add_form()
        struct = getattr(forms.models.project.document.machine, part)
        for field in msgspec.structs.fields(struct):
            if field.name in POINT_TITLES:
                forms.add_point(form, f"machine.{part}.{field.name}", tr(POINT_TITLES[field.name]))
            elif (
                field.name != "takes" and (options := get_args(field.type)) and all(isinstance(o, str) for o in options)
            ):
                titles = {o: CHOICE_TITLES[o] for o in options}
                title, help = CHOICES[field.name]
                forms.add_choice(form, f"machine.{part}.{field.name}", tr(title), titles, tr(help))
        forms.add_numbers(f"machine.{part}", form)
        if part == "controller":
            add_code(forms)
            add_drawing_page(forms)
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
