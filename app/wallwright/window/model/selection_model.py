"""What is selected in one window, and which hanging is the current one. No widgets."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from wallwright.document.document import Placement
from wallwright.window.model.items import WALL, HangingItem, Item, PlacementItem, together
from wallwright.window.model.project_model import ProjectModel


class SelectionModel(QObject):
    """Selected items and the current hanging; what an edit takes away is not selected any more."""

    changed = Signal()
    """Other items are selected."""
    hanging_changed = Signal()
    """Another hanging is the current one."""

    def __init__(self, project: ProjectModel) -> None:
        super().__init__()
        self._project = project
        self.items: tuple[Item, ...] = (WALL,)
        """Everything selected, at least one item."""
        self.hanging = 0
        """Number of the current hanging: the one that draw zone, machine, plan and checks are about."""
        project.loaded.connect(self._reset)
        project.changed.connect(self._follow_document)

    @property
    def item(self) -> Item | None:
        """The one selected item; None when there are several."""
        return self.items[0] if len(self.items) == 1 else None

    @property
    def placement_ids(self) -> tuple[str, ...]:
        """Of all selected placements."""
        return tuple(item.placement for item in self.items if isinstance(item, PlacementItem))

    @property
    def placement_id(self) -> str | None:
        """Of the one selected placement."""
        return self.placement_ids[0] if len(self.placement_ids) == 1 else None

    @property
    def placements(self) -> tuple[Placement, ...]:
        """The selected placements, in the document's order."""
        ids = self.placement_ids
        return tuple(p for p in self._project.document.placements if p.id in ids)

    def select(self, *items: Item) -> None:
        """Selects one item, or several placements; nothing: the wall. A selected hanging becomes the current one."""
        selected = together(items)
        if selected != self.items:
            self.items = selected
            self._project.close_step()
            self.changed.emit()
        if isinstance(selected[0], HangingItem):
            self.set_current_hanging(selected[0].number)

    def set_current_hanging(self, number: int) -> None:
        """Plans and shows another hanging than before."""
        if number != self.hanging:
            self.hanging = number
            self.hanging_changed.emit()

    def copy_state_from(self, other: SelectionModel) -> None:
        """Has what is selected in another model of the same document, before anything shows this one."""
        self.items, self.hanging = other.items, other.hanging

    def _reset(self) -> None:
        self.hanging = 0  # no signal: everything that shows a hanging also follows `changed` of the document
        self.select(WALL)

    def _follow_document(self) -> None:
        """Both follow before anybody hears of either: who listens to one of them reads the other too."""
        document = self._project.document
        hanging = min(self.hanging, len(document.hangings) - 1)
        items = together(item for item in self.items if item.exists(document))
        is_other_hanging, are_other_items = hanging != self.hanging, items != self.items
        self.hanging, self.items = hanging, items
        if is_other_hanging:
            self.hanging_changed.emit()
        if are_other_items:
            self._project.close_step()
            self.changed.emit()
