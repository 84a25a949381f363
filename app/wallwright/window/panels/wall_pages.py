"""Property pages of what is on the wall beside artwork: keep-outs, guide lines, its photo."""

from __future__ import annotations

from wallwright.document import edits_guide_lines, edits_keep_outs
from wallwright.document.document import Document
from wallwright.document.language import N_, tr
from wallwright.document.quantity import Quantity
from wallwright.document.wall import COORDINATE
from wallwright.window.model.items import GuideLineItem, KeepOutItem, PhotoItem
from wallwright.window.panels.forms import Forms

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


def tape_quantity(name: str, title: str, help: str) -> Quantity:
    """A length as a tape measures it on the wall, mm."""
    return Quantity(name, "mm", -2 * COORDINATE, 2 * COORDINATE, 0.0, title, help, "")


FROM_LEFT = tape_quantity("from_left", N_("From the wall's left edge"), N_("As measured with a tape on the wall."))
ABOVE_FLOOR = tape_quantity("above_floor", N_("Above the floor"), N_("As measured with a tape on the wall."))


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

    forms.add_pair(form, tr("Corner"), lambda: box()[:2], moved)
    forms.add_pair(form, tr("Size"), lambda: (box()[2] - box()[0], box()[3] - box()[1]), sized)


def build_guide_line_page(forms: Forms, item: GuideLineItem) -> None:
    """A guide line: where it is."""
    number = item.number
    plumb = forms.models.project.document.guide_lines[number].plumb
    forms.add_title(
        tr("Plumb line") if plumb else tr("Horizontal guide line"), tr("On screen only. Things you drag snap to it.")
    )
    form = forms.add_form()

    def read() -> float:
        document = forms.models.project.document
        at = document.guide_lines[number].at
        return at - document.wall.left if plumb else document.wall.floor - at

    def moved(value: float) -> Document:
        document = forms.models.project.document
        at = document.wall.left + value if plumb else document.wall.floor - value
        return edits_guide_lines.move_guide_line(document, number, at)

    forms.add_number(form, FROM_LEFT if plumb else ABOVE_FLOOR, read, moved)
    forms.add_numbers(f"guide_lines.{number}", form)


def build_photo_page(forms: Forms, _: PhotoItem) -> None:
    """The photo of the wall."""
    forms.add_title(
        tr("Photo of the wall"), tr("Shown behind the artwork on screen only; straightened by four points.")
    )
    form = forms.add_form()
    forms.add_numbers("photo", form)
    forms.add_tick(form, "photo.shown", tr("Shown"), tr("Whether the photo is shown behind the artwork."))
