"""The properties of what is selected: one page for each kind of item."""

from __future__ import annotations

from typing import assert_never

from PySide6.QtGui import QShowEvent
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
from wallwright.window.panels.forms import Forms


def build_page(forms: Forms, item: Item | None) -> None:
    """The page of what is selected; None: of several artworks.

    Each is loaded when it is first wanted: the window opens sooner without them.
    """
    match item:
        case None:
            from wallwright.window.panels.artwork_pages import build_joint_page

            build_joint_page(forms)
        case WallItem():
            from wallwright.window.panels.job_pages import build_wall_page

            build_wall_page(forms, item)
        case MachineItem():
            from wallwright.window.panels.machine_page import build_machine_page

            build_machine_page(forms, item)
        case HangingItem():
            from wallwright.window.panels.hanging_pages import build_hanging_page

            build_hanging_page(forms, item)
        case KeepOutItem():
            from wallwright.window.panels.wall_pages import build_keep_out_page

            build_keep_out_page(forms, item)
        case GuideLineItem():
            from wallwright.window.panels.wall_pages import build_guide_line_page

            build_guide_line_page(forms, item)
        case PhotoItem():
            from wallwright.window.panels.wall_pages import build_photo_page

            build_photo_page(forms, item)
        case PenItem():
            from wallwright.window.panels.job_pages import build_pen_page

            build_pen_page(forms, item)
        case PlacementItem():
            from wallwright.window.panels.artwork_pages import build_placement_page

            build_placement_page(forms, item)
        case PartItem():
            from wallwright.window.panels.artwork_pages import build_part_page

            build_part_page(forms, item)
        case _:
            assert_never(item)


class PropertiesPanel(Forms):
    """Shows one item's properties. They are built when the panel is first shown and when another item is selected, and
    refreshed when the document changes."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(models, parent)
        self._shape: tuple[object, ...] = ()
        self._items: tuple[Item, ...] = ()
        self._shown_document = models.project.document
        models.selection.changed.connect(self._follow_selection)
        models.project.changed.connect(self._update)
        models.project.refused.connect(self._update)
        models.planning.preview_changed.connect(self._update)
        models.origin.changed.connect(self._update)

    def showEvent(self, event: QShowEvent) -> None:
        if self.widget() is None:
            self.rebuild()
        super().showEvent(event)

    def _follow_selection(self) -> None:
        if self.widget() is not None:
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
        page = self._begin()
        build_page(self, self.models.selection.item)
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
        if self.widget() is None:
            return
        self._shown_document = self.models.project.document
        if self._present_shape() != self._shape:
            self.rebuild()
            return
        for refresh in self.refreshers:
            refresh()

    def edit_words(self) -> None:
        """Puts the cursor into the text of the selected artwork."""
        from wallwright.window.panels.generated_form import GeneratedForm

        forms = self.findChildren(GeneratedForm)
        if forms:
            forms[-1].edit_text()  # one that was replaced a moment ago may still be there
