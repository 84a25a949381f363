"""Fields of positions: their titles name what they are measured from, and they follow the window's choice of origin."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QComboBox, QFormLayout

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.edits import FieldPath
from wallwright.document.language import N_, tr
from wallwright.document.origin import Origin, OriginKind, height_text
from wallwright.document.quantity import Quantity
from wallwright.document.wall import COORDINATE, Point
from wallwright.window.panels.forms import Forms, value_at
from wallwright.window.widgets.choices import narrow
from wallwright.window.widgets.explain import explain

KINDS: tuple[OriginKind, ...] = ("anchor", "wall")
AXES: dict[OriginKind, tuple[str, str]] = {
    "anchor": (N_("Right of the left anchor"), N_("Below the left anchor")),
    "wall": (N_("From the wall's left edge"), N_("Above the floor")),
}
"""Titles of both numbers of a position, below a heading that says of what."""
TITLED: dict[OriginKind, tuple[str, str]] = {
    "anchor": (N_("{0}, right of the left anchor"), N_("{0}, below the left anchor")),
    "wall": (N_("{0}, from the wall's left edge"), N_("{0}, above the floor")),
}
HELP: dict[OriginKind, tuple[str, str]] = {
    "anchor": (N_("Negative: left of the anchor."), N_("Negative: above the anchor.")),
    "wall": (N_("As measured with a tape on the wall."), N_("As measured with a tape on the wall.")),
}


def axis_title(kind: OriginKind, axis: int, what: str = "") -> str:
    """The title of a number of a position; axis: 0 across, 1 along; what: of which point, translated, "" below a heading."""
    return tr(TITLED[kind][axis], what) if what else tr(AXES[kind][axis])


def position_quantity(title: str, help: str) -> Quantity:
    """A length on the wall, mm; title and help are translated already."""
    return Quantity("position", "mm", -2 * COORDINATE, 2 * COORDINATE, 0.0, title, help, "", is_translated=True)


def add_origin_choice(forms: Forms) -> None:
    """The switch: what the positions on the page, the rulers and the readouts are measured from."""
    box, origin = narrow(QComboBox()), forms.models.origin
    title = tr("Measured from")
    explain(box, tr("For all positions in the window: fields, rulers and readouts."), title)
    for kind in KINDS:
        box.addItem(origin.title(kind), kind)
    box.setCurrentIndex(KINDS.index(origin.kind))

    def refresh() -> None:
        for index, kind in enumerate(KINDS):
            box.setItemText(index, origin.title(kind))

    forms.refreshers.append(refresh)
    box.activated.connect(lambda index: origin.choose(KINDS[index]))
    forms.add_form().addRow(title, box)


def add_coordinate(
    forms: Forms,
    form: QFormLayout,
    axis: int,
    what: str,
    read: Callable[[], Point],
    edit: Callable[[float, float], Document],
    origin: Callable[[], Origin] | None = None,
    title: str = "",
) -> None:
    """One number of a position.

    axis: 0 across, 1 along; read, edit: of the point in the wall frame, mm; origin, title: instead of the window's.
    """
    source, kind = origin or (lambda: forms.models.origin.present), forms.models.origin.kind
    quantity = position_quantity(title or axis_title(kind, axis, what), tr(HELP[kind][axis]))

    def shown() -> float:
        return round(source().from_wall(*read())[axis], 4) + 0.0

    def moved(value: float) -> Document:
        there = list(source().from_wall(*read()))
        there[axis] = value
        return edit(*source().to_wall(there[0], there[1]))

    forms.add_number(form, quantity, shown, moved)


def add_position(
    forms: Forms,
    form: QFormLayout,
    what: str,
    read: Callable[[], Point],
    edit: Callable[[float, float], Document],
) -> None:
    """Both numbers of a position; what: of which point, translated, "" below a heading."""
    for axis in (0, 1):
        add_coordinate(forms, form, axis, what, read, edit)


def add_point_position(forms: Forms, form: QFormLayout, path: FieldPath, what: str = "") -> None:
    """A point of the document by its path."""
    project = forms.models.project
    add_position(
        forms,
        form,
        what,
        lambda: value_at(project.document, path),
        lambda x, y: edits.set_field(project.document, path, (x, y)),
    )


def add_height(forms: Forms, read: Callable[[], float]) -> None:
    """How high a point is, where a person climbs, unless the fields say it; read: its y in the wall frame, mm."""
    if forms.models.origin.kind == "wall":
        return
    note = forms.add_note("")

    def refresh() -> None:
        note.setText(height_text(forms.models.project.document, read()))

    forms.refreshers.append(refresh)
    refresh()
