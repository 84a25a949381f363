"""Property pages of what is on the wall beside artwork: keep-outs, guide lines, its photo."""

from __future__ import annotations

from wallwright.document import edits_guide_lines, edits_keep_outs
from wallwright.document.document import Document
from wallwright.document.language import N_, tr
from wallwright.document.wall import Point
from wallwright.window.model.items import GuideLineItem, KeepOutItem, PhotoItem
from wallwright.window.panels.forms import Forms
from wallwright.window.panels.position_fields import add_coordinate, add_origin_choice, add_position

KEEP_OUTS = (
    N_("Door"),
    N_("Window"),
    N_("Switch"),
    N_("Socket"),
    N_("Picture"),
    N_("Radiator"),
    N_("Shelf"),
    N_("Lamp"),
    N_("Tap"),
)
"""Names that keep-outs often have; any other can be typed."""


KINDS = {"obstacle": N_("Nothing"), "electrical": N_("Cables"), "water": N_("Pipes")}
"""What a keep-out hides, by KeepOut.kind."""


def build_keep_out_page(forms: Forms, item: KeepOutItem) -> None:
    """A keep-out: name, corner and size."""
    index = item.number
    forms.add_title(tr("Keep-out"), tr("Neither pen nor body may touch it."))
    form = forms.add_form()
    forms.add_text(
        form,
        f"wall.keep_outs.{index}.name",
        tr("Name"),
        tuple(map(tr, KEEP_OUTS)),
        lambda name: edits_keep_outs.rename_keep_out(forms.models.project.document, index, name),
    )
    forms.add_choice(
        form,
        f"wall.keep_outs.{index}.kind",
        tr("Inside the wall"),
        KINDS,
        tr("What may run inside the wall from here. Anchors above, below or beside cables and pipes get a warning."),
    )

    def box() -> tuple[float, float, float, float]:
        return edits_keep_outs.box_of(forms.models.project.document.wall.keep_outs[index].outline)

    def moved(x: float, y: float) -> Document:
        left, top, _, _ = box()
        return edits_keep_outs.move_keep_out(forms.models.project.document, index, x - left, y - top)

    def sized(w: float, h: float) -> Document:
        left, top, _, _ = box()
        return edits_keep_outs.fit_keep_out(forms.models.project.document, index, (left, top, left + w, top + h))

    add_origin_choice(forms)
    form = forms.add_form()
    add_position(forms, form, tr("Upper left corner"), lambda: box()[:2], moved)
    forms.add_pair(form, tr("Width, height"), lambda: (box()[2] - box()[0], box()[3] - box()[1]), sized)


def build_guide_line_page(forms: Forms, item: GuideLineItem) -> None:
    """A guide line: where it is."""
    number = item.number
    is_vertical = forms.models.project.document.guide_lines[number].is_vertical
    forms.add_title(
        tr("Vertical guide line") if is_vertical else tr("Horizontal guide line"),
        tr("On screen only. Things you drag snap to it."),
    )
    add_origin_choice(forms)
    axis = 0 if is_vertical else 1

    def read() -> Point:
        at = forms.models.project.document.guide_lines[number].at
        return at, at

    def moved(x: float, y: float) -> Document:
        return edits_guide_lines.move_guide_line(forms.models.project.document, number, (x, y)[axis])

    add_coordinate(forms, forms.add_form(), axis, "", read, moved)


def build_photo_page(forms: Forms, _: PhotoItem) -> None:
    """The photo of the wall."""
    forms.add_title(
        tr("Photo of the wall"), tr("Shown behind the artwork on screen only; straightened by four points.")
    )
    form = forms.add_form()
    forms.add_numbers("photo", form)
    forms.add_tick(form, "photo.shown", tr("Shown"), tr("Whether the photo is shown behind the artwork."))
    forms.add_action(
        "straighten",
        tr("Straighten the photo…"),
        tr("Click four points of the photo whose distances you know. The photo then fits the wall."),
    )
    forms.add_action("photo", tr("Another photo…"), tr("Replaces this photo."))
