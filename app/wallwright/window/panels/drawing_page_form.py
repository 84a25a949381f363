"""The part of the machine's page about what a machine takes, and what its page does with a drawing.

The first question comes first. Fields of the page are shown only where they apply to a page of that kind.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from PySide6.QtWidgets import QComboBox, QFormLayout

from wallwright.document import edits
from wallwright.document.controller import Takes
from wallwright.document.drawing_page import Ask, DrawingPage, Placing
from wallwright.document.language import N_, tr
from wallwright.window.panels.forms import Forms
from wallwright.window.widgets.choices import narrow
from wallwright.window.widgets.explain import explain

PAGE = "machine.controller.page"
TAKES: dict[Takes, str] = {
    "belts": N_("G-code with belt lengths"),
    "plane": N_("G-code with x and y"),
    "drawing": N_("A drawing (SVG file)"),
}
TAKES_HELP = N_(
    "If you choose an SVG file on a page that the machine shows, it takes a drawing. If you send it a program "
    "with lines such as G1 X100 Y50, it takes x and y. If it drives each belt by its length, it takes belt lengths."
)
PLACING: dict[Placing, str] = {
    "typed": N_("Puts it at the numbers typed"),
    "centred": N_("Centres it between the anchors"),
    "anchors": N_("Takes its page for the area between the anchors"),
    "wall": N_("Takes its page for the wall"),
    "area": N_("Fits it into its own area"),
}
BOX = {"page": N_("The page of the file"), "ink": N_("The box around what is drawn")}
ORIGIN = {
    "anchor": N_("The left anchor"),
    "middle": N_("Halfway between the anchors"),
    "start": N_("The machine's start"),
    "wall": N_("The wall's top left corner"),
}
POINT = {"corner": N_("The drawing's top left corner"), "middle": N_("The drawing's middle")}
UNIT = {"mm": N_("Scaled to the stated size in mm"), "px": N_("Pixels of 1/96 inch"), "user": N_("Millimetres")}
AXES = {
    "right-down": N_("As drawn"),
    "right-up": N_("Upside down"),
    "left-down": N_("Left and right swapped"),
    "left-up": N_("Both swapped"),
}
START = {"own": N_("The machine moves it there"), "hand": N_("By hand")}
ATTRIBUTES = {"none": N_("Plain"), "stroke": N_("With a stroke colour and no fill")}
ASKS: dict[Ask, str] = {
    "distance": N_("distance"),
    "width": N_("width"),
    "height": N_("height"),
    "left": N_("left"),
    "top": N_("top"),
    "scale": N_("scale"),
}
ASK_LISTS: tuple[tuple[Ask, ...], ...] = (
    ("distance", "left", "top", "width"),
    ("distance", "left", "top"),
    ("distance", "left", "top", "scale"),
    ("distance", "left", "top", "width", "height"),
    ("distance", "width", "top"),
    ("distance", "height", "top"),
    ("distance", "top"),
    ("distance",),
    ("left", "top", "width"),
    ("width",),
    ("height",),
    (),
)
"""What pages usually ask, in their order."""
ALTERATIONS = {
    "fill": N_("Fills closed shapes"),
    "close": N_("Closes open paths"),
    "sort": N_("Sorts paths"),
    "simplify": N_("Simplifies paths"),
}


def ask_lists(now: tuple[Ask, ...]) -> dict[tuple[Ask, ...], str]:
    """What a page may ask, with the list that is set first, and the text of each."""
    return {asks: ", ".join(tr(ASKS[a]) for a in asks) or tr("nothing") for asks in (now, *ASK_LISTS)}


PLACE_NUMBERS = ("own_left", "own_top")
AREA_NUMBERS = (*PLACE_NUMBERS, "own_width", "own_height")


def add_takes(forms: Forms) -> None:
    """The first question about a machine."""
    forms.add_title(tr("What does your machine take?"))
    box = narrow(QComboBox())
    explain(
        box,
        tr(TAKES_HELP),
        tr("What does your machine take?"),
    )
    for value, text in TAKES.items():
        box.addItem(tr(text), value)

    def refresh() -> None:
        box.setCurrentIndex(box.findData(forms.models.project.document.machine.controller.takes))

    def choose() -> None:
        document = forms.models.project.document
        controller = document.machine.controller.taking(box.currentData())
        changed = edits.with_field(document, "machine.controller", controller)
        forms.models.project.edit(tr("What the machine takes"), changed)

    box.activated.connect(choose)
    forms.refreshers.append(refresh)
    refresh()
    forms.add_form().addRow("", box)


def add_drawing_page(forms: Forms) -> None:
    """What the page of a machine that takes drawings does; nothing for machines of other kinds."""

    def shown() -> tuple[object, ...]:
        controller = forms.models.project.document.machine.controller
        page = controller.page
        return controller.takes, page.is_known, page.placing, page.asks, page.box

    def build(key: tuple[object, ...]) -> None:
        if key[0] == "drawing":
            _build(forms)

    forms.add_refreshed(shown, build)


def _build(forms: Forms) -> None:
    page = forms.models.project.document.machine.controller.page
    forms.add_title(
        tr("The machine's page"),
        tr("What you see on it. Leave what you do not know, and draw the proof drawing (Job menu)."),
    )
    form = forms.add_form()
    help = tr("Untick when nobody has tried it yet. The proof drawing then finds size, place and directions.")
    forms.add_tick(form, f"{PAGE}.is_known", tr("I know what the page does"), help)
    _add_asks(forms, form)
    choices: list[tuple[str, str, Mapping[Any, str], str]] = [
        (
            "placing",
            tr("What it does with a drawing"),
            PLACING,
            tr("How its page comes to the drawing's place."),
        ),
        ("box", tr("What it puts in place"), BOX, tr("Whether empty space around the drawing counts.")),
    ]
    if {"left", "top"} & set(page.asks) and page.placing != "wall":
        choices += [
            ("origin", tr("Left and top are measured from"), ORIGIN, tr("Where the typed numbers are measured from.")),
            ("point", tr("Left and top are those of"), POINT, tr("Which point of the drawing comes there.")),
        ]
    if not page.is_sized_by_page:
        choices.append(("unit", tr("Numbers in the file"), UNIT, tr("Which unit it takes the file's numbers for.")))
    choices += [
        ("axes", tr("On the wall it comes out"), AXES, tr("Which way the drawing comes out on the wall.")),
        ("start", tr("How the pen gets to its start"), START, tr("How its pen comes to the start.")),
        ("attributes", tr("Paths in the file"), ATTRIBUTES, tr("What a path must have so that the page draws it.")),
    ]
    for field, title, titles, help in choices:
        forms.add_choice(form, f"{PAGE}.{field}", title, titles, help)
    forms.add_tick(form, f"{PAGE}.whole_numbers", tr("Whole numbers only"), tr("Whether only whole mm can be typed."))
    for name, title in ALTERATIONS.items():
        _add_alteration(forms, form, name, tr(title))
    forms.add_tick(form, f"{PAGE}.one_file", tr("A file with all pens too"), tr("Beside one file for each pen."))
    forms.add_tick(
        form,
        f"{PAGE}.other_files",
        tr("Files for other controllers too"),
        tr("RS-274, motion table and one corrected SVG."),
    )
    forms.add_numbers(PAGE, form, skip=_hidden_numbers(page))


def _hidden_numbers(page: DrawingPage) -> tuple[str, ...]:
    """Numbers that say nothing for a page of this kind."""
    if page.placing == "area":
        return ()
    if page.placing in ("anchors", "wall") or {"left", "top"} <= set(page.asks):
        return AREA_NUMBERS
    return AREA_NUMBERS[2:]


def _add_asks(forms: Forms, form: QFormLayout) -> None:
    """Which numbers the page asks, in its order."""
    box = narrow(QComboBox())
    explain(
        box,
        tr("Choose the list in the order in which the page asks; what you type is said in this order."),
        tr("The page asks for"),
    )

    def fill() -> None:
        now = forms.models.project.document.machine.controller.page.asks
        box.clear()
        for asks, text in ask_lists(now).items():
            box.addItem(text, list(asks))
        box.setCurrentIndex(0)

    def choose() -> None:
        forms.models.project.set_field(
            tr("Change: {0}", tr("The page asks for")), f"{PAGE}.asks", tuple(box.currentData())
        )

    box.activated.connect(choose)
    fill()
    form.addRow(tr("The page asks for"), box)


def _add_alteration(forms: Forms, form: QFormLayout, name: str, title: str) -> None:
    """Whether the page does something with paths, and whether that can be switched off."""
    box = narrow(QComboBox())
    explain(box, tr("What to type names everything that must be switched off."), title)
    for text in (tr("No"), tr("Can be switched off"), tr("Always")):
        box.addItem(text)

    def refresh() -> None:
        page = forms.models.project.document.machine.controller.page
        box.setCurrentIndex(2 if name in page.always else 1 if name in page.switch_off else 0)

    def choose() -> None:
        document = forms.models.project.document
        page = document.machine.controller.page
        kinds = (page.switch_off, page.always)
        off, always = (
            tuple(a for a in ALTERATIONS if (a in kind if a != name else box.currentIndex() == k))
            for k, kind in enumerate(kinds, start=1)
        )
        changed = edits.set_field(document, f"{PAGE}.switch_off", off)
        forms.models.project.edit(tr("Change: {0}", title), edits.set_field(changed, f"{PAGE}.always", always))

    box.activated.connect(choose)
    forms.refreshers.append(refresh)
    refresh()
    form.addRow(title, box)
