"""Fields of the property pages as entries of the command search."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from wallwright.document.document import Document, Pen, Settings
from wallwright.document.edits import FieldPath
from wallwright.document.language import tr
from wallwright.document.quantity import quantities
from wallwright.document.wall import Anchor, Side, Wall
from wallwright.window.model.items import MACHINE, WALL, HangingItem, Item, PenItem
from wallwright.window.model.models import Models
from wallwright.window.panels.body_drawing import POINTS
from wallwright.window.panels.fill_choices import FILL_NUMBERS
from wallwright.window.panels.hanging_pages import SIDES
from wallwright.window.panels.job_pages import ORDER_HELP, ORDER_TITLES
from wallwright.window.panels.machine_page import PART_TITLES


class FieldEntry(msgspec.Struct, frozen=True):
    """A field."""

    title: str
    help: str
    item: Item
    """Item whose page has the field."""
    path: FieldPath
    """Path of the field on the page."""


def fields_of(models: Models) -> list[FieldEntry]:
    """Returns the fields of the wall and the job, the machine, the current hanging and the pens."""
    document, hanging = models.project.document, models.selection.hanging
    return [*_of_wall(document), *_of_machine(document), *_of_hanging(hanging), *_of_pens(document.pens)]


def _numbers(
    kind: type[msgspec.Struct], item: Item, path: FieldPath, place: str, without: tuple[str, ...] = ()
) -> Iterator[FieldEntry]:
    for name, quantity in quantities(kind).items():
        if name not in without:
            yield FieldEntry(f"{quantity.shown_title} ({place})", quantity.shown_help, item, f"{path}.{name}")


def _of_wall(document: Document) -> Iterator[FieldEntry]:
    place, fill = tr("Wall and job"), document.settings.fill
    yield from _numbers(Wall, WALL, "wall", place, ("left", "top"))
    help = tr("What to do with strokes that leave the draw zone.")
    yield FieldEntry(f"{tr('Outside the draw zone')} ({place})", help, WALL, "settings.outside")
    yield from _numbers(Settings, WALL, "settings", place)
    fill_place = f"{place}: {tr('Fill')}"
    yield FieldEntry(f"{tr('Kind')} ({fill_place})", tr("How areas are filled."), WALL, "settings.fill.kind")
    hidden = tuple(name for name in quantities(type(fill)) if name not in FILL_NUMBERS[fill.kind])
    yield from _numbers(type(fill), WALL, "settings.fill", fill_place, hidden)
    order_place = f"{place}: {tr('Order')}"
    for name, (title, _) in ORDER_TITLES.items():
        yield FieldEntry(f"{tr(title)} ({order_place})", tr(ORDER_HELP[name]), WALL, f"settings.order.{name}")


def _of_machine(document: Document) -> Iterator[FieldEntry]:
    place = tr("Machine")
    for name, (title, help) in POINTS.items():
        yield FieldEntry(f"{tr(title)} ({place})", tr(help), MACHINE, f"machine.body.{name}")
    for part, title in PART_TITLES.items():
        kind = type(getattr(document.machine, part))
        yield from _numbers(kind, MACHINE, f"machine.{part}", f"{place}: {tr(title)}")


def _of_hanging(hanging: int) -> Iterator[FieldEntry]:
    sides: tuple[tuple[Side, str], ...] = SIDES
    for side, title in sides:
        yield from _numbers(Anchor, HangingItem(hanging), f"hangings.{hanging}.{side}", tr(title), ("x", "y"))


def _of_pens(pens: tuple[Pen, ...]) -> Iterator[FieldEntry]:
    for number, pen in enumerate(pens):
        yield from _numbers(Pen, PenItem(pen.id), f"pens.{number}", tr("Pen: {0}", pen.name))
