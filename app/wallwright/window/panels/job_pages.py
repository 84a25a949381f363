"""Property pages of the wall with its job, and of a pen."""

from __future__ import annotations

from PySide6.QtGui import QColor
from PySide6.QtWidgets import QColorDialog, QComboBox, QFormLayout, QPushButton

from wallwright.document import edits
from wallwright.document.document import Document, Fill, Pen, Settings
from wallwright.document.edits import FieldPath
from wallwright.document.language import N_, tr
from wallwright.document.quantity import quantities
from wallwright.document.wall import Point
from wallwright.window.model.colour_pens import with_colour
from wallwright.window.model.items import PenItem, WallItem
from wallwright.window.panels.fill_choices import FILL_NUMBERS, FILL_TITLES
from wallwright.window.panels.forms import Forms, value_at
from wallwright.window.panels.position_fields import add_origin_choice, add_position, position_quantity
from wallwright.window.widgets.choices import narrow, swatch
from wallwright.window.widgets.explain import explain

ORDER_TITLES = {
    "effort": (
        N_("Search"),
        {
            "quick": N_("Fast"),
            "balanced": N_("Balanced"),
            "best": N_("Best, takes a minute"),
        },
    ),
    "fills": (
        N_("Fills"),
        {
            "any": N_("Any order (fastest)"),
            "after": N_("After the edges"),
            "before": N_("Before the edges"),
        },
    ),
    "fill_lines": (
        N_("Fill lines"),
        {
            "either": N_("To and fro (fastest)"),
            "one-way": N_("All in one direction"),
        },
    ),
    "together": (
        N_("Finish together"),
        {
            "none": N_("Nothing"),
            "shape": N_("Each shape"),
            "artwork": N_("Each artwork"),
        },
    ),
}

ORDER_HELP = {
    "effort": N_("How long to search for the fastest order of the strokes."),
    "fills": N_("Whether each pen draws fills before or after edges."),
    "fill_lines": N_(
        "In one direction, friction puts all lines off alike, and their spacing stays even. It takes longer: the checks "
        "say by how much."
    ),
    "together": N_("What each pen finishes before moving on."),
}

OVER_TITLES = {
    "any": N_("Any ink, wet too"),
    "dry": N_("Dry ink"),
    "lighter": N_("Dry, lighter ink"),
}

BASIC_SETTINGS = ("gap",)
"""Numbers of the job that people change; the page folds the rest."""

OUTSIDE_TITLES = {
    "refuse": N_("Do not export"),
    "clip": N_("Clip"),
    "draw-anyway": N_("Draw outside anyway"),
}


def build_wall_page(forms: Forms, _: WallItem) -> None:
    """The wall, and the job that is drawn on it."""
    forms.add_title(tr("Wall"))
    add_origin_choice(forms)
    form = forms.add_form()
    _add_wall_corner(forms, form)
    forms.add_numbers("wall", form, skip=("left", "top"))
    forms.add_title(tr("Job"))
    form = forms.add_form()
    forms.add_choice(
        form,
        "settings.outside",
        tr("Outside the draw zone"),
        OUTSIDE_TITLES,
        tr("What to do with strokes that leave the draw zone."),
    )
    forms.add_tick(
        form,
        "settings.wait_until_dry",
        tr("Wait until ink is dry"),
        tr("The pause before each pen then says how long to wait, so that no pen touches wet ink."),
    )
    others = tuple(name for name in quantities(Settings) if name not in BASIC_SETTINGS)
    forms.add_numbers("settings", form, skip=others)
    with forms.folded("job", tr("Job")):
        forms.add_numbers("settings", skip=BASIC_SETTINGS)
    forms.add_title(tr("Fill"), tr("For every colour without its own fill."))
    form = forms.add_form()
    forms.add_choice(form, "settings.fill.kind", tr("Kind"), FILL_TITLES, tr("How areas are filled."))
    _add_fill_numbers(forms, form)
    forms.add_refreshed(
        lambda: len(forms.models.project.document.hangings) > 1, lambda now: _add_joining(forms, bool(now))
    )
    forms.add_title(tr("Order"), tr("The order in which each pen draws. Without rules, the fastest."))
    form = forms.add_form()
    for name, (title, titles) in ORDER_TITLES.items():
        forms.add_choice(form, f"settings.order.{name}", tr(title), titles, tr(ORDER_HELP[name]))
    forms.add_numbers("settings.order", form)


def _add_fill_numbers(forms: Forms, form: QFormLayout) -> None:
    """Of the job's fill; only those that its kind goes by are shown."""
    first = form.rowCount()
    forms.add_numbers("settings.fill", form)

    def show_what_counts() -> None:
        kind = forms.models.project.document.settings.fill.kind
        for row, name in enumerate(quantities(Fill), first):
            form.setRowVisible(row, name in FILL_NUMBERS[kind])

    forms.refreshers.append(show_what_counts)
    show_what_counts()


def _add_wall_corner(forms: Forms, form: QFormLayout) -> None:
    """Where wall and current hanging are against each other: the wall's edges from its left anchor, or that anchor on the
    wall. The hangings and the artwork stay together."""
    project, selection = forms.models.project, forms.models.selection

    def with_wall(left: float, top: float) -> Document:
        return edits.replace(project.document, wall=edits.replace(project.document.wall, left=left, top=top))

    def corner() -> Point:
        return project.document.wall.left, project.document.wall.top

    def anchor() -> Point:
        left = project.document.hangings[selection.hanging].left
        return left.x, left.y

    if forms.models.origin.kind == "anchor":
        forms.add_number(
            form,
            position_quantity(tr("Left edge, left of the left anchor"), tr("As measured with a tape on the wall.")),
            lambda: anchor()[0] - corner()[0],
            lambda value: with_wall(anchor()[0] - value, corner()[1]),
        )
        forms.add_number(
            form,
            position_quantity(tr("Ceiling, above the left anchor"), tr("As measured with a tape on the wall.")),
            lambda: anchor()[1] - corner()[1],
            lambda value: with_wall(corner()[0], anchor()[1] - value),
        )
        return

    def moved(x: float, y: float) -> Document:
        wall, (now_x, now_y) = project.document.wall, anchor()
        return with_wall(wall.left + now_x - x, wall.top + now_y - y)

    add_position(forms, form, tr("Left anchor"), anchor, moved)


def _add_joining(forms: Forms, has_several: bool) -> None:
    """How hangings are joined, where there are several."""
    if has_several:
        forms.add_title(tr("Where hangings meet"), tr("How strokes are cut between neighbouring hangings."))
        form = forms.add_form()
        forms.add_numbers("settings.joining", form)
        _add_mark_pen(forms, form)


def _add_mark_pen(forms: Forms, form: QFormLayout) -> None:
    """Which pen draws the register marks."""
    title, box = tr("Pen for the marks"), narrow(QComboBox())
    explain(box, tr("Draws the marks that later hangings are lined up by."), title)
    for pen in forms.models.project.document.pens:
        box.addItem(swatch(pen.colour), pen.name, pen.id)

    def refresh() -> None:
        box.setCurrentIndex(max(box.findData(forms.models.project.document.settings.joining.pen), 0))

    box.activated.connect(
        lambda: forms.models.project.set_field(tr("Change: {0}", title), "settings.joining.pen", box.currentData())
    )
    forms.refreshers.append(refresh)
    refresh()
    form.addRow(title, box)


def build_pen_page(forms: Forms, item: PenItem) -> None:
    """One pen: how it draws, its tip in the holder, its ink, what it may touch, how it rubs on the wall."""
    index = next(i for i, p in enumerate(forms.models.project.document.pens) if p.id == item.pen)
    forms.add_title(tr("Pen"))
    form = forms.add_form()
    forms.add_text(form, f"pens.{index}.name", tr("Name"))
    button = QPushButton()
    explain(button, tr("The pen's colour on screen and in lists."), tr("Colour"))

    def refresh() -> None:
        colour = value_at(forms.models.project.document, f"pens.{index}.colour")
        button.setIcon(swatch(colour))
        button.setText(colour)

    def choose() -> None:
        now = QColor(value_at(forms.models.project.document, f"pens.{index}.colour"))
        colour = QColorDialog.getColor(now, forms, tr("Pen colour"))
        if colour.isValid():
            after = with_colour(forms.models.project.document, index, colour.name())
            forms.models.project.edit(tr("Change a pen's colour"), after)

    button.clicked.connect(choose)
    forms.refreshers.append(refresh)
    refresh()
    form.addRow(tr("Colour"), button)
    path = f"pens.{index}"
    _add_pen_numbers(forms, path, form, ("width", "speed"))
    forms.add_title(tr("Ink"))
    _add_pen_numbers(forms, path, forms.add_form(), ("ink", "used"))
    _add_ink_left(forms, path)
    forms.add_title(tr("Drying"))
    form = forms.add_form()
    forms.add_choice(form, f"{path}.over", tr("May draw over"), OVER_TITLES, tr("What the tip may touch."))
    _add_pen_numbers(forms, path, form, ("drying",))
    forms.add_action(
        "save-pen", tr("Save pen for reuse"), tr("Other projects can then add it: “Pens › Add saved pens”.")
    )
    with forms.folded("pen", tr("Pen")):
        _add_pen_numbers(forms, path, forms.add_form(), ("opacity", "gain", "uncapped", "price"))
        forms.add_title(tr("Tip in the holder"), tr("Two small drawings show where the tip is, and how the pen draws."))
        _add_pen_numbers(forms, path, forms.add_form(), ("tip_right", "tip_down"))
        forms.add_refreshed(
            lambda: forms.models.project.document.machine.lift_unit,
            lambda _: _add_pen_numbers(forms, path, forms.add_form(), ("press",)),
        )
        forms.add_action(
            "measure-pens", tr("Measure pens…"), tr("Offset figure and sample strip, with fields for what you read.")
        )
        forms.add_title(tr("Friction and mass"), tr("Measure pens has a figure that shows friction."))
        _add_pen_numbers(forms, path, forms.add_form(), ("drag", "drag_uncertainty", "extra_mass"))


def _add_pen_numbers(forms: Forms, path: FieldPath, form: QFormLayout, names: tuple[str, ...]) -> None:
    """Some of a pen's numbers."""
    skip = tuple(name for name in quantities(Pen) if name not in names)
    forms.add_numbers(path, form, skip, units={"press": forms.models.project.document.machine.lift_unit})


def _add_ink_left(forms: Forms, path: FieldPath) -> None:
    """How much ink is left, and that the pen was filled again."""
    note, refill = forms.add_note(""), QPushButton(tr("Mark as full"))
    explain(refill, tr("Sets the ink used to 0, after a refill or with a new pen."))
    refill.clicked.connect(lambda: forms.action_wanted.emit("refill-pen"))
    forms.column.addWidget(refill)

    def refresh() -> None:
        pen = value_at(forms.models.project.document, path)
        left = tr("{0:.1f} m of ink left.", max(pen.ink - pen.used, 0.0)) + " " if pen.ink else ""
        note.setText(left + tr("When a job is drawn, choose “Pens › Count this job's ink as used”."))
        refill.setEnabled(pen.used > 0)

    forms.refreshers.append(refresh)
    refresh()
