"""The properties of what is selected: one page for each kind of item."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtWidgets import QLineEdit, QWidget

from wallwright.window.model.items import (
    GuideLineItem,
    HangingItem,
    Item,
    KeepOutItem,
    MachineItem,
    PartItem,
    PenItem,
    PhotoItem,
    PlacementItem,
    WallItem,
)
from wallwright.window.model.models import Models
from wallwright.window.panels.artwork_pages import build_joint_page, build_part_page, build_placement_page
from wallwright.window.panels.forms import Forms
from wallwright.window.panels.generated_form import GeneratedForm
from wallwright.window.panels.hanging_pages import build_hanging_page
from wallwright.window.panels.job_pages import build_pen_page, build_wall_page
from wallwright.window.panels.machine_page import build_machine_page
from wallwright.window.panels.wall_pages import build_guide_line_page, build_keep_out_page, build_photo_page

PAGES: dict[type[Item], Callable[[Forms, Any], None]] = {
    WallItem: build_wall_page,
    MachineItem: build_machine_page,
    HangingItem: build_hanging_page,
    KeepOutItem: build_keep_out_page,
    GuideLineItem: build_guide_line_page,
    PhotoItem: build_photo_page,
    PenItem: build_pen_page,
    PlacementItem: build_placement_page,
    PartItem: build_part_page,
}
"""What builds the page of each kind of item; it is given an item of that kind."""


class PropertiesPanel(Forms):
    """Shows one item's properties. Rebuilt when another is selected, refreshed when the document changes."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(models, parent)
        self._shape: tuple[object, ...] = ()
        self._items: tuple[Item, ...] = ()
        self._shown_document = models.project.document
        models.selection.changed.connect(self.rebuild)
        models.project.changed.connect(self._update)
        models.planning.preview_changed.connect(self._update)
        models.origin.changed.connect(self._update)
        self.rebuild()

    def rebuild(self) -> None:
        """Builds the page of what is selected. Whoever types in it goes on; what is half typed on another page counts as
        entered."""
        is_same = self.models.selection.items == self._items
        if not is_same and self._shown_document is self.models.project.document:
            self._items = self.models.selection.items
            self._finish_typing()
        self._items, self._shape = self.models.selection.items, self._present_shape()
        self._shown_document = self.models.project.document
        keyed = self._leave(self.widget())  # what is half typed for something that is gone counts as nothing
        top = self.verticalScrollBar().value() if is_same else 0
        page, item = self._begin(), self.models.selection.item
        if item is None:
            build_joint_page(self)
        else:
            PAGES[type(item)](self, item)
        self.column.addStretch(1)
        self._replace_page(page, keyed if is_same else None, top)

    def _finish_typing(self) -> None:
        """Takes what is half typed, as when the keys move on."""
        field = self.keyed_field()
        if isinstance(field, QLineEdit) and field.isModified():
            field.editingFinished.emit()

    def _present_shape(self) -> tuple[object, ...]:
        """What decides which fields there are: when it changes, the page is built anew."""
        document = self.models.project.document
        return (
            self.models.selection.items,
            tuple((p.id, p.name, p.colour) for p in document.pens),
            len(document.hangings),
            len(document.wall.keep_outs),
            tuple(g.is_vertical for g in document.guide_lines),
            (self.models.origin.kind, self.models.selection.hanging),
        )

    def _update(self) -> None:
        self._shown_document = self.models.project.document
        if self._present_shape() != self._shape:
            self.rebuild()
            return
        for refresh in self.refreshers:
            refresh()

    def edit_words(self) -> None:
        """Puts the cursor into the text of the selected artwork."""
        forms = self.findChildren(GeneratedForm)
        if forms:
            forms[-1].edit_text()  # one that was replaced a moment ago may still be there
